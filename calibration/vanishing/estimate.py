"""Vanishing points of plumb and level, adjusted together within the camera's prior."""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from calibration.arrays import BoolArray, FloatArray, IntArray, rotation_from_vector
from calibration.edges.fit import EdgeFits
from calibration.lens import undistort
from calibration.priors import LEVEL_SD_PER_MM, PLUMB_SD_PER_MM, CameraPrior
from calibration.vanishing.model import NONE, PLUMB, Vanishing
from calibration.vanishing.search import (
    STEEP_RAD,
    Rays,
    guess_levels,
    guess_main,
    guess_plumb,
    misses,
)

MOST_LEVELS: Final = 3
_SLACK: Final = (0.012, 0.006, 0.004, 0.003, 0.003, 0.003)
"""Lean that still counts as one of the direction, by round: from a first guess down to
twice the tolerance of building."""

_EDGE_SD_PX: Final = 0.3
"""How well an edge stands for the line that was built: arris, joint, shadow."""

_REACH: Final = 3.0
_MOST_TURN_RAD: Final = 0.05
_SAME_WALL_RAD: Final = float(np.radians(6.0))
_STEP: Final = 1e-6
_LEAST_EDGES: Final = 4
_CHANCE: Final = 3.0
"""Three times what chance gives: sixty strays of 80 pixels stay unclear."""

_LEAST_WEIGHT: Final = 0.05
_CLEAR_SD_RAD: Final = float(np.radians(1.0))


@dataclass(frozen=True, slots=True, eq=False)
class _State:
    """Directions, and the lens they are seen with."""

    directions: FloatArray
    log_focal: float
    k1: float

    def moved(self, step: FloatArray, bearings: FloatArray) -> "_State":
        """Turn all together, each further level one about plumb by its own bearing."""
        turn = rotation_from_vector(step[:3])
        plumb = self.directions[PLUMB]
        turned = [
            *self.directions[:2],
            *(
                rotation_from_vector(plumb * angle) @ direction
                for angle, direction in zip(bearings, self.directions[2:], strict=True)
            ),
        ]
        return _State(
            np.array(turned) @ turn.T, self.log_focal + step[3], self.k1 + step[4]
        )


def find_vanishing(edges: EdgeFits, camera: CameraPrior) -> Vanishing | None:
    """Return plumb and the level directions of a photo's edges.

    Parameters
    ----------
    edges : EdgeFits
        Straight edges of the whole photo.
    camera : CameraPrior
        Focal length and lens with their spreads; the range of phones will do.

    Returns
    -------
    Vanishing or None
        None if no two directions are shared by several edges.
    """
    if len(edges) < 2 * _LEAST_EDGES:
        return None
    state = _State(np.zeros((1, 3)), float(np.log(camera.focal_px)), camera.k1)
    rays = _rays(edges, camera, state)
    plumb = guess_plumb(rays)
    free = np.flatnonzero(np.abs(misses(rays, plumb[None])[0]) > 0.02 * rays.length)
    if len(free) < _LEAST_EDGES:
        return None
    main = guess_main(rays, plumb, free)
    state = replace(state, directions=np.concatenate([plumb[None], main]))
    label = np.full(len(edges), NONE)
    covariance = np.zeros((5, 5))
    for slack in _SLACK:
        label = _labels(_rays(edges, camera, state), state, slack)
        state, covariance = _adjusted(edges, camera, state, label)
    state, label = _further_levels(edges, camera, state, label)
    return _result(edges, camera, state, label, covariance)


def _further_levels(
    edges: EdgeFits, camera: CameraPrior, state: _State, label: IntArray
) -> tuple[_State, IntArray]:
    """Add level directions of other walls, which leave the camera as it is.

    A false one would pull the focal length towards making it square to plumb.
    """
    rest = np.flatnonzero(label == NONE)
    if len(rest) < _LEAST_EDGES:
        return state, label
    rays = _rays(edges, camera, state)
    more = guess_levels(rays, state.directions[PLUMB], rest, MOST_LEVELS - 1)
    apart = np.abs(more @ state.directions[1]) < np.cos(_SAME_WALL_RAD)
    more = more[apart]
    state = replace(state, directions=np.concatenate([state.directions, more]))
    for slack in _SLACK[-3:]:
        label = _labels(rays, state, slack)
        bearings = _bearings(rays, state, label)
        state = state.moved(np.zeros(5), bearings)
    return state, _labels(rays, state, _SLACK[-1])


