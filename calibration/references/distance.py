"""A taped distance between two points of the wall."""

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import ClassVar, Self

import numpy as np

from calibration.arrays import FloatArray
from calibration.camera import OnWall
from calibration.priors import DIRECTION_FLOOR_MM, LEVEL_SD_PER_MM, PLUMB_SD_PER_MM
from calibration.references.base import Conditions, Reference, SizeError, Unknown
from calibration.references.hints import CoordinateHint, Hint, LengthHint


class TapeDirection(StrEnum):
    """How the tape was held."""

    LEVEL = "level"
    PLUMB = "plumb"
    FREE = "free"


@dataclass(frozen=True, eq=False, kw_only=True)
class Distance(Reference):
    """A tape between two picks.

    Equations: ``|b - a| - length = 0``; a level tape adds ``y_b - y_a = 0``, a
    plumb one ``x_b - x_a = 0``. Unknown: plane.

    Attributes
    ----------
    length_mm : float
        What the tape read.
    sd_mm : float
        Standard uncertainty of that.
    direction : TapeDirection
        How it was held.
    """

    kind: ClassVar[str] = "distance"

    length_mm: float
    sd_mm: float
    direction: TapeDirection = TapeDirection.FREE

    @property
    def levels(self) -> bool:
        """A free tape says nothing of level and plumb."""
        return self.direction is not TapeDirection.FREE

    def unknowns(self) -> tuple[Unknown, ...]:
        """Return the plane."""
        return self.relief()

    def initial(self, wall: OnWall) -> FloatArray:  # noqa: ARG002
        """Return the stated projection."""
        return np.array([self.projection_mm])

    def hints(self) -> tuple[Hint, ...]:
        """Return the length and, for a directed tape, the shared coordinate."""
        length = LengthHint((0, 1), self.length_mm, self.sd_mm)
        if not self.levels:
            return (length,)
        axis = 1 if self.direction is TapeDirection.LEVEL else 0
        return (length, CoordinateHint(np.arange(2), np.zeros(2), axis, self.sd_mm))

    def conditions(self, xy_mm: FloatArray, own: FloatArray) -> Conditions:
        """Return one equation, two for a directed tape."""
        along = xy_mm[1] - xy_mm[0]
        length = float(np.hypot(*along))
        unit = along / length
        rows = [unit]
        misclosure = [length - self.length_mm]
        variance = [self.sd_mm**2]
        if self.levels:
            across, slope = (
                (1, LEVEL_SD_PER_MM)
                if self.direction is TapeDirection.LEVEL
                else (0, PLUMB_SD_PER_MM)
            )
            rows.append(np.eye(2)[across])
            misclosure.append(float(along[across]))
            variance.append(max(DIRECTION_FLOOR_MM, slope * self.length_mm) ** 2)
        wrt_xy = np.stack([-np.array(rows), np.array(rows)], axis=1)[None]
        return Conditions(
            np.array([misclosure]),
            wrt_xy,
            np.zeros((1, len(rows), len(own))),
            np.diag(variance)[None],
            np.array([[0, 1]]),
        )

    def resized(self, factor: float) -> Self:
        """Return it with its stated size multiplied."""
        return replace(self, length_mm=self.length_mm * factor)

    def size_error(self, own: FloatArray) -> SizeError:  # noqa: ARG002
        """Return the effect of a misread tape."""
        effect = np.zeros((1, 2 if self.levels else 1))
        effect[0, 0] = -self.length_mm
        return SizeError(effect, {}, self.length_mm)
