"""A job's pictures for the screen, made once and kept beside the store."""

import hashlib
import json
from contextlib import suppress
from pathlib import Path
from typing import Any, Final

from calibration.errors import NotInStore, StoreUnavailable
from photomeasure import previews
from photomeasure.disk import write_whole
from photomeasure.photo_look import PhotoLook, look_at
from photomeasure.results import MeasuredElevation
from photomeasure.store import Store, photos
from photomeasure.wall_view import rectified_jpeg

_LOOK: Final = "look-1.json"
"""Numbered: newer programs say other things of a photo."""


def of_job(known: dict[str, str], sha256: str) -> str:
    """Return the name of a photo, or refuse one that is not this job's.

    Parameters
    ----------
    known : dict of str to str
        The job's photos, SHA-256 by name.
    sha256 : str
        What the address names.

    Returns
    -------
    str

    Raises
    ------
    NotInStore
    """
    names = [name for name, own in known.items() if own == sha256]
    if not names:
        raise NotInStore("photo", "is not one of this job", "reload the page")
    return names[0]


def made(store: Store, sha256: str, name: str) -> Path:
    """Return the folder with preview and tiles of a photo, made if need be.

    Parameters
    ----------
    store : Store
    sha256 : str
    name : str
        For messages.

    Returns
    -------
    Path

    Raises
    ------
    StoreDamaged
        If the stored photo is missing or changed.
    """
    folder = photos.previews_of(store, sha256)
    if not previews.are_made(folder):
        previews.make(photos.verified_path(store, sha256, name), folder)
    return folder


def look(store: Store, sha256: str, name: str) -> PhotoLook:
    """Return what is known of a photo, remembered beside its previews.

    Parameters
    ----------
    store : Store
    sha256 : str
    name : str

    Returns
    -------
    PhotoLook
    """
    path = made(store, sha256, name) / _LOOK
    known = _remembered(path)
    if known is not None:
        return known
    found = look_at(photos.verified_path(store, sha256, name))
    kept = {"facts": found.facts, "warnings": found.warnings}
    _keep(path, json.dumps(kept).encode())
    return found


def _remembered(path: Path) -> PhotoLook | None:
    try:
        kept: dict[str, Any] = json.loads(path.read_bytes())
        return PhotoLook(facts=tuple(kept["facts"]), warnings=tuple(kept["warnings"]))
    except (OSError, ValueError, KeyError, TypeError):
        return None  # made anew


def wall(store: Store, sha256: str, entry: MeasuredElevation) -> bytes:
    """Return the rectified picture of an elevation, remembered by what it shows.

    Parameters
    ----------
    store : Store
    sha256 : str
        Of its photo.
    entry : MeasuredElevation

    Returns
    -------
    bytes
        JPEG.
    """
    camera = entry.solution.camera
    seen = (
        *(camera.focal_px, *camera.centre_px, camera.k1, camera.k2, camera.standoff_mm),
        *camera.R_wall_from_camera.ravel(),
        *(pick for line in entry.measured for pick in line.trace.picks_px.ravel()),
    )
    key = hashlib.sha256(repr([float(value) for value in seen]).encode()).hexdigest()[:32]
    path = photos.previews_of(store, sha256) / f"wall-1-{key}.jpg"
    try:
        return path.read_bytes()
    except OSError:
        jpeg = rectified_jpeg(entry)
        _keep(path, jpeg)
        return jpeg


def _keep(path: Path, content: bytes) -> None:
    """Remember something that can be made again: a full disk refuses nothing here."""
    with suppress(OSError, StoreUnavailable):
        path.parent.mkdir(parents=True, exist_ok=True)
        write_whole(path, (content,))