def _bearings(rays: Rays, state: _State, label: IntArray) -> FloatArray:
    """Return the turn about plumb that each further level direction needs."""
    turns = []
    for row in range(2, len(state.directions)):
        mine = label == row
        planes = rays.planes[mine]
        at = planes @ state.directions[row]
        slope = planes @ np.cross(state.directions[PLUMB], state.directions[row])
        weight = rays.length[mine]
        power = max(float(np.sum(weight * slope**2)), 1e-12)
        turn = -float(np.sum(weight * slope * at)) / power
        turns.append(min(max(turn, -_MOST_TURN_RAD), _MOST_TURN_RAD))
    return np.array(turns)


def _rays(edges: EdgeFits, camera: CameraPrior, state: _State) -> Rays:
    focal = float(np.exp(state.log_focal))
    seen = (edges.ends_px - camera.centre_px) / focal
    flat = undistort(seen.reshape(-1, 2), state.k1, camera.k2).points.reshape(-1, 2, 2)
    flat = np.where(np.isfinite(flat), flat, seen)
    ends = np.concatenate([flat, np.ones((len(flat), 2, 1))], axis=2)
    length = np.hypot(*(flat[:, 1] - flat[:, 0]).T)
    return Rays(ends, length, np.hypot(edges.sd_px, _EDGE_SD_PX) / focal)


def _slope(state: _State) -> FloatArray:
    """Return the building tolerance of each direction, radians (D,)."""
    count = len(state.directions)
    return np.array([PLUMB_SD_PER_MM] + [LEVEL_SD_PER_MM] * (count - 1))


def _labels(rays: Rays, state: _State, slack: float) -> IntArray:
    """Return the direction that each edge points to best, or NONE."""
    off = np.abs(misses(rays, state.directions)) / np.hypot(
        rays.sd, slack * rays.length / 2
    )
    best = off.argmin(axis=0)
    return np.where(off.min(axis=0) < _REACH, best, NONE).astype(np.intp)


def _residuals(
    edges: EdgeFits, camera: CameraPrior, state: _State, label: IntArray
) -> FloatArray:
    """Return normalised misses of the labelled edges."""
    rays = _rays(edges, camera, state)
    used = np.flatnonzero(label != NONE)
    mine = Rays(rays.ends[used], rays.length[used], rays.sd[used])
    off = misses(mine, state.directions)[label[used], np.arange(len(used))]
    sd = np.hypot(mine.sd, _slope(state)[label[used]] * mine.length / 2.0)
    normalised: FloatArray = off / sd
    return normalised


