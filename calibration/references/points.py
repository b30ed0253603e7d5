"""Wall points with known coordinates."""

from dataclasses import dataclass, replace
from typing import ClassVar, Self

import numpy as np

from calibration.arrays import FloatArray, frozen
from calibration.camera import OnWall
from calibration.references.base import (
    Conditions,
    Reference,
    SizeError,
    Unknown,
    one_pick_each,
    similarity_angle,
    turned,
)
from calibration.references.hints import CoordinateHint, Hint, LengthHint

SHIFT_SCALE_MM = 100.0
TURN_SCALE_RAD = 0.01


@dataclass(frozen=True, eq=False, kw_only=True)
class Points(Reference):
    """Picks of points whose coordinates on the wall are known.

    Equations, per pick: ``xy - (R wall + t) = 0``, with the origin ``t`` free and
    ``R`` a turn only if ``rotated``. Unknowns: plane, t_x, t_y(, turn).

    Attributes
    ----------
    wall_mm : (N, 2) float64
        Coordinates in the reference's own frame, x level unless rotated.
    sd_mm : float
        Standard uncertainty of one coordinate.
    rotated : bool
        Whether the frame may be turned against the level.
    """

    kind: ClassVar[str] = "points"

    wall_mm: FloatArray
    sd_mm: float
    rotated: bool = False

    def __post_init__(self) -> None:
        """Freeze the coordinates too."""
        super().__post_init__()
        object.__setattr__(self, "wall_mm", frozen(self.wall_mm, len(self.picks_px), 2))

    @property
    def levels(self) -> bool:
        """A rotated frame says nothing of level and plumb."""
        return not self.rotated

    def unknowns(self) -> tuple[Unknown, ...]:
        """Return plane, origin and, if rotated, turn."""
        return self.relief() + frame_unknowns(self.name, turn=self.rotated)

    def initial(self, wall: OnWall) -> FloatArray:
        """Return the origin that fits the centroids."""
        return np.array(
            [self.projection_mm, *frame_start(self.wall_mm, wall.xy_mm, self.rotated)]
        )

    def hints(self) -> tuple[Hint, ...]:
        """Return both coordinates, or distances between picks if rotated."""
        everyone = np.arange(len(self.wall_mm))
        if not self.rotated:
            return tuple(
                CoordinateHint(everyone, self.wall_mm[:, axis], axis, self.sd_mm)
                for axis in (0, 1)
            )
        return length_hints(self.wall_mm, self.sd_mm)

    def conditions(self, xy_mm: FloatArray, own: FloatArray) -> Conditions:
        """Return two equations a pick."""
        angle = own[3] if self.rotated else 0.0
        placed = turned(self.wall_mm, angle)
        count = len(xy_mm)
        wrt_own = np.zeros((count, 2, len(own)))
        wrt_own[:, 0, 1] = wrt_own[:, 1, 2] = -1.0
        if self.rotated:
            wrt_own[:, 0, 3], wrt_own[:, 1, 3] = placed[:, 1], -placed[:, 0]
        wrt_xy = np.broadcast_to(np.eye(2)[None, :, None, :], (count, 2, 1, 2))
        noise = np.broadcast_to(self.sd_mm**2 * np.eye(2), (count, 2, 2))
        misclosure = xy_mm - placed - own[1:3]
        return Conditions(misclosure, wrt_xy, wrt_own, noise, one_pick_each(count))

    def resized(self, factor: float) -> Self:
        """Return it with its stated size multiplied."""
        return replace(self, wall_mm=self.wall_mm * factor)

    def size_error(self, own: FloatArray) -> SizeError:
        """Return the effect of coordinates in a wrong unit or scale."""
        placed = turned(self.wall_mm, own[3] if self.rotated else 0.0)
        centred = placed - placed.mean(axis=0)
        return SizeError(-centred, {}, float(np.ptp(self.wall_mm, axis=0).max()))


def length_hints(plan_mm: FloatArray, sd_mm: float) -> tuple[Hint, ...]:
    """Return distances between points (n, 2) of a plan: each to two others."""
    count = len(plan_mm)
    pairs = {
        tuple(sorted((i, (i + skip) % count)))
        for i in range(count)
        for skip in (1, count // 2)
    }
    return tuple(
        LengthHint((i, j), float(np.hypot(*(plan_mm[j] - plan_mm[i]))), sd_mm)
        for i, j in sorted(pairs)
        if i != j
    )


def frame_unknowns(name: str, *, turn: bool) -> tuple[Unknown, ...]:
    """Return the unknown origin, and turn, of a reference's own frame."""
    frame = (
        Unknown(key=f"{name}: origin x", scale=SHIFT_SCALE_MM, what=f"{name} sideways"),
        Unknown(key=f"{name}: origin y", scale=SHIFT_SCALE_MM, what=f"{name} up or down"),
    )
    if not turn:
        return frame
    what = f"how {name} is turned"
    return (*frame, Unknown(key=f"{name}: turn", scale=TURN_SCALE_RAD, what=what))


def frame_start(plan_mm: FloatArray, xy_mm: FloatArray, turn: bool) -> list[float]:  # noqa: FBT001
    """Return origin, and turn, that lay a plan (N, 2) on wall points (N, 2)."""
    angle = similarity_angle(plan_mm, xy_mm) if turn else 0.0
    shift = xy_mm.mean(axis=0) - turned(plan_mm, angle).mean(axis=0)
    return [*shift.tolist(), *([angle] if turn else [])]
