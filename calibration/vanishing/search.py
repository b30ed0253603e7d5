"""First guess of plumb and of the level directions, from edges as rays.

The camera is held about upright, so plumb is looked for among pairs of steep edges.
Every other edge then meets the horizon at one bearing; level edges crowd at a few.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from calibration.arrays import FloatArray, IntArray

MOST_ROLL_RAD: Final = float(np.radians(15.0))
MOST_TILT_RAD: Final = float(np.radians(50.0))
"""Beyond this nobody measures a house. Common practice, no source."""

STEEP_RAD: Final = float(np.radians(30.0))
_PAIRS_FROM: Final = 40
_USUAL_TILT_SD_RAD: Final = float(np.radians(15.0))
_USUAL_ROLL_SD_RAD: Final = float(np.radians(4.0))
_BEARINGS: Final = 720
_SEPARATE_RAD: Final = float(np.radians(12.0))
_FACING_SD_RAD: Final = float(np.radians(32.0))
"""How squarely people stand before the wall they measure. The edges of a rake cross the
horizon close together too, but at bearings of 45 degrees and more off the wall's."""

_TRIALS: Final = 5
_LONGEST: Final = 0.2
"""Length beyond which an edge counts no more, units of the focal length."""

_MAIN_SLACK: Final = 0.008
_SPREAD: Final = 0.08
"""Standard deviation of heights, units of the focal length, of a wall's level edges: a
bungalow at 15 m has more, a board with its gutter a tenth."""

_LEAST_PEAK: Final = 0.2
"""A further direction needs this share of the votes of the first."""


@dataclass(frozen=True, slots=True, eq=False)
class Rays:
    """Straight edges as seen by a pinhole of focal length one.

    Attributes
    ----------
    ends : (S, 2, 3) float64
        Rays to the ends, z = 1.
    length : (S,) float64
        Units of the focal length.
    sd : (S,) float64
        Of an end, across, the same units.
    """

    ends: FloatArray
    length: FloatArray
    sd: FloatArray

    @property
    def planes(self) -> FloatArray:
        """Unit normals (S, 3) of the planes through eye and edge."""
        cross = np.cross(self.ends[:, 0], self.ends[:, 1])
        unit: FloatArray = cross / np.maximum(
            np.linalg.norm(cross, axis=1, keepdims=True), 1e-15
        )
        return unit


def misses(rays: Rays, directions: FloatArray) -> FloatArray:
    """Return how far ends lie off lines from middles to vanishing points.

    Parameters
    ----------
    rays : Rays
        S edges.
    directions : (H, 3) float64
        Unit vectors.

    Returns
    -------
    (H, S) float64
        Of the second end, units of the focal length; the first end misses by as much
        the other way.
    """
    middle = rays.ends.mean(axis=1)
    # l = middle x direction; distance of the end is l . end / |l_xy|.
    line_x = np.outer(directions[:, 2], middle[:, 1]) - np.outer(
        directions[:, 1], middle[:, 2]
    )
    line_y = np.outer(directions[:, 0], middle[:, 2]) - np.outer(
        directions[:, 2], middle[:, 0]
    )
    half = (rays.ends[:, 1] - rays.ends[:, 0]) / 2.0
    size = np.maximum(np.hypot(line_x, line_y), 1e-12)
    # The middle lies on the line and half has no z, so only x and y count.
    missed: FloatArray = (line_x * half[:, 0] + line_y * half[:, 1]) / size
    return missed


def tolerance(rays: Rays, slack: float) -> FloatArray:
    """Return how far an end may miss: its own sd and a share of its length, (S,)."""
    allowed: FloatArray = np.hypot(rays.sd, slack * rays.length)
    return allowed


def agreement(rays: Rays, directions: FloatArray, slack: float) -> FloatArray:
    """Return the length of edges (H,) that point to each direction."""
    off = misses(rays, directions) / tolerance(rays, slack)
    total: FloatArray = np.exp(-0.5 * off**2) @ rays.length
    return total


def guess_plumb(rays: Rays) -> FloatArray:
    """Return the direction of plumb, upwards, unit vector (3,)."""
    way = rays.ends[:, 1] - rays.ends[:, 0]
    steep = np.abs(way[:, 0]) < np.tan(STEEP_RAD) * np.abs(way[:, 1])
    level_held = np.array([[0.0, -1.0, 0.0]])
    order = np.flatnonzero(steep)
    order = order[np.argsort(-rays.length[order])][:_PAIRS_FROM]
    a, b = np.triu_indices(len(order), 1)
    planes = rays.planes[order]
    trial = np.cross(planes[a], planes[b])
    size = np.linalg.norm(trial, axis=1)
    trial = trial[size > 1e-9] / size[size > 1e-9, None]
    trial = np.concatenate([level_held, -np.sign(trial[:, 1:2]) * trial])
    tilt = np.arcsin(np.clip(trial[:, 2], -1.0, 1.0))
    roll = np.arctan2(-trial[:, 0], -trial[:, 1])
    held = (np.abs(tilt) < MOST_TILT_RAD) & (np.abs(roll) < MOST_ROLL_RAD)
    trial, tilt, roll = trial[held], tilt[held], roll[held]
    chosen = Rays(rays.ends[steep], rays.length[steep], rays.sd[steep])
    votes = agreement(chosen, trial, 0.004)
    # The rolls of a tiled roof share a point too, as if the camera looked far up.
    usual = (tilt / _USUAL_TILT_SD_RAD) ** 2 + (roll / _USUAL_ROLL_SD_RAD) ** 2
    best: FloatArray = trial[np.argmax(votes * np.exp(-usual / 8.0))]
    return best