def _adjusted(
    edges: EdgeFits, camera: CameraPrior, state: _State, label: IntArray
) -> tuple[_State, FloatArray]:
    """One robust step of turn, bearings, focal length and k1, and its covariance."""
    count = 5 + len(state.directions) - 2
    base = _residuals(edges, camera, state, label)
    jacobian = np.empty((len(base), count))
    for column in range(count):
        nudge = np.zeros(count)
        nudge[column] = _STEP
        moved = state.moved(nudge[:5], nudge[5:])
        jacobian[:, column] = (_residuals(edges, camera, moved, label) - base) / _STEP
    weight = 1.0 / (1.0 + (base / 2.0) ** 2)
    prior = np.zeros(count)
    prior[3], prior[4] = 1.0 / camera.focal_log_sd**2, 1.0 / max(camera.k1_sd, 1e-9) ** 2
    # How a camera is usually held, for what no edge tells.
    prior[:3] += 1.0
    prior[5:] += 1.0
    normal = jacobian.T @ (weight[:, None] * jacobian) + np.diag(prior)
    so_far = np.zeros(count)
    so_far[3] = state.log_focal - np.log(camera.focal_px)
    so_far[4] = state.k1 - camera.k1
    goal = jacobian.T @ (weight * base) + prior * so_far
    step = np.asarray(-np.linalg.solve(normal, goal), dtype=np.float64)
    step = step * min(1.0, 0.2 / max(float(np.abs(step[:4]).max()), 1e-12))
    variance = max(1.0, float(np.sum(weight * base**2) / max(weight.sum() - count, 1.0)))
    covariance = np.linalg.inv(normal)
    # Edges of one house share their lean: the scatter does not average out.
    together = max(1.0, float((label != NONE).sum()) / _TOGETHER)
    data = covariance * variance * together
    capped = np.minimum(np.diag(data)[:5], _prior_variance(camera))
    scale = np.sqrt(capped / np.diag(data)[:5])
    return state.moved(step[:5], step[5:]), data[:5, :5] * np.outer(scale, scale)


_TOGETHER: Final = 24.0
"""However many edges, they count as about two dozen independent ones: courses of one
wall rise together and jambs were set with one level. On 160 drawn houses this still
states twice the errors that occur."""


def _prior_variance(camera: CameraPrior) -> FloatArray:
    return np.array([1.0, 1.0, 1.0, camera.focal_log_sd**2, max(camera.k1_sd, 1e-9) ** 2])


def _beyond_chance(rays: Rays, members: list[BoolArray]) -> BoolArray:
    """Tell which directions have more edges than strays would give them (D,).

    A stray agrees with a direction if its angle does: by as much as is allowed out of
    all angles that it could have. The best of many trials gets a few more.
    """
    way = rays.ends[:, 1] - rays.ends[:, 0]
    steep = np.abs(way[:, 0]) < np.tan(STEEP_RAD) * np.abs(way[:, 1])
    half = np.maximum(rays.length / 2.0, 1e-9)
    allowed = 2.0 * _REACH * np.hypot(rays.sd / half, _SLACK[-1])
    enough = []
    for row, mine in enumerate(members):
        alike, range_rad = (steep, 2.0 * STEEP_RAD) if row == PLUMB else (~steep, np.pi)
        chance = float(np.minimum(allowed[alike] / range_rad, 1.0).sum())
        enough.append(mine.sum() >= _CHANCE * chance + _LEAST_EDGES)
    return np.array(enough)


def _result(
    edges: EdgeFits,
    camera: CameraPrior,
    state: _State,
    label: IntArray,
    covariance: FloatArray,
) -> Vanishing:
    rays = _rays(edges, camera, state)
    total = max(float(rays.length.sum()), 1e-12)
    off = misses(rays, state.directions) * np.exp(state.log_focal)
    rows = range(len(state.directions))
    members = [label == row for row in rows]
    weight = np.array([rays.length[mine].sum() / total for mine in members])
    scatter = np.array(
        [
            np.sqrt(np.mean(off[row, mine] ** 2)) if mine.any() else np.inf
            for row, mine in zip(rows, members, strict=True)
        ]
    )
    # The wall that is looked at stays first, however long a side wall's edges are.
    others = 2 + np.argsort(-weight[2:])
    order = np.concatenate([[PLUMB, PLUMB + 1], others]).astype(np.intp)
    rank = np.empty(len(order), dtype=np.intp)
    rank[order] = np.arange(len(order))
    held = float(np.sqrt(np.diag(covariance)[:3].max())) < _CLEAR_SD_RAD
    enough = _beyond_chance(rays, members)
    return Vanishing(
        directions=state.directions[order],
        label=np.where(label == NONE, NONE, rank[label]).astype(np.intp),
        covariance=covariance,
        focal_px=float(np.exp(state.log_focal)),
        k1=state.k1,
        weight=weight[order],
        scatter_px=scatter[order],
        clear=(enough & (weight > _LEAST_WEIGHT) & held)[order],
    )
