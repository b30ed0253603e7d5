"""A traced soffit: level from the wall to its outer edge, so it shows its width."""

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from calibration.arrays import TINY, FloatArray
from calibration.camera import OnWall
from calibration.priors import OVERHANG_MEAN_MM, OVERHANG_SD_MM, SOFFIT_FALL_SD_MM
from calibration.references.base import (
    Conditions,
    Prior,
    Reference,
    Unknown,
    one_pick_each,
)
from calibration.references.hints import CoordinateHint, Hint

OVERHANG, HEIGHT, FALL = 0, 1, 2
"""Order of its unknowns."""


@dataclass(frozen=True, slots=True)
class Statement:
    """An overhang that somebody stated, used beside what the photo shows.

    Attributes
    ----------
    mean_mm, sd_mm : float
        The statement.
    line : str
        The line it was made for: the same line elsewhere is the same statement.
    """

    mean_mm: float
    sd_mm: float
    line: str


@dataclass(frozen=True, eq=False, kw_only=True)
class Soffit(Reference):
    """Wall edge and outer edge of one soffit, which share one height.

    Equations: ``y - height = 0`` for picks of the wall edge on the wall, and
    ``y - height - fall = 0`` for picks of the outer edge in the plane
    ``z = overhang``. Unknowns: overhang, height, fall.

    Attributes
    ----------
    wall_picks : int
        How many of the picks, the first ones, lie on the wall edge.
    fall_sd_mm : float
        How far from level the soffit may lie across its width.
    edge_sd_mm : float
        Waviness of its edges.
    stated : Statement or None
        A stated overhang.
    """

    kind: ClassVar[str] = "soffit"
    gives_size: ClassVar[bool] = False

    wall_picks: int
    fall_sd_mm: float = SOFFIT_FALL_SD_MM
    edge_sd_mm: float = 1.0
    stated: Statement | None = None

    def key(self, quantity: str) -> str:
        """Return the key of its overhang, height or fall."""
        return f"{self.name}: {quantity}"

    def unknowns(self) -> tuple[Unknown, ...]:
        """Return overhang, height and fall."""
        overhang = Unknown(
            key=self.key("overhang"), prior=self._overhang_prior(), scale=10.0
        )
        fall = Prior(
            mean=0.0, sd=self.fall_sd_mm, key=self.key("fall"), label="soffit not level"
        )
        return (
            overhang,
            Unknown(key=self.key("height"), scale=10.0, what=f"the height of {self.name}"),
            Unknown(key=self.key("fall"), prior=fall, scale=1.0),
        )

    def _overhang_prior(self) -> Prior:
        if self.stated is None:
            label = f"usual overhang of {self.name}"
            key = self.key("usual overhang")
            return Prior(mean=OVERHANG_MEAN_MM, sd=OVERHANG_SD_MM, key=key, label=label)
        return Prior(
            mean=self.stated.mean_mm,
            sd=self.stated.sd_mm,
            key=f"projection of {self.stated.line}",
            label="projection",
            shared=True,
        )

    def initial(self, wall: OnWall) -> FloatArray:
        """Return height from the wall edge, overhang from how far the outer edge misses.

        ``wall`` holds all picks brought to the wall: y of an outer pick falls by
        ``wrt_z`` per millimetre of overhang.
        """
        split = self.wall_picks
        height = float(wall.xy_mm[:split, 1].mean())
        lift = wall.wrt_z[split:, 1]
        miss = height - wall.xy_mm[split:, 1]
        overhang = float(miss @ lift) / max(float(lift @ lift), TINY)
        return np.array([np.clip(overhang, 0.0, 4 * OVERHANG_SD_MM), height, 0.0])

    def planes(self, own: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return zero for the wall edge and the overhang for the outer edge."""
        outer = (np.arange(len(self.picks_px)) >= self.wall_picks).astype(np.float64)
        slope = np.zeros((len(outer), len(own)))
        slope[:, OVERHANG] = outer
        return outer * own[OVERHANG], slope

    def hints(self) -> tuple[Hint, ...]:
        """Return that both edges are level."""
        split, count = self.wall_picks, len(self.picks_px)
        return tuple(
            CoordinateHint(edge, np.zeros(len(edge)), 1, self.edge_sd_mm)
            for edge in (np.arange(split), np.arange(split, count))
        )

    def conditions(self, xy_mm: FloatArray, own: FloatArray) -> Conditions:
        """Return one equation a pick."""
        count = len(xy_mm)
        outer = (np.arange(count) >= self.wall_picks).astype(np.float64)
        wrt_own = np.zeros((count, 1, len(own)))
        wrt_own[:, 0, HEIGHT] = -1.0
        wrt_own[:, 0, FALL] = -outer
        misclosure = xy_mm[:, 1] - own[HEIGHT] - own[FALL] * outer
        return Conditions(
            misclosure[:, None],
            np.broadcast_to(np.array([0.0, 1.0]), (count, 1, 1, 2)),
            wrt_own,
            np.full((count, 1, 1), self.edge_sd_mm**2),
            one_pick_each(count),
        )
