"""Found sheets as references of a job."""

from collections import Counter
from collections.abc import Iterable
from pathlib import Path
from typing import Final

import numpy as np

from calibration.photo import load_upright
from calibration.photo.pixels import RgbImage
from calibration.sheet import FoundSheet, RefusedSheet, find_sheets
from photomeasure.job.schema import PointsSpec
from photomeasure.sheets.printed import PrintSize

PAPER_SD_MM: Final = 0.5
"""A corner off its place because paper on a wall is not quite flat: a sheet folded by
two degrees changes by 0.2 % seen from the side, as this does. Common practice, no
source."""

PER_BEND: Final = 4.0
"""Scatter of a corner, as an error of the whole sheet, per rms bend that is seen: a fold
down the middle changes the size by 1 to 1.4 % for each millimetre of bend, and twelve
corners of this scatter by the same. Measured (docs/accuracy.md)."""

_DIGITS: Final = 4
"""Of pixels, of millimetres: finer than anything is known."""


def read_sheets(
    photo: Path | str,
) -> tuple[tuple[FoundSheet, ...], tuple[RefusedSheet, ...]]:
    """Find the sheets of a photo file.

    Parameters
    ----------
    photo : Path or str

    Returns
    -------
    tuple of FoundSheet, tuple of RefusedSheet
        From left to right.

    Raises
    ------
    UnreadablePhoto
        If the file cannot be read.
    """
    return sheets_in(load_upright(photo))


def sheets_in(
    pixels: RgbImage,
) -> tuple[tuple[FoundSheet, ...], tuple[RefusedSheet, ...]]:
    """Find the sheets of an upright photo (H, W, 3), as :func:`read_sheets` does."""
    import cv2

    grey = cv2.cvtColor(pixels, cv2.COLOR_RGB2GRAY)
    seen = find_sheets(np.asarray(grey, np.uint8))
    found = tuple(sheet for sheet in seen if isinstance(sheet, FoundSheet))
    return found, tuple(sheet for sheet in seen if isinstance(sheet, RefusedSheet))


def sheet_reference(
    found: FoundSheet, size: PrintSize, projection_mm: float = 0.0, name: str | None = None
) -> PointsSpec:
    """Return a found sheet as wall points with a common scale error.

    Parameters
    ----------
    found : FoundSheet
    size : PrintSize
        Of the print.
    projection_mm : float
        How far the paper hangs in front of the wall, e.g. on a fascia.
    name : str, optional
        Instead of the sheet's own.

    Returns
    -------
    PointsSpec
        Turned any way; what it says of level and plumb is nothing.
    """
    scale = size.scale()
    true_mm = found.drawn_mm * np.array([scale.across, scale.up])
    bend_mm = PER_BEND * found.bend_mm if found.scattered else 0.0
    return PointsSpec.model_validate(
        {
            "kind": "points",
            "name": name or found.sheet.name,
            "picks": np.round(found.corners_px, _DIGITS).tolist(),
            "wall_mm": np.round(true_mm, _DIGITS).tolist(),
            "sd_mm": round(float(np.hypot(PAPER_SD_MM, bend_mm)), _DIGITS),
            "pick_sd_px": round(found.sd_px, _DIGITS),
            "rotated": True,
            "scale_sd": scale.sd,
            "axis_scale_sd": [scale.across_sd, scale.up_sd],
            "scale_of": size.printer,
            "projection_mm": projection_mm,
        }
    )


def sheet_references(
    found: Iterable[FoundSheet], size: PrintSize, projection_mm: float = 0.0
) -> list[PointsSpec]:
    """Return all sheets of one photo, each under its own name.

    Parameters
    ----------
    found : iterable of FoundSheet
    size : PrintSize
        Of all prints.
    projection_mm : float
        As in :func:`sheet_reference`.

    Returns
    -------
    list of PointsSpec
    """
    used: Counter[str] = Counter()
    references = []
    for sheet in found:
        used[sheet.sheet.name] += 1
        copy = used[sheet.sheet.name]
        name = sheet.sheet.name if copy == 1 else f"{sheet.sheet.name} ({copy})"
        references.append(sheet_reference(sheet, size, projection_mm, name))
    return references


def sheet_cautions(found: Iterable[FoundSheet], size: PrintSize) -> tuple[str, ...]:
    """Return what a person has to know of the sheets of a photo, sentences."""
    sheets = list(found)
    said = [doubt for sheet in sheets for doubt in sheet.doubts()]
    if sheets and not size.measured:
        said.append(
            "Nobody measured the check lines of the sheets: printers shrink pages, so the "
            f"scale is only known to {_unmeasured_percent():.0f} %. Hold a ruler to lines "
            "A and B."
        )
    return tuple(said)


def _unmeasured_percent() -> float:
    return 2.0 * 100.0 * PrintSize().scale().sd
