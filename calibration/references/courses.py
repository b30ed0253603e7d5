"""A ladder of brick courses, or of perpends along a course."""

from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import ClassVar, Final, Self

import numpy as np

from calibration.arrays import FloatArray, frozen
from calibration.camera import OnWall
from calibration.references.base import (
    Conditions,
    Prior,
    Reference,
    SizeError,
    Unknown,
    one_pick_each,
)
from calibration.references.hints import CoordinateHint, Hint
from calibration.references.points import SHIFT_SCALE_MM

DRIFT_SD: Final = 0.004
"""Relative change of the gauge from the middle of a ladder of :data:`DRIFT_COURSES`
to its end. Common practice, no source: site gauge wanders 0.3 to 1 %."""

DRIFT_COURSES: Final = 40.0
"""A storey's worth; shorter ladders drift in proportion."""

BED_SD_MM: Final = 2.0
"""One bed joint off its gauge. NHBC Standards 2011, 1.2-S1(b), lets a joint depart
5 mm from the average of eight, taken as two and a half standard deviations."""

PERPEND_SD_MM: Final = 3.0
"""One perpend off its pitch. Common practice, no source."""

LEAST_PITCH: Final = 0.05
"""Of the stated one, for steps on the way."""

_OFFSET, _PITCH, _DRIFT = 1, 2, 3


class CountDirection(StrEnum):
    """Which way the counts run."""

    UP = "up"
    ALONG = "along"


@dataclass(frozen=True, eq=False, kw_only=True)
class Courses(Reference):
    """Picks on bed joints (or perpends) numbered by their count.

    Equation, per pick: ``((c - offset) / pitch - (n + drift s(n))) stated pitch = 0``
    where ``c`` is the coordinate in the count direction. Divided by the pitch, because
    joints scatter by a share of it: in plain millimetres a smaller wall would fit better,
    and a hundred picks would shrink it by their common gauge's spread or more.
    ``s(n) = (n - m)^2 / 2 h`` with middle
    ``m`` and half-range ``h`` of the counts, so that the pitch is ``1 - drift`` of
    itself at the first count and ``1 + drift`` at the last. The pitch is shared by
    all ladders that state the same pitch of the same direction: one wall, one
    gauge, one error. Unknowns: plane, offset, pitch, drift.

    Attributes
    ----------
    counts : (N,) float64
        Number of each pick's joint.
    direction : CountDirection
        Counts run up the wall or along it.
    pitch_mm, pitch_sd_mm : float
        Course gauge, or stretcher with its joint, and its common uncertainty.
    sd_mm : float
        Scatter of one joint about the regular ladder.
    pitch_key : str
        Ladders with the same key share the pitch.
    """

    kind: ClassVar[str] = "courses"

    counts: FloatArray
    direction: CountDirection = CountDirection.UP
    pitch_mm: float
    pitch_sd_mm: float
    sd_mm: float = BED_SD_MM
    pitch_key: str
    _shape: FloatArray = field(init=False, repr=False)

    def __post_init__(self) -> None:
        """Freeze the counts and work out the shape of a drifting gauge."""
        super().__post_init__()
        counts = frozen(self.counts, len(self.picks_px))
        object.__setattr__(self, "counts", counts)
        middle = (counts.max() + counts.min()) / 2.0
        half = max((counts.max() - counts.min()) / 2.0, 1.0)
        object.__setattr__(
            self, "_shape", frozen((counts - middle) ** 2 / (2 * half), None)
        )

    @property
    def axis(self) -> int:
        """Coordinate that the counts run along: x 0, y 1."""
        return 1 if self.direction is CountDirection.UP else 0

    def unknowns(self) -> tuple[Unknown, ...]:
        """Return plane, offset, pitch and drift."""
        span = float(np.ptp(self.counts))
        pitch = Prior(
            mean=self.pitch_mm,
            sd=self.pitch_sd_mm,
            key=self.pitch_key,
            label="gauge of the brickwork",
            shared=True,
        )
        drift = Prior(
            mean=0.0,
            sd=DRIFT_SD * min(1.0, span / DRIFT_COURSES),
            key=f"{self.name}: drift",
            label="gauge of the brickwork",
        )
        return (
            *self.relief(),
            Unknown(key=f"{self.name}: offset", scale=SHIFT_SCALE_MM, what=self.name),
            Unknown(key=self.pitch_key, prior=pitch, scale=0.1),
            Unknown(key=f"{self.name}: drift", prior=drift, scale=0.001),
        )

    def prior_keys(self) -> tuple[str, ...]:
        """Return the key of the gauge."""
        return (self.pitch_key,)

    def initial(self, wall: OnWall) -> FloatArray:
        """Return the stated pitch and the offset that fits it."""
        rest = wall.xy_mm[:, self.axis] - self.pitch_mm * self.counts
        return np.array([self.projection_mm, float(rest.mean()), self.pitch_mm, 0.0])

    def hints(self) -> tuple[Hint, ...]:
        """Return the coordinate that the counts run along."""
        values = self.counts * self.pitch_mm
        return (CoordinateHint(np.arange(len(values)), values, self.axis, self.sd_mm),)

    def conditions(self, xy_mm: FloatArray, own: FloatArray) -> Conditions:
        """Return one equation a pick."""
        count = len(xy_mm)
        ladder = self.counts + own[_DRIFT] * self._shape
        # A wild step may pass zero, where the equation says nothing.
        pitch = max(float(own[_PITCH]), LEAST_PITCH * self.pitch_mm)
        unit = self.pitch_mm / pitch
        reach = xy_mm[:, self.axis] - own[_OFFSET]
        wrt_own = np.zeros((count, 1, len(own)))
        wrt_own[:, 0, _OFFSET] = -unit
        wrt_own[:, 0, _PITCH] = -reach * unit / pitch
        wrt_own[:, 0, _DRIFT] = -self.pitch_mm * self._shape
        misclosure = reach * unit - self.pitch_mm * ladder
        return Conditions(
            misclosure[:, None],
            np.broadcast_to(unit * np.eye(2)[self.axis], (count, 1, 1, 2)),
            wrt_own,
            np.full((count, 1, 1), self.sd_mm**2),
            one_pick_each(count),
        )

    def resized(self, factor: float) -> Self:
        """Return it with its stated size multiplied."""
        return replace(self, pitch_mm=self.pitch_mm * factor)

    def size_error(self, own: FloatArray) -> SizeError:  # noqa: ARG002
        """Return the effect of a gauge that is not what it is stated to be."""
        run = float(np.ptp(self.counts)) * self.pitch_mm
        none = np.zeros((len(self.counts), 1))
        return SizeError(none, {_PITCH: self.pitch_mm}, run)
