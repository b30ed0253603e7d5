"""Photos with the truth of their roofline and courses, for the proof of reading."""

import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np

from tests.accuracy.joints import SAMPLES, JointTruth, joints_drawn, joints_rendered
from tests.accuracy.roof_scenes import board_of, roof_scene
from tests.pictures.truth import Truth

FIRST: Final = 200
"""Houses before it were looked at while the rules were made."""

MOST_SEEN: Final = 0.8
"""A line that is hidden more than a fifth is not asked for."""


@dataclass(frozen=True)
class TrueLine:
    """A line of the roofline with its truth."""

    role: str
    ends_px: np.ndarray
    length_mm: float
    projection_mm: float
    board_px: np.ndarray
    """(K, 2, 2) ends of all edges of its board, its own among them."""


@dataclass(frozen=True)
class Scene:
    """A photo with its truth; `joints` is None where no brick is."""

    name: str
    path: Path
    lines: tuple[TrueLine, ...]
    joints: JointTruth | None = None
    brick_format: str = ""
    bricks: tuple[float, float] = (0.0, 0.0)


def drawn(count: int, folder: Path, first: int = FIRST) -> Iterator[Scene]:
    """Yield drawn houses, kept in a folder for another run: three in five are of brick."""
    for seed in range(first, first + count):
        path = folder / f"{seed}.jpg"
        if not path.exists():
            folder.mkdir(parents=True, exist_ok=True)
            roof_scene(seed).draw().save(path)
        truth = Truth.from_json(path.with_suffix(".truth.json").read_text("utf-8"))
        lines = tuple(
            TrueLine(e.role, e.ends_px, e.length_mm, e.projection_mm, board_of(e, truth))
            for e in truth.edges
            if e.role in ("eaves", "rake") and e.trace.share_visible > MOST_SEEN
        )
        if truth.brick is None:
            yield Scene(path.stem, path, lines)
            continue
        bricks = (truth.brick.visible_courses, truth.brick.visible_stretchers)
        joints = joints_drawn(truth)
        yield Scene(path.stem, path, lines, joints, truth.brick.format, bricks)


def rendered() -> Iterator[Scene]:
    """Yield the rendered houses of sample_images."""
    roles = {"eaves": "eaves", "rake": "rake"}
    for name in ("front", "gable", "front-messenger"):
        data = json.loads((SAMPLES / f"{name}.truth.json").read_text())
        lines = tuple(
            TrueLine(
                roles[line["role"]],
                np.array([end["px"] for end in line["ends"]]),
                line["true_length_mm"],
                line["projection_mm"],
                np.array([[end["px"] for end in line["ends"]]]),
            )
            for line in data["lines"]
            if line["role"] in roles
        )
        path = SAMPLES / f"{name}.jpg"
        yield Scene(name, path, lines, joints_rendered(name), "uk-metric", (60.0, 30.0))
