"""Neighbouring tiles joined to one field of counted courses."""

import heapq
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from calibration.arrays import FloatArray
from calibration.brickwork.tiles import Tiles

WAVE_TOLERANCE: Final = 0.12
"""Change of the waves between neighbouring tiles, relative: perspective changes them by
5 % at most, noise by as much again."""

PHASE_TOLERANCE: Final = 0.18
"""Misclosure of the count between neighbours, courses: a third of what chance gives."""

FEWEST_TILES: Final = 5
SEED_SHARE: Final = 0.05
"""A field begins where the repetition is plain, and may go on where it is faint."""

SEEDS: Final = 80
WEAKEST_SHARE: Final = 0.02
_NEIGHBOURS: Final = tuple(
    (dx, dy) for dx in (-1, 0, 1) for dy in (-1, 0, 1) if (dx, dy) != (0, 0)
)


@dataclass(frozen=True, slots=True, eq=False)
class Field:
    """Tiles with counts that agree with their neighbours.

    Attributes
    ----------
    tile : (M,) int
        Index into the tiles.
    pick : (M,) int
        Which candidate of the tile.
    count : (M,) float64
        Courses at the tile's centre, downwards, from an arbitrary start.
    strength : float
        Sum of the tiles' shares.
    centre_px : (M, 2) float64
        Of the tiles, in the photo.
    """

    tile: NDArray[np.intp]
    pick: NDArray[np.intp]
    count: FloatArray
    strength: float
    centre_px: FloatArray


def grow_fields(tiles: Tiles, most: int) -> list[Field]:
    """Join tiles to fields, the strongest first.

    Parameters
    ----------
    tiles : Tiles
    most : int
        How many fields to return at most.

    Returns
    -------
    list of Field
        Each of at least five tiles; no candidate is in two of them.
    """
    free = tiles.share > WEAKEST_SHARE
    at = {(int(c), int(r)): i for i, (c, r) in enumerate(tiles.grid)}
    fields: list[Field] = []
    seeds = np.argsort(-tiles.share, axis=None)
    left = SEEDS
    for seed in seeds[: int(np.sum(tiles.share > SEED_SHARE))]:
        tile, pick = np.unravel_index(seed, tiles.share.shape)
        if not free[tile, pick]:
            continue
        left -= 1
        if left < 0:
            break
        field = _grow(tiles, at, free, int(tile), int(pick))
        free[field.tile, field.pick] = False
        if len(field.tile) >= FEWEST_TILES:
            fields.append(field)
    fields.sort(key=lambda field: -field.strength)
    return fields[:most]


def _grow(
    tiles: Tiles,
    at: dict[tuple[int, int], int],
    free: NDArray[np.bool_],
    tile: int,
    pick: int,
) -> Field:
    """Grow one field from a seed, along the closest agreement first."""
    counts: dict[int, float] = {}
    picks: dict[int, int] = {}
    start = float(tiles.phase[tile, pick])
    heap: list[tuple[float, int, int, float]] = [(0.0, tile, pick, start)]
    while heap:
        _, tile, pick, count = heapq.heappop(heap)
        if tile in counts:
            continue
        counts[tile], picks[tile] = count, pick
        for misfit, other, k, its_count in _agreeing(tiles, at, tile, pick, count):
            if other not in counts and free[other, k]:
                heapq.heappush(heap, (misfit, other, k, its_count))
    chosen = np.array(list(counts))
    which = np.array([picks[t] for t in chosen])
    strength = float(tiles.share[chosen, which].sum())
    return Field(
        chosen, which, np.array(list(counts.values())), strength, tiles.centre_px[chosen]
    )


def _agreeing(
    tiles: Tiles, at: dict[tuple[int, int], int], tile: int, pick: int, count: float
) -> Iterator[tuple[float, int, int, float]]:
    """Yield misfit, tile, candidate and count of neighbours that continue a tile."""
    column, row = tiles.grid[tile]
    wave = tiles.wave_px[tile, pick]
    size = float(np.hypot(*wave))
    for dx, dy in _NEIGHBOURS:
        other = at.get((int(column) + dx, int(row) + dy))
        if other is None:
            continue
        step = tiles.centre_px[other] - tiles.centre_px[tile]
        waves = tiles.wave_px[other]
        change = np.hypot(*(waves - wave).T) / size
        ahead = count + (0.5 * (waves + wave)) @ step
        misfit = tiles.phase[other] - ahead
        whole = np.round(misfit)
        misfit = np.abs(misfit - whole)
        for k in np.flatnonzero((change < WAVE_TOLERANCE) & (misfit < PHASE_TOLERANCE)):
            cost = float(change[k] / WAVE_TOLERANCE + misfit[k] / PHASE_TOLERANCE)
            yield cost, other, int(k), float(tiles.phase[other, k] - whole[k])
