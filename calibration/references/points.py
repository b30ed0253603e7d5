"""Wall points with known coordinates."""

from dataclasses import dataclass, replace
from typing import ClassVar, Self

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
    similarity_angle,
    turned,
)
from calibration.references.hints import CoordinateHint, Hint, LengthHint

SHIFT_SCALE_MM = 100.0
TURN_SCALE_RAD = 0.01

_PARTS = (("scale", (1.0, 1.0)), ("scale across", (1.0, 0.0)), ("scale up", (0.0, 1.0)))
"""Each part of a common scale error, and how much of it each coordinate takes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaleError:
    """What is not known of the size in which coordinates were drawn.

    Relative errors: one of both coordinates and one of each alone, all common to
    every reference that names the same key. None of them averages out.

    Attributes
    ----------
    key : str
        Whose error it is: one printer with one setting, one drawing.
    sd : float
        Of both coordinates together.
    across_sd, up_sd : float
        Of the first and of the second coordinate alone.
    """

    key: str
    sd: float = 0.0
    across_sd: float = 0.0
    up_sd: float = 0.0

    def unknowns(self) -> tuple[Unknown, ...]:
        """Return one unknown for each part that is not certain."""
        return tuple(
            Unknown(key=prior.key, prior=prior, scale=prior.sd) for prior, _ in self._parts
        )

    @property
    def per_axis(self) -> FloatArray:
        """How much of each unknown the two coordinates take, (n, 2)."""
        return np.array([share for _, share in self._parts]).reshape(-1, 2)

    @property
    def _parts(self) -> list[tuple[Prior, tuple[float, float]]]:
        sds = (self.sd, self.across_sd, self.up_sd)
        return [
            (_scale_prior(f"{self.key}: {name}", sd), share)
            for (name, share), sd in zip(_PARTS, sds, strict=True)
            if sd > 0.0
        ]


def _scale_prior(key: str, sd: float) -> Prior:
    return Prior(mean=0.0, sd=sd, key=key, label="scale of the print", shared=True)


@dataclass(frozen=True, eq=False, kw_only=True)
class Points(Reference):
    """Picks of points whose coordinates on the wall are known.

    Equations, per pick: ``xy - (R S wall + t) = 0``, with the origin ``t`` free,
    ``R`` a turn only if ``rotated`` and ``S = diag(1 + s + a, 1 + s + u)`` only if
    the coordinates have a common ``scale``. Unknowns: plane, t_x, t_y(, turn)
    (, s)(, a)(, u).

    Attributes
    ----------
    wall_mm : (N, 2) float64
        Coordinates in the reference's own frame, x level unless rotated.
    sd_mm : float
        Standard uncertainty of one coordinate.
    rotated : bool
        Whether the frame may be turned against the level.
    scale : ScaleError or None
        Error that all coordinates share, if there is one.
    """

    kind: ClassVar[str] = "points"

    wall_mm: FloatArray
    sd_mm: float
    rotated: bool = False
    scale: ScaleError | None = None

    def __post_init__(self) -> None:
        """Freeze the coordinates too."""
        super().__post_init__()
        object.__setattr__(self, "wall_mm", frozen(self.wall_mm, len(self.picks_px), 2))

    @property
    def levels(self) -> bool:
        """A rotated frame says nothing of level and plumb."""
        return not self.rotated

    @property
    def _scales(self) -> tuple[Unknown, ...]:
        return self.scale.unknowns() if self.scale else ()

    def unknowns(self) -> tuple[Unknown, ...]:
        """Return plane, origin, turn if rotated, and a common scale error."""
        frame = frame_unknowns(self.name, turn=self.rotated)
        return (*self.relief(), *frame, *self._scales)

    def prior_keys(self) -> tuple[str, ...]:
        """Return the keys of a common scale error."""
        return tuple(unknown.key for unknown in self._scales)

    def initial(self, wall: OnWall) -> FloatArray:
        """Return the origin that fits the centroids."""
        frame = frame_start(self.wall_mm, wall.xy_mm, self.rotated)
        return np.array([self.projection_mm, *frame, *(0.0 for _ in self._scales)])

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
        placed = turned(self._drawn(own), angle)
        count = len(xy_mm)
        wrt_own = np.zeros((count, 2, len(own)))
        wrt_own[:, 0, 1] = wrt_own[:, 1, 2] = -1.0
        if self.rotated:
            wrt_own[:, 0, 3], wrt_own[:, 1, 3] = placed[:, 1], -placed[:, 0]
        for column, share in self._scale_columns():
            wrt_own[:, :, column] = -turned(self.wall_mm * share, angle)
        wrt_xy = np.broadcast_to(np.eye(2)[None, :, None, :], (count, 2, 1, 2))
        noise = np.broadcast_to(self.sd_mm**2 * np.eye(2), (count, 2, 2))
        misclosure = xy_mm - placed - own[1:3]
        return Conditions(misclosure, wrt_xy, wrt_own, noise, one_pick_each(count))

    def _scale_columns(self) -> list[tuple[int, FloatArray]]:
        """Return position among the unknowns, and share (2,), of each scale error."""
        first = 4 if self.rotated else 3
        return list(enumerate(self.scale.per_axis, first)) if self.scale else []

    def _drawn(self, own: FloatArray) -> FloatArray:
        """Return the coordinates (N, 2) with their common scale error."""
        columns = self._scale_columns()
        factor = np.ones(2) + sum(own[column] * share for column, share in columns)
        drawn: FloatArray = self.wall_mm * factor
        return drawn

    def resized(self, factor: float) -> Self:
        """Return it with its stated size multiplied."""
        return replace(self, wall_mm=self.wall_mm * factor)

    def size_error(self, own: FloatArray) -> SizeError:
        """Return the effect of coordinates in a wrong unit or scale.

        Where a common scale error has been allowed for, a wrong size is a wrong prior
        mean of that: what the other references with the same key state is wrong too.
        """
        size = float(np.ptp(self.wall_mm, axis=0).max())
        placed = turned(self._drawn(own), own[3] if self.rotated else 0.0)
        centred = placed - placed.mean(axis=0)
        columns = self._scale_columns()
        whole = {column: 1.0 for column, share in columns if share.all()}
        means = whole or {column: 1.0 for column, _ in columns}
        if not whole and len(means) < 2:
            return SizeError(-centred, {}, size)
        return SizeError(np.zeros_like(centred), means, size)


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
