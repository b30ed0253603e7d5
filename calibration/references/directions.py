"""Lines known to be level or plumb."""

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from calibration.arrays import FloatArray
from calibration.camera import OnWall
from calibration.priors import DIRECTION_FLOOR_MM, LEVEL_SD_PER_MM, PLUMB_SD_PER_MM
from calibration.references.base import Conditions, Reference, Unknown
from calibration.references.hints import CoordinateHint, Hint


@dataclass(frozen=True, eq=False, kw_only=True)
class _Direction(Reference):
    """Two picks that share one coordinate: ``c_b - c_a = 0``.

    Attributes
    ----------
    sd_mm : float or None
        Standard uncertainty of the difference of its ends; None takes what
        building tolerances allow for the line's length.
    """

    gives_size: ClassVar[bool] = False
    axis: ClassVar[int]
    sd_per_mm: ClassVar[float]

    sd_mm: float | None = None

    def unknowns(self) -> tuple[Unknown, ...]:
        """Return nothing: two picks, one equation."""
        return ()

    def initial(self, wall: OnWall) -> FloatArray:  # noqa: ARG002
        """Return nothing."""
        return np.zeros(0)

    def hints(self) -> tuple[Hint, ...]:
        """Return the shared coordinate."""
        sd = self.sd_mm if self.sd_mm is not None else DIRECTION_FLOOR_MM
        return (CoordinateHint(np.arange(2), np.zeros(2), self.axis, sd),)

    def conditions(self, xy_mm: FloatArray, own: FloatArray) -> Conditions:
        """Return the one equation."""
        along = xy_mm[1] - xy_mm[0]
        sd = self.sd_mm
        if sd is None:
            sd = max(DIRECTION_FLOOR_MM, self.sd_per_mm * float(np.hypot(*along)))
        row = np.eye(2)[self.axis]
        return Conditions(
            along[None, None, self.axis],
            np.stack([-row, row])[None, None],
            np.zeros((1, 1, len(own))),
            np.full((1, 1, 1), sd**2),
            np.array([[0, 1]]),
        )


@dataclass(frozen=True, eq=False, kw_only=True)
class Level(_Direction):
    """A line that is level: bed joint, sill, soffit."""

    kind: ClassVar[str] = "level"
    axis: ClassVar[int] = 1
    sd_per_mm: ClassVar[float] = LEVEL_SD_PER_MM


@dataclass(frozen=True, eq=False, kw_only=True)
class Plumb(_Direction):
    """A line that is plumb: quoin, door jamb, downpipe."""

    kind: ClassVar[str] = "plumb"
    axis: ClassVar[int] = 0
    sd_per_mm: ClassVar[float] = PLUMB_SD_PER_MM
