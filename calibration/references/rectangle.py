"""A rectangle on the wall: door, window, sheet of paper."""

from dataclasses import dataclass, replace
from typing import ClassVar, Final, Self

import numpy as np

from calibration.arrays import FloatArray
from calibration.camera import OnWall
from calibration.references.base import (
    Conditions,
    Prior,
    Reference,
    SizeError,
    Unknown,
    one_pick_each,
    turned,
)
from calibration.references.hints import CoordinateHint, Hint
from calibration.references.points import frame_start, frame_unknowns, length_hints

CORNERS: Final = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
"""Order of the corners: from bottom left, anticlockwise."""

_WIDTH, _HEIGHT, _TURN = 3, 4, 5


@dataclass(frozen=True, eq=False, kw_only=True)
class Rectangle(Reference):
    """Four corners of a rectangle whose width and height may be known.

    Equations, per corner: ``xy - (R (w a, h b) + t) = 0`` with ``(a, b)`` from
    :data:`CORNERS`. Unknowns: plane, t_x, t_y, w, h(, turn).

    Attributes
    ----------
    width_mm, height_mm : float or None
        Stated size; None if unknown.
    sd_mm : float
        Standard uncertainty of a stated side.
    rotated : bool
        Whether it may be turned against the level.
    """

    kind: ClassVar[str] = "rectangle"

    width_mm: float | None = None
    height_mm: float | None = None
    sd_mm: float = 3.0
    rotated: bool = False

    @property
    def levels(self) -> bool:
        """A rotated rectangle says nothing of level and plumb."""
        return not self.rotated

    @property
    def sized(self) -> bool:
        """It states a size if at least one side is known."""
        return self.width_mm is not None or self.height_mm is not None

    def _side(self, name: str, stated_mm: float | None) -> Unknown:
        key = f"{self.name}: {name}"
        prior = None
        if stated_mm is not None:
            prior = Prior(mean=stated_mm, sd=self.sd_mm, key=key, label=self.name)
        return Unknown(key=key, prior=prior, scale=10.0, what=f"the {name} of {self.name}")

    def unknowns(self) -> tuple[Unknown, ...]:
        """Return plane, origin, both sides and, if rotated, turn."""
        frame = frame_unknowns(self.name, turn=self.rotated)
        sides = (
            self._side("width", self.width_mm),
            self._side("height", self.height_mm),
        )
        return (*self.relief(), *frame[:2], *sides, *frame[2:])

    def prior_keys(self) -> tuple[str, ...]:
        """Return the keys of the stated sides."""
        return tuple(
            f"{self.name}: {name}"
            for name, side in (("width", self.width_mm), ("height", self.height_mm))
            if side is not None
        )

    def initial(self, wall: OnWall) -> FloatArray:
        """Return size from the picks where it is not stated, then the origin."""
        bottom, right, top, left = wall.xy_mm[[1, 2, 3, 0]] - wall.xy_mm[[0, 1, 2, 3]]
        width = self.width_mm or float(np.hypot(*(bottom - top)) / 2.0)
        height = self.height_mm or float(np.hypot(*(right - left)) / 2.0)
        plan = CORNERS * [width, height]
        x, y, *turn = frame_start(plan, wall.xy_mm, self.rotated)
        return np.array([self.projection_mm, x, y, width, height, *turn])

    def hints(self) -> tuple[Hint, ...]:
        """Return what its stated sides and its squareness say."""
        width, height = self.width_mm, self.height_mm
        if self.rotated:
            known = width is not None and height is not None
            return length_hints(CORNERS * [width, height], self.sd_mm) if known else ()
        found: list[Hint] = []
        for axis, side in ((0, width), (1, height)):
            if side is None:
                ends = [np.flatnonzero(CORNERS[:, axis] == end) for end in (0.0, 1.0)]
                found += [CoordinateHint(e, np.zeros(2), axis, self.sd_mm) for e in ends]
            else:
                values = CORNERS[:, axis] * side
                found.append(CoordinateHint(np.arange(4), values, axis, self.sd_mm))
        return tuple(found)

    def conditions(self, xy_mm: FloatArray, own: FloatArray) -> Conditions:
        """Return two equations a corner."""
        angle = own[_TURN] if self.rotated else 0.0
        placed = turned(CORNERS * own[[_WIDTH, _HEIGHT]], angle)
        wrt_own = np.zeros((4, 2, len(own)))
        wrt_own[:, 0, 1] = wrt_own[:, 1, 2] = -1.0
        wrt_own[:, :, _WIDTH] = -turned(CORNERS * [1.0, 0.0], angle)
        wrt_own[:, :, _HEIGHT] = -turned(CORNERS * [0.0, 1.0], angle)
        if self.rotated:
            wrt_own[:, 0, _TURN], wrt_own[:, 1, _TURN] = placed[:, 1], -placed[:, 0]
        wrt_xy = np.broadcast_to(np.eye(2)[None, :, None, :], (4, 2, 1, 2))
        misclosure = xy_mm - placed - own[1:3]
        return Conditions(
            misclosure, wrt_xy, wrt_own, np.zeros((4, 2, 2)), one_pick_each(4)
        )

    def resized(self, factor: float) -> Self:
        """Return it with its stated size multiplied."""
        width, height = (
            None if side is None else side * factor
            for side in (self.width_mm, self.height_mm)
        )
        return replace(self, width_mm=width, height_mm=height)

    def size_error(self, own: FloatArray) -> SizeError | None:  # noqa: ARG002
        """Return the effect of stated sides that are wrong by the same factor."""
        stated = {
            index: side
            for index, side in ((_WIDTH, self.width_mm), (_HEIGHT, self.height_mm))
            if side is not None
        }
        if not stated:
            return None
        return SizeError(np.zeros((4, 2)), stated, max(stated.values()))
