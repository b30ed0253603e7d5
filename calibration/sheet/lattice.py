"""From saddle-like places to grids of them: neighbours joined by one straight edge."""

from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from calibration.arrays import FloatArray, GreyImage, IntArray
from calibration.sheet.candidates import Candidates
from calibration.sheet.plane import largest_plane
from calibration.sheet.pyramid import sample

CELL_RANGE_PX: Final = (7.0, 32.0)
"""Cells that are looked for in one level. The next smaller level takes over at twice
the smallest; the rest is for cells seen obliquely."""

_MOST_PAIRS: Final = 600_000
"""Pairs of neighbours that are looked at; only a wallpaper of corners has more."""

_ALONG: Final = np.array([0.3, 0.4, 0.5, 0.6, 0.7])
_ASIDE: Final = 0.14
"""Where the picture is compared across an edge, in cells: clear of dots."""

_LEAST_ASIDE_PX: Final = 1.3
_LEAST_STEP: Final = 0.35
"""Step across an edge per swing of the rings at its ends; the margin is for blur."""

_SMALLEST: Final = 6
"""Corners of a grid that is worth naming."""

_LARGEST: Final = 60
"""More than a sheet has: a chessboard, a fence, a grating."""

_SEEDS: Final = 6
"""Corners from which numbering is tried."""

_MISFIT: Final = 0.16
"""How far a corner may lie from its place in the grid, in cells."""


@dataclass(frozen=True, slots=True, eq=False)
class Grid:
    """Corners with whole coordinates.

    Attributes
    ----------
    xy_px : (N, 2) float64
        Of the level.
    grid : (N, 2) int
        Columns to the right and rows upwards as printed, up to a turn by quarters
        and a shift; smallest 0.
    odd : bool
        Whether the cell right of and above corner (0, 0) is light.
    """

    xy_px: FloatArray
    grid: IntArray
    odd: bool


def find_grids(image: GreyImage, candidates: Candidates) -> Iterator[Grid]:
    """Join candidates to grids.

    Parameters
    ----------
    image : (H, W) uint8
        The level they were found in.
    candidates : Candidates

    Yields
    ------
    Grid
        Of at least six corners that fit one plane.
    """
    pairs = _edges(image, candidates)
    count = len(candidates.xy_px)
    if not len(pairs):
        return
    ones = np.ones(len(pairs), dtype=np.int8)
    graph = coo_array((ones, (pairs[:, 0], pairs[:, 1])), shape=(count, count))
    _, label = connected_components(graph, directed=False)
    sizes = np.bincount(label)
    neighbours: dict[int, list[int]] = {}
    for i, j in pairs.tolist():
        if sizes[label[i]] >= _SMALLEST:
            neighbours.setdefault(i, []).append(j)
            neighbours.setdefault(j, []).append(i)
    for part in np.flatnonzero((sizes >= _SMALLEST) & (sizes <= _LARGEST)):
        members = np.flatnonzero(label == part)
        grid = _numbered(candidates, members, neighbours)
        if grid is not None:
            yield grid


def _edges(image: GreyImage, candidates: Candidates) -> IntArray:
    """Return pairs (P, 2) of candidates with an edge of the right sign between them."""
    xy = candidates.xy_px
    pairs = _near(xy)
    apart = xy[pairs[:, 1]] - xy[pairs[:, 0]]
    length = np.hypot(*apart.T)
    second = candidates.second
    turn = np.real(second[pairs[:, 0]] * np.conj(second[pairs[:, 1]]))
    size = np.abs(second[pairs[:, 0]]) * np.abs(second[pairs[:, 1]])
    # Along an edge the colours swap from each corner to the next.
    keep = (length >= CELL_RANGE_PX[0]) & (turn < -0.5 * size)
    pairs, apart, length = pairs[keep], apart[keep], length[keep]
    angle = np.arctan2(apart[:, 1], apart[:, 0])
    swings = 2.0 * np.abs(second[pairs])
    keep = np.abs(candidates.towards(pairs[:, 0], angle)) < 0.7 * swings[:, 0]
    keep &= swings.min(axis=1) > 0.4 * swings.max(axis=1)
    pairs, apart, length, angle = pairs[keep], apart[keep], length[keep], angle[keep]
    expected = candidates.towards(pairs[:, 0], angle + np.pi / 4.0)
    expected = expected - candidates.towards(pairs[:, 0], angle - np.pi / 4.0)
    aside = np.maximum(_ASIDE * length, _LEAST_ASIDE_PX) / length
    side = np.stack([-apart[:, 1], apart[:, 0]], axis=1) * aside[:, None]
    middle = xy[pairs[:, 0], None] + apart[:, None] * _ALONG[None, :, None]
    step = sample(image, middle + side[:, None]) - sample(image, middle - side[:, None])
    agreed = step * np.sign(expected)[:, None]
    swing = 2.0 * np.abs(second[pairs]).min(axis=1)
    found: IntArray = pairs[agreed.min(axis=1) > _LEAST_STEP * swing]
    return found


