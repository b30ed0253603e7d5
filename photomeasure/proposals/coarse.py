"""Which of a photo's level edges are worth a close look: by where they lie alone."""

from typing import Final

import numpy as np

from calibration.arrays import FloatArray, IntArray
from photomeasure.job.schema import Role
from photomeasure.proposals.beside import Beside, Uprights, beside
from photomeasure.proposals.reading import Reading

_LEAST_LENGTH: Final = 0.06
_MOST_COARSE: Final = 60


def coarse_levels(reading: Reading, wall: int) -> IntArray:
    """Return level edges of a wall that are long and above eye level."""
    mine = reading.vanishing.label == wall
    mine &= reading.edges.length_px > _LEAST_LENGTH * reading.side_px
    places = reading.on_wall(reading.edges.ends_px, wall)
    with np.errstate(invalid="ignore"):
        mine &= (places[..., 1] > 0.0).all(axis=1)
    return np.flatnonzero(mine)[:_MOST_COARSE]


def place_odds(
    reading: Reading, wall: int, ends: FloatArray, columns: Uprights, role: Role
) -> FloatArray:
    """Return how well coarse lines (S, 2, 2) lie for a role, log odds (S,)."""
    look = beside(reading, ends)
    places = reading.on_wall(ends, wall)
    length = np.hypot(*(ends[:, 1] - ends[:, 0]).T)
    relative = np.log(length / max(float(length.max()), 1.0))
    height = places[..., 1].mean(axis=1)
    shape = np.array([_rising(columns, place) for place in places])
    if role is Role.RIDGE:
        return _ridge_odds(look, relative, height, shape)
    return _eaves_odds(look, relative, shape)


def _rising(columns: Uprights, place: FloatArray) -> tuple[float, float, float]:
    """Return the share of uprights below, the gap to them and how many reach up."""
    left, right = float(place[:, 0].min()), float(place[:, 0].max())
    height = float(place[:, 1].mean())
    below, above = columns.about(left, right, height)
    total = max(below + above, 1e-9)
    return (
        below / total,
        columns.gap_below(left, right, height),
        columns.standing(left, right, height),
    )


def _eaves_odds(look: Beside, relative: FloatArray, shape: FloatArray) -> FloatArray:
    """Long, wall below and roof or sky above, uprights that reach up to it."""
    below, gap, standing = shape.T
    odds: FloatArray = (
        1.45 * relative
        + 1.5 * (look.differs - 0.5)
        - 0.7 * look.sky_above
        - 0.5 * look.sky_below
        + 3.1 * (below - 0.8)
        - 2.0 * np.clip(gap - 0.08, 0.0, 0.5)
        + 0.8 * np.minimum(standing, 2.0)
    )
    return odds


def _ridge_odds(
    look: Beside, relative: FloatArray, height: FloatArray, shape: FloatArray
) -> FloatArray:
    """Sky above and none below, well above the uprights."""
    _, gap, standing = shape.T
    odds: FloatArray = (
        1.0 * relative
        + 4.0 * (look.sky_above - 0.7)
        - 3.0 * look.sky_below
        + 4.0 * np.clip(gap, 0.0, 0.3)
        - 1.0 * np.minimum(standing, 2.0)
        + 0.5 * np.log(np.maximum(height / max(float(height.max()), 1e-9), 1e-3))
    )
    return odds


def distinct(reading: Reading, ranked: IntArray, most: int) -> list[int]:
    """Return the best edges, no two in one bundle."""
    taken: list[int] = []
    near = 0.01 * reading.side_px
    for row in ranked:
        ends = reading.edges.ends_px[row]
        if all(apart(ends, reading.edges.ends_px[other]) > near for other in taken):
            taken.append(int(row))
        if len(taken) == most:
            break
    return taken


def apart(first: FloatArray, second: FloatArray) -> FloatArray:
    """Return how far nearly parallel segments (..., 2, 2) lie apart, large if end to end.

    Parameters
    ----------
    first, second : (..., 2, 2) float64
        Ends, of shapes that broadcast.

    Returns
    -------
    (...) float64
        From the middle of the first to the line of the second.
    """
    way = second[..., 1, :] - second[..., 0, :]
    size = np.maximum(np.hypot(way[..., 0], way[..., 1]), 1e-9)
    unit = way / size[..., None]
    middle = first.mean(axis=-2) - second[..., 0, :]
    along = np.sum(middle * unit, axis=-1)
    own = first[..., 1, :] - first[..., 0, :]
    half = np.hypot(own[..., 0], own[..., 1]) / 2.0
    off = np.abs(middle[..., 1] * unit[..., 0] - middle[..., 0] * unit[..., 1])
    return np.where((along < -half) | (along > size + half), np.inf, off)