def horizon_axes(plumb: FloatArray) -> FloatArray:
    """Return two level unit vectors (2, 3): to the right and away from the camera."""
    right = np.cross(np.array([0.0, 0.0, 1.0]), plumb)
    right = np.array([1.0, 0.0, 0.0]) if np.hypot(*right[:2]) < 1e-9 else right
    right = right - (right @ plumb) * plumb
    right = right / np.linalg.norm(right)
    right = right * (1.0 if right[0] >= 0.0 else -1.0)
    away = np.cross(plumb, right)
    away = away * (1.0 if away[2] >= 0.0 else -1.0)
    return np.stack([right, away])


def _votes_of(length: FloatArray) -> FloatArray:
    """Return how much edges count (S,): no wire across the photo outvotes a wall."""
    return np.minimum(length, _LONGEST)


def guess_main(rays: Rays, plumb: FloatArray, free: IntArray) -> FloatArray:
    """Return the level direction of the wall that is looked at, (1, 3).

    Its edges lie at many heights. The edges of one rake share a point near the horizon
    too, but they lie side by side.
    """
    trial = guess_levels(rays, plumb, free, _TRIALS)
    mine = Rays(rays.ends[free], rays.length[free], rays.sd[free])
    off = misses(mine, trial) / tolerance(mine, _MAIN_SLACK)
    member = np.exp(-0.5 * off**2) * _votes_of(mine.length)
    middle = mine.ends.mean(axis=1)[:, :2]
    worth = []
    for weight, direction in zip(member, trial, strict=True):
        way = direction[:2] - direction[2] * np.average(middle, axis=0, weights=weight)
        normal = np.array([-way[1], way[0]]) / max(float(np.hypot(*way)), 1e-12)
        height = middle @ normal
        mean = np.average(height, weights=weight)
        spread = np.sqrt(np.average((height - mean) ** 2, weights=weight))
        facing = np.arctan2(abs(direction[2]), abs(direction[0])) / _FACING_SD_RAD
        worth.append(
            float(weight.sum() * np.exp(-0.5 * facing**2) * min(spread / _SPREAD, 1.0))
        )
    best: FloatArray = trial[[int(np.argmax(worth))]]
    return best


def guess_levels(rays: Rays, plumb: FloatArray, free: IntArray, most: int) -> FloatArray:
    """Return level directions that many of the free edges share, (D, 3).

    Strongest first; each points to the right of the picture.
    """
    axes = horizon_axes(plumb)
    planes = rays.planes[free]
    across, deep = planes @ axes[0], planes @ axes[1]
    bearing = np.arctan2(-across, deep)
    # Turned about its middle by its tolerance, where does the edge meet the horizon?
    share = np.clip(np.hypot(across, deep), 0.02, 1.0)
    half = np.maximum(rays.length[free] / 2.0, 1e-6)
    spread = np.clip(np.hypot(rays.sd[free] / half, 0.008) / share, 0.004, 0.2)
    grid = np.arange(_BEARINGS) * np.pi / _BEARINGS
    off = np.mod(grid[:, None] - bearing + np.pi / 2.0, np.pi) - np.pi / 2.0
    # Long edges tell more, and an edge that hardly tells is spread thin.
    votes = (np.exp(-0.5 * (off / spread) ** 2) * (0.01 / np.hypot(spread, 0.01))) @ (
        _votes_of(rays.length[free])
    )
    # Axes are to the right and away: a wall seen squarely runs along the first.
    facing = np.mod(grid + np.pi / 2.0, np.pi) - np.pi / 2.0
    votes = votes * np.exp(-0.5 * (facing / _FACING_SD_RAD) ** 2)
    found: list[FloatArray] = []
    left = votes.copy()
    for _ in range(most):
        best = int(left.argmax())
        if left[best] < _LEAST_PEAK * votes.max():
            break
        found.append(np.cos(grid[best]) * axes[0] + np.sin(grid[best]) * axes[1])
        apart = np.mod(grid - grid[best] + np.pi / 2.0, np.pi) - np.pi / 2.0
        left[np.abs(apart) < _SEPARATE_RAD] = 0.0
    directions = np.array(found).reshape(-1, 3)
    return directions * np.where(directions[:, :1] < 0.0, -1.0, 1.0)
