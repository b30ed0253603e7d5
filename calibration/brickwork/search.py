"""Walls that might be brickwork: fields of tiles brought to a plane and looked at."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from calibration.arrays import FloatArray
from calibration.brickwork.bonds import (
    Bond,
    BondFit,
    Perpends,
    correlations,
    fit_bonds,
    read_perpends,
)
from calibration.brickwork.field import Field, grow_fields
from calibration.brickwork.raster import Level
from calibration.brickwork.rows import Folded, fold
from calibration.brickwork.strip import PIXELS_A_COURSE, Flattened, flatten
from calibration.brickwork.tiles import STEP_PX, Tiles, find_tiles
from calibration.brickwork.wallplane import (
    BedFit,
    View,
    WallPlane,
    fit_beds,
    metric_plane,
)
from calibration.errors import NoBrickwork

FIELDS_A_LEVEL: Final = 3
_TILE_SD: Final = 0.05
"""Scatter of a tile's phase, courses; measured on the rendered houses."""

_TILE_WEIGHT: Final = 0.3
"""Neighbouring tiles share three quarters of their pixels."""

_MATCH_PHASE: Final = 0.2
_MATCH_WAVE: Final = 0.12
_FEWEST_TILES: Final = 5
_FEWEST_NEIGHBOURS: Final = 2
"""A lone tile that agrees by chance is no wall."""

_TILE_HALF: Final = 0.6
"""Half-width of what a tile vouches for, in steps of the grid."""

_ROOMY: Final = 80
"""Tiles of a picture whose copy half as large has room for a field too: courses twice as
high as what repeats are looked for there, sooner and in less time."""

_FEWEST_COURSES: Final = 3.0

MOST_LEAN: Final = float(np.radians(42.0))
"""Roofs lean back by 90 degrees less their pitch and the ground by still more; walls by
the tilt of the camera, 20 degrees at most, or some 30 if the focal length is a guess."""

LEANS: Final = NoBrickwork(
    "what repeats in the photo leans away like a roof or the ground, not like a wall",
    "show more of the brickwork, or take the scale from something else",
)


@dataclass(frozen=True, slots=True, eq=False)
class Candidate:
    """A wall that was flattened and looked at.

    Attributes
    ----------
    plane : WallPlane
        Counts of courses.
    tiles : int
        How many tiles support it.
    course_px : float
        Middle height of its courses in the photo.
    support : (N, 4, 2) float64
        Corners of the supporting squares in the photo.
    flat : Flattened
    folded : Folded
    perpends : Perpends
    bonds : list of BondFit
        The best first.
    area_courses : float
        Area of the wall that is seen, in squares of one course.
    reach : float
        How far it may go on beyond the squares, courses: a tile that is mostly wall
        vouches for a square, one that is partly wall does not.
    """

    plane: WallPlane
    tiles: int
    course_px: float
    support: FloatArray
    flat: Flattened
    folded: Folded
    perpends: Perpends
    bonds: list[BondFit]
    area_courses: float
    reach: float

    @property
    def merit(self) -> float:
        """How much of a brick wall it is, for choosing between candidates."""
        lap = [fit for fit in self.bonds if fit.bond is not Bond.ALIGNED]
        gain = max(fit.agreement for fit in lap)
        return self.folded.break_ * max(gain, 0.05) * float(np.sqrt(self.area_courses))


@dataclass(frozen=True, slots=True, eq=False)
class Region:
    """Where to look, in the photo: left, top, right, bottom."""

    box_px: tuple[float, float, float, float]

    def holds(self, points_px: FloatArray) -> NDArray[np.bool_]:
        """Return which points (N, 2) lie inside."""
        left, top, right, bottom = self.box_px
        x, y = points_px.T
        return np.asarray((x >= left) & (x <= right) & (y >= top) & (y <= bottom))


def candidates(
    view: View, levels: tuple[Level, ...], search: Sequence[Level], region: Region | None
) -> Iterator[Candidate | NoBrickwork]:
    """Yield the walls found on some levels of the pyramid, the largest first.

    Parameters
    ----------
    view : View
    levels : tuple of Level
    search : sequence of Level
        Where to look for repetition.
    region : Region or None
        Where walls have to begin.

    Yields
    ------
    Candidate or NoBrickwork
        The refusal says why something that repeats is no wall.
    """
    found: list[tuple[float, Tiles, Field]] = []
    for level in search:
        tiles = find_tiles(level)
        seeds = tiles if region is None else _within(tiles, region)
        fields = grow_fields(seeds, FIELDS_A_LEVEL)
        found += [(field.strength * level.scale**2, tiles, field) for field in fields]
    found.sort(key=lambda entry: -entry[0])
    for _, tiles, field in found:
        fitted = _settle(view, tiles, field)
        if fitted is None:
            continue
        if abs(metric_plane(fitted[0]).lean_rad) > MOST_LEAN:
            yield LEANS
            continue
        candidate = _look(levels, tiles, *fitted)
        if candidate is not None:
            yield candidate


