"""What vanishing points tell: how the camera is held, and which edges say so."""

from dataclasses import dataclass

import numpy as np

from calibration.arrays import BoolArray, FloatArray, IntArray

PLUMB: int = 0
"""Index of plumb among the directions; level ones follow, the main wall's first."""

NONE: int = -1
"""Label of an edge that runs in none of the directions."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Vanishing:
    """Directions that many edges share.

    Attributes
    ----------
    directions : (D, 3) float64
        Unit vectors in the camera frame (x right, y down, z forward): row 0 plumb,
        upwards; the others level, to the right.
    label : (S,) int
        Direction of each edge, :data:`NONE` for the rest.
    covariance : (5, 5) float64
        Of a turn about the camera's axes (3, radians), log focal length and k1,
        given the prior; first order.
    focal_px, k1 : float
        Adjusted within the prior.
    weight : (D,) float64
        Length of the edges in each direction, by that of all edges.
    scatter_px : (D,) float64
        Root mean square distance of their ends from the line to the vanishing point.
    clear : (D,) bool
        Whether a direction is supported well enough to be used unasked.
    """

    directions: FloatArray
    label: IntArray
    covariance: FloatArray
    focal_px: float
    k1: float
    weight: FloatArray
    scatter_px: FloatArray
    clear: BoolArray

    @property
    def tilt_rad(self) -> float:
        """Elevation of the optical axis above the level, upwards positive."""
        return float(np.arcsin(np.clip(self.directions[PLUMB, 2], -1.0, 1.0)))

    @property
    def roll_rad(self) -> float:
        """Turn of the camera about its axis, clockwise as held positive."""
        up = self.directions[PLUMB]
        return float(np.arctan2(-up[0], -up[1]))

    @property
    def yaw_rad(self) -> float:
        """Turn of the optical axis from the main wall's normal, to the right positive."""
        along = self.directions[PLUMB + 1]
        out = np.cross(along, self.directions[PLUMB])
        # The axis in the wall's frame: along, and against the normal.
        return float(np.arctan2(along[2], -out[2]))

    @property
    def tilt_sd_rad(self) -> float:
        """Standard uncertainty of tilt and roll, the worse."""
        return float(np.sqrt(np.diag(self.covariance)[:2].max()))

    @property
    def focal_log_sd(self) -> float:
        """Standard uncertainty of the logarithm of the focal length."""
        return float(np.sqrt(self.covariance[3, 3]))


def vanishing_px(
    direction: FloatArray, focal_px: float, centre_px: FloatArray
) -> FloatArray:
    """Return the vanishing point (2,) of a direction, pixels of a pinhole.

    A direction across the line of sight has none and gives infinities.
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        point: FloatArray = centre_px + focal_px * direction[:2] / direction[2]
    return point
