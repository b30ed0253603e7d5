"""Invented jobs and photos for the store."""

import json
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path
from typing import Any

from PIL import Image

from photomeasure.store.documents import Draft, make_draft
from tests.photomeasure.house import front, job

TITLE = "12 Invented Lane"


def document(title: str = TITLE, *photos: str, remark: float = 0.0) -> bytes:
    """Return a job file; `remark` makes it differ from others."""
    elevations: list[dict[str, Any]] = []
    for i, name in enumerate(photos or (None,)):
        entry = {**front(), "name": f"front {i}", "photo": name}
        entry["pick_sd_px"] = 1.0 + remark
        if name is None:
            del entry["photo"]
        elevations.append(entry)
    return json.dumps({**job(*elevations), "title": title}).encode()


def draft(title: str = TITLE, remark: float = 0.0, **photos: str) -> Draft:
    """Return a draft whose photos are named by words without their ending."""
    named = {f"{word}.png": sha256 for word, sha256 in photos.items()}
    return make_draft(document(title, *named, remark=remark), named)


def picture(folder: Path, shade: int = 0, name: str = "") -> Path:
    """Write a small picture; each shade is a photo of its own."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / (name or f"{shade}.png")
    colour = (shade % 256, shade // 256 % 256, 77)
    Image.new("RGB", (40, 30), colour).save(path)
    return path


def in_programs(
    count: int, do: Callable[..., Any], calls: Sequence[tuple[Any, ...]]
) -> Any:
    """Return what a function returns for each call, made by programs of their own."""
    with ProcessPoolExecutor(count, mp_context=get_context("spawn")) as programs:
        return [future.result() for future in [programs.submit(do, *c) for c in calls]]