def _within(tiles: Tiles, region: Region) -> Tiles:
    keep = region.holds(tiles.centre_px)
    return Tiles(
        tiles.grid[keep],
        tiles.centre_px[keep],
        tiles.wave_px[keep],
        tiles.phase[keep],
        tiles.share[keep],
        tiles.scale,
    )


def _settle(
    view: View, tiles: Tiles, field: Field
) -> tuple[BedFit, NDArray[np.intp]] | None:
    """Fit a plane to a field and gather all tiles that agree with it."""
    points, count = field.centre_px, field.count
    fit = None
    index: NDArray[np.intp] = np.zeros(0, np.intp)
    for _ in range(3):
        fit = fit_beds(view, points, count, _TILE_WEIGHT, _TILE_SD)
        if fit is None:
            return None
        index, count = _matching(tiles, fit)
        if len(index) < _FEWEST_TILES:
            return None
        points = tiles.centre_px[index]
    fit = fit_beds(view, points, count, _TILE_WEIGHT, _TILE_SD)
    return None if fit is None else (fit, index)


def _matching(tiles: Tiles, fit: BedFit) -> tuple[NDArray[np.intp], FloatArray]:
    """Return tiles that agree with a plane in wave and phase, and their counts."""
    v, wave = fit.counts(tiles.centre_px), fit.waves(tiles.centre_px)
    size = np.hypot(*wave.T)
    ahead = tiles.phase - v[:, None]
    whole = np.round(ahead)
    misfit = np.abs(ahead - whole) / _MATCH_PHASE
    change = np.linalg.norm(tiles.wave_px - wave[:, None], axis=2) / size[:, None]
    cost = np.maximum(misfit, change / _MATCH_WAVE) + 9.0 * (tiles.share < 0.02)
    cost = np.where(np.isfinite(cost), cost, 9.0)
    pick = np.argmin(cost, axis=1)
    row = np.arange(len(cost))
    agrees = cost[row, pick] < 1.0
    columns, rows = tiles.grid.max(axis=0) + 3
    board = np.zeros((rows, columns), np.intp)
    board[tiles.grid[agrees, 1] + 1, tiles.grid[agrees, 0] + 1] = 1
    around = sum(
        board[tiles.grid[:, 1] + 1 + dy, tiles.grid[:, 0] + 1 + dx]
        for dx in (-1, 0, 1)
        for dy in (-1, 0, 1)
        if (dx, dy) != (0, 0)
    )
    index = np.flatnonzero(agrees & (around >= _FEWEST_NEIGHBOURS))
    return index, tiles.phase[index, pick[index]] - whole[index, pick[index]]


def _look(
    levels: tuple[Level, ...], tiles: Tiles, fit: BedFit, index: NDArray[np.intp]
) -> Candidate | None:
    """Flatten a plane, settle its octave, and read its bond."""
    plane = metric_plane(fit)
    square = STEP_PX * tiles.scale * _TILE_HALF
    corners = square * np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]])
    support = tiles.centre_px[index][:, None] + corners
    flat = flatten(plane, levels, support)
    folded = fold(flat)
    for _ in range(2):
        factor = folded.count_factor()
        if factor == 1.0:
            break
        if factor < 1.0 and len(tiles.grid) >= _ROOMY:
            return None
        plane = plane.scaled(factor, factor)
        flat = flatten(plane, levels, support)
        if _too_small(flat):
            return None
        folded = fold(flat)
    if _too_small(flat):
        return None
    perpends = read_perpends(folded, flat.inside)
    area = float(flat.inside.mean()) * flat.image.size / PIXELS_A_COURSE**2
    course_px = _course_px(plane, support.mean(axis=1))
    return Candidate(
        plane,
        len(index),
        course_px,
        support,
        flat,
        folded,
        perpends,
        fit_bonds(*correlations(perpends)),
        area,
        STEP_PX * tiles.scale / course_px,
    )


def _too_small(flat: Flattened) -> bool:
    height, width = flat.image.shape
    return bool(min(height, width) < _FEWEST_COURSES * PIXELS_A_COURSE)


def _course_px(plane: WallPlane, points_px: FloatArray) -> float:
    """Return the middle height of a course at places of the photo, pixels."""
    counts = plane.counts(points_px)
    step = np.array([0.0, 0.5])
    ends = plane.pixels(counts + step) - plane.pixels(counts - step)
    return float(np.nanmedian(np.linalg.norm(ends, axis=1)))
