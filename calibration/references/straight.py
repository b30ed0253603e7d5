"""A straight edge, for the lens."""

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from calibration.arrays import FloatArray
from calibration.camera import OnWall
from calibration.references.base import Conditions, Reference, Unknown, one_pick_each


@dataclass(frozen=True, eq=False, kw_only=True)
class Straight(Reference):
    """Three or more picks on one straight edge, at any distance from the wall.

    A straight edge in space stays straight when brought to the wall, whatever its
    depth, so the equations are ``x cos a + y sin a - d = 0``. Unknowns: a, d.

    Attributes
    ----------
    sd_mm : float
        How straight the edge is.
    """

    kind: ClassVar[str] = "straight"
    gives_level: ClassVar[bool] = False
    gives_size: ClassVar[bool] = False

    sd_mm: float = 1.0

    def unknowns(self) -> tuple[Unknown, ...]:
        """Return direction of the normal and distance from the wall's origin."""
        return (
            Unknown(key=f"{self.name}: direction", scale=0.001, what=self.name),
            Unknown(key=f"{self.name}: distance", scale=10.0, what=self.name),
        )

    def initial(self, wall: OnWall) -> FloatArray:
        """Return the line of least squared distances."""
        centre = wall.xy_mm.mean(axis=0)
        *_, rows = np.linalg.svd(wall.xy_mm - centre, full_matrices=False)
        return np.array([np.arctan2(rows[1, 1], rows[1, 0]), rows[1] @ centre])

    def conditions(self, xy_mm: FloatArray, own: FloatArray) -> Conditions:
        """Return one equation a pick."""
        normal = np.array([np.cos(own[0]), np.sin(own[0])])
        along = np.array([-normal[1], normal[0]])
        count = len(xy_mm)
        wrt_own = np.stack([xy_mm @ along, np.full(count, -1.0)], axis=1)[:, None]
        return Conditions(
            (xy_mm @ normal - own[1])[:, None],
            np.broadcast_to(normal, (count, 1, 1, 2)),
            wrt_own,
            np.full((count, 1, 1), self.sd_mm**2),
            one_pick_each(count),
        )
