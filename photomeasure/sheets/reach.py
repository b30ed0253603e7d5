"""From how far a sheet can be photographed, and which one to print."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from calibration.errors import InputError
from calibration.priors import DIAGONAL_35MM, FOCAL_UNKNOWN_35MM
from calibration.sheet import COARSE, FINE, GOOD_CELL_PX, LEAST_CELL_PX, Layout

OBLIQUE_RAD: Final = float(np.radians(30.0))
"""How obliquely a wall is taken without anybody noticing. Common practice, no source."""

USUAL_MEGAPIXELS: Final = 12.0
"""What phones store unless told otherwise. Common practice, no source."""

_ASPECT: Final = (4.0, 3.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Phone:
    """The camera that a sheet is printed for.

    Attributes
    ----------
    focal_px : float
        Focal length in pixels of the photo as it will be measured.
    title : str
        What it is called on the sheet.
    """

    focal_px: float
    title: str = "your camera"

    def reach_m(self, layout: Layout, cell_px: float) -> float:
        """Return the distance at which a cell is so large, seen somewhat obliquely."""
        seen_mm = layout.cell_mm * float(np.cos(OBLIQUE_RAD))
        return self.focal_px * seen_mm / cell_px / 1000.0

    def stated_reach_m(self, layout: Layout, cell_px: float) -> float:
        """Return :meth:`reach_m` as it is told: decimetres, never more than it is."""
        return float(np.floor(10.0 * self.reach_m(layout, cell_px))) / 10.0


def usual_phone(
    megapixels: float = USUAL_MEGAPIXELS, focal_35mm: float = FOCAL_UNKNOWN_35MM
) -> Phone:
    """Return a phone by its pixels and its 35 mm equivalent focal length.

    Parameters
    ----------
    megapixels : float
        Of a photo of 4 by 3.
    focal_35mm : float
        By the diagonal, millimetres.

    Returns
    -------
    Phone
    """
    wide, high = _ASPECT
    diagonal_px = float(np.sqrt(megapixels * 1e6 / (wide * high))) * float(
        np.hypot(*_ASPECT)
    )
    return Phone(
        focal_px=focal_35mm / DIAGONAL_35MM * diagonal_px,
        title=f"a phone's photo of {megapixels:g} megapixels",
    )


def choose_layout(phone: Phone, distance_m: float) -> Layout:
    """Return the sheet for a distance: the finer one where its squares are large enough.

    Parameters
    ----------
    phone : Phone
    distance_m : float
        From the phone to the sheet.

    Returns
    -------
    Layout

    Raises
    ------
    InputError
        If no sheet can be measured from so far.
    """
    if distance_m <= phone.reach_m(FINE, GOOD_CELL_PX):
        return FINE
    farthest = phone.reach_m(COARSE, LEAST_CELL_PX)
    if distance_m <= farthest:
        return COARSE
    raise InputError(
        "distance",
        f"{distance_m:g} m is too far for this camera: the largest squares that fit the "
        f"paper are seen from up to {phone.stated_reach_m(COARSE, LEAST_CELL_PX):.1f} m",
        "stand nearer, use the full resolution of the phone, or tape a length on the wall",
    )