def _near(xy: FloatArray) -> IntArray:
    """Return pairs (P, 2) of points within the largest cell, not too many."""
    if len(xy) < 2:
        return np.zeros((0, 2), dtype=np.intp)
    tree = cKDTree(xy)
    reach = CELL_RANGE_PX[1]
    while tree.count_neighbors(tree, reach) > 2 * _MOST_PAIRS:
        reach *= 0.7
    return np.asarray(tree.query_pairs(reach, output_type="ndarray"), np.intp)


def _numbered(
    candidates: Candidates, members: IntArray, neighbours: dict[int, list[int]]
) -> Grid | None:
    """Give the corners of one component whole coordinates; None if they fit no plane.

    A component may hold impostors beside a corner, so the best of several seeds is kept.
    """
    seeds = sorted(members.tolist(), key=lambda i: -len(neighbours[i]))[:_SEEDS]
    grids = [_grown(candidates, seed, neighbours) for seed in seeds]
    found = [grid for grid in grids if grid is not None]
    return max(found, key=lambda grid: len(grid.grid), default=None)


def _grown(
    candidates: Candidates, seed: int, neighbours: dict[int, list[int]]
) -> Grid | None:
    """Return a seed with its neighbours, theirs, and so on, numbered."""
    xy = candidates.xy_px
    frame = _frame(xy, seed, neighbours[seed])
    if frame is None:
        return None
    place = {seed: (0, 0)}
    taken = {(0, 0)}
    frames = {seed: frame}
    queue = deque([seed])
    while queue:
        i = queue.popleft()
        for j in neighbours[i]:
            step = _unit_step(xy[j] - xy[i], frames[i])
            if j in place or step is None:
                continue
            there = (place[i][0] + step[0], place[i][1] + step[1])
            if there in taken:
                continue  # something beside the corner that was reached before it
            place[j] = there
            taken.add(there)
            frames[j] = _carried(frames[i], xy[j] - xy[i], step)
            queue.append(j)
    return _checked(candidates, place)


def _frame(xy: FloatArray, seed: int, near: list[int]) -> FloatArray | None:
    """Return steps along columns and rows (2, 2), turned as on paper."""
    steps = xy[near] - xy[seed]
    first = steps[0]
    for other in steps[1:]:
        cross = first[0] * other[1] - first[1] * other[0]
        if abs(cross) > 0.4 * np.hypot(*first) * np.hypot(*other):
            # x right and y up has a negative cross product where image y points down.
            return np.array([first, other if cross < 0.0 else -other])
    return None


def _unit_step(apart: FloatArray, frame: FloatArray) -> tuple[int, int] | None:
    along = np.linalg.solve(frame.T, apart)
    step = np.round(along)
    whole = np.abs(along - step).max() < 0.35 and np.abs(step).sum() == 1
    return (int(step[0]), int(step[1])) if whole else None


def _carried(frame: FloatArray, apart: FloatArray, step: tuple[int, int]) -> FloatArray:
    """Return the frame at a neighbour: the step that led there is known better."""
    axis = 0 if step[0] else 1
    carried = frame.copy()
    carried[axis] = apart * (step[axis])
    return carried


def _checked(candidates: Candidates, place: dict[int, tuple[int, int]]) -> Grid | None:
    members = np.array(list(place), dtype=np.intp)
    grid = np.array(list(place.values()), dtype=np.intp)
    if len(grid) < _SMALLEST:
        return None
    xy = candidates.xy_px[members]
    kept = _on_one_plane(grid, xy)
    if len(kept) < _SMALLEST:
        return None
    members, grid, xy = members[kept], grid[kept] - grid[kept].min(axis=0), xy[kept]
    steps = _frame_of(grid, xy)
    diagonal = steps[0] + steps[1]
    angle = np.full(len(members), np.arctan2(diagonal[1], diagonal[0]))
    light = candidates.towards(members, angle) > 0.0
    odd = light ^ (grid.sum(axis=1) % 2 == 1)
    if abs(np.mean(odd) - 0.5) < 0.4:
        return None
    return Grid(xy, grid, bool(np.mean(odd) > 0.5))


def _frame_of(grid: IntArray, xy: FloatArray) -> FloatArray:
    """Return the mean steps along columns and rows, (2, 2)."""
    plan = np.c_[grid, np.ones(len(grid))].astype(np.float64)
    steps: FloatArray = np.linalg.lstsq(plan, xy, rcond=None)[0][:2]
    return steps


def _on_one_plane(grid: IntArray, xy: FloatArray) -> IntArray:
    """Return which corners lie where a plane seen in perspective has them."""
    if np.linalg.matrix_rank(grid - grid.mean(axis=0), tol=1e-6) < 2:
        return np.zeros(0, dtype=np.intp)
    cell = float(np.hypot(*_frame_of(grid, xy).T).min())
    agreed = largest_plane(grid, xy, max(_MISFIT * cell, 1.0))
    return np.flatnonzero(agreed)
