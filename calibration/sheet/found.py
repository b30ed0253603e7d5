"""A sheet as it was found in a photo."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from calibration.arrays import FloatArray, frozen
from calibration.sheet.layout import Sheet

LEAST_CELL_PX: Final = 14.0
"""Shorter side of a cell below which a sheet is refused. Measured: below it the corners
are no longer found each time and their stated spread no longer holds (docs/accuracy.md)."""

LEAST_CELL_BLURS: Final = 13.0
"""The same in standard deviations of the blur: below it the dots' blur reaches the
corners, which then err by more than they state (docs/accuracy.md)."""

GOOD_CELL_PX: Final = 24.0
"""From here on sheets are found in every light that was tried (docs/accuracy.md)."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class FoundSheet:
    """A sheet that can carry scale.

    Attributes
    ----------
    sheet : Sheet
    corners_px : (N, 2) float64
        Saddle corners in the photo.
    drawn_mm : (N, 2) float64
        The same corners as drawn, frame of the sheet.
    sd_px : float
        Standard uncertainty of one coordinate of a corner.
    cell_px : float
        Shortest side of a cell.
    bend_px : float
        Rms distance of the corners from a flat sheet beyond what ``sd_px`` explains.
    bend_mm : float
        The same on the sheet.
    scattered : bool
        Whether the corners scatter by more than their own misfit says.
    bent : bool
        Whether that is far beyond chance and large enough to be the paper's shape.
    outline_px : (4, 2) float64
        Corners of the printed block from bottom left, anticlockwise, as printed.
    """

    sheet: Sheet
    corners_px: FloatArray
    drawn_mm: FloatArray
    sd_px: float
    cell_px: float
    bend_px: float
    bend_mm: float
    scattered: bool
    bent: bool
    outline_px: FloatArray

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        object.__setattr__(self, "corners_px", frozen(self.corners_px, None, 2))
        count = len(self.corners_px)
        object.__setattr__(self, "drawn_mm", frozen(self.drawn_mm, count, 2))
        object.__setattr__(self, "outline_px", frozen(self.outline_px, 4, 2))

    @property
    def hidden(self) -> int:
        """Corners that were not found."""
        return len(self.sheet.layout.corners_mm) - len(self.corners_px)

    def doubts(self) -> tuple[str, ...]:
        """Return what a person has to know of it, sentences."""
        said = []
        name = self.sheet.name
        if self.hidden:
            whole = len(self.sheet.layout.corners_mm)
            said.append(f"{name} is partly hidden: {self.hidden} of {whole} corners.")
        if self.bent:
            said.append(
                f"{name} is not flat: its corners lie {self.bend_mm:.1f} mm off a plane. "
                "Tape it flat on all sides and take the photo again."
            )
        if self.cell_px < GOOD_CELL_PX:
            said.append(
                f"{name} is small in the photo: {self.cell_px:.0f} px a square, "
                f"{GOOD_CELL_PX:.0f} are better."
            )
        return tuple(said)


@dataclass(frozen=True, slots=True, eq=False)
class RefusedSheet:
    """A sheet that was recognised and must not be used.

    Attributes
    ----------
    sheet : Sheet
    reason : str
        One sentence with what to do.
    outline_px : (4, 2) float64
        Where it is, as in :class:`FoundSheet`.
    """

    sheet: Sheet
    reason: str
    outline_px: FloatArray

    def __post_init__(self) -> None:
        """Freeze the array."""
        object.__setattr__(self, "outline_px", frozen(self.outline_px, 4, 2))


def middle_px(found: FoundSheet | RefusedSheet) -> FloatArray:
    """Return roughly the middle of a sheet in the photo, (2,)."""
    return np.asarray(found.outline_px.mean(axis=0), np.float64)
