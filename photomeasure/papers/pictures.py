"""Annotated photos for papers: small enough to send, without metadata."""

import io
from pathlib import Path
from typing import Final

from calibration.errors import UnreadablePhoto
from photomeasure.papers.content import Picture
from photomeasure.results import MeasuredElevation, MeasuredJob

LONG_SIDE_PX: Final = 1800
"""Across 180 mm of paper: 250 dots an inch."""

_QUALITY: Final = 85


def pictures_of(job: MeasuredJob) -> tuple[dict[str, Picture], tuple[UnreadablePhoto, ...]]:
    """Return the annotated photo of each measured elevation that has one.

    Parameters
    ----------
    job : MeasuredJob

    Returns
    -------
    pictures : dict of str to Picture
        By the elevation's name.
    refusals : tuple of UnreadablePhoto
        Photos that cannot be decoded any more.
    """
    pictures: dict[str, Picture] = {}
    refusals: list[UnreadablePhoto] = []
    for entry in job.elevations:
        if isinstance(entry, MeasuredElevation) and entry.elevation.photo:
            try:
                pictures[entry.name] = _picture(entry, entry.elevation.photo)
            except UnreadablePhoto as refusal:
                refusals.append(refusal)
    return pictures, tuple(refusals)


def _picture(entry: MeasuredElevation, photo: Path) -> Picture:
    from PIL import Image

    from photomeasure.annotate import annotate

    annotated = annotate(entry, photo)
    annotated.thumbnail((LONG_SIDE_PX, LONG_SIDE_PX), Image.Resampling.LANCZOS)
    stream = io.BytesIO()
    annotated.save(stream, "JPEG", quality=_QUALITY)
    return Picture(entry.name, stream.getvalue(), annotated.size)
