"""Marker sheets of a photo as references, with what has to be known of them."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from calibration.photo.pixels import RgbImage
from photomeasure.reading.model import FoundReference, Told
from photomeasure.sheets.references import sheet_cautions, sheet_references, sheets_in

SOURCE: Final = "sheet"

NO_MISTAKE: Final = 0.99
"""Nothing was taken for a sheet in 330 pictures (docs/accuracy.md): at most one in a
hundred by the rule of three."""


@dataclass(frozen=True, slots=True, eq=False)
class Sheets:
    """What sheets told.

    Attributes
    ----------
    references : tuple of FoundReference
    notes : tuple of str
        Doubts, and sheets that were refused.
    """

    references: tuple[FoundReference, ...] = ()
    notes: tuple[str, ...] = ()


def read_marker_sheets(pixels: RgbImage, told: Told) -> Sheets:
    """Find marker sheets and turn them into references on the wall.

    Parameters
    ----------
    pixels : (H, W, 3) uint8
    told : Told

    Returns
    -------
    Sheets
    """
    found, refused = sheets_in(pixels)
    specs = sheet_references(found, told.print_size)
    references = tuple(
        FoundReference(
            spec=spec,
            source=SOURCE,
            confidence=NO_MISTAKE,
            said=f"a marker sheet, {len(sheet.corners_px)} corners",
            drawn_px=(np.r_[sheet.outline_px, sheet.outline_px[:1]],),
            used=True,
        )
        for sheet, spec in zip(found, specs, strict=True)
    )
    reasons = tuple(sheet.reason for sheet in refused)
    return Sheets(references, (*sheet_cautions(found, told.print_size), *reasons))
