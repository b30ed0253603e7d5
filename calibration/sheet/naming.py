"""Which sheet a grid of corners is, from its dots."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np

from calibration.arrays import FloatArray, GreyImage, IntArray
from calibration.sheet.lattice import Grid
from calibration.sheet.layout import DOT_PLACES, LAYOUTS, Layout, Sheet, is_dark
from calibration.sheet.plane import apply, fit_plane
from calibration.sheet.pyramid import sample

_LEAST_CONTRAST: Final = 14.0
"""Grey values between dark and light: less is not a print in daylight."""

_CLEAR_LOW, _CLEAR_HIGH = 0.40, 0.60
"""A dot between these is neither seen nor missing."""

_FREE: Final = 0.39
"""From the middle of a cell to where neither dots nor edge reach, in cells."""

_ACROSS: Final = 0.62
"""From the middle of a cell into its neighbour, in cells."""

LEAST_BITS: Final = 16
"""Dots that must be seen clearly. Fewer could be read off a chequered cloth by chance."""

_MOST_WRONG: Final = 1 / 14
"""Share of them that may contradict the code: a splash of mud."""

_LEAST_LEAD: Final = 6
"""Bits by which the best reading must beat the next."""

_WEIGHT_WRONG: Final = 1.0 - np.log(0.05 / 0.5) / np.log(0.95 / 0.5)
"""A wrong bit speaks so much more against a reading than a right one for it, if one
bit in twenty is misread: log odds against a coin. (The one is the right bit missed.)"""

_SIDES: Final = np.array([[1.0, 0.0], [-1.0, 0.0], [0.0, 1.0], [0.0, -1.0]])


@dataclass(frozen=True, slots=True, eq=False)
class Named:
    """A grid that has been recognised.

    Attributes
    ----------
    sheet : Sheet
    H_level_from_grid : (3, 3) float64
        From columns and rows of the sheet to pixels of the level.
    seen : (N, 2) int
        Column and row of the corners that named it.
    """

    sheet: Sheet
    H_level_from_grid: FloatArray
    seen: IntArray


def name_grid(image: GreyImage, grid: Grid) -> Named | None:
    """Recognise a grid.

    Parameters
    ----------
    image : (H, W) uint8
        The level it was found in.
    grid : Grid

    Returns
    -------
    Named or None
        None for a grid that is none of our sheets, or not surely one.
    """
    readings = sorted(_readings(image, grid), key=lambda reading: -reading[0])
    if not readings:
        return None
    best, named, clear, wrong = readings[0]
    rivals = [score for score, other, _, _ in readings[1:] if other is not named]
    sure = clear >= LEAST_BITS and wrong <= _MOST_WRONG * clear
    return named if sure and best - max(rivals, default=-99) >= _LEAST_LEAD else None


def _readings(image: GreyImage, grid: Grid) -> Iterator[tuple[float, Named, int, int]]:
    """Yield score, reading, clear bits and wrong ones of every way to read a grid."""
    for layout in LAYOUTS.values():
        for places in _placements(layout, grid):
            H = fit_plane(places, grid.xy_px)
            if H is None:
                continue
            dots = read_dots(image, layout, H)
            clear = (dots < _CLEAR_LOW) | (dots > _CLEAR_HIGH)
            for number in range(1, len(layout.codes) + 1):
                code = np.array(layout.code_bits(number))
                wrong = int(np.sum(clear & ((dots > 0.5) != code)))
                named = Named(Sheet(layout, number), H, places)
                yield (
                    float(np.sum(clear) - _WEIGHT_WRONG * wrong),
                    named,
                    int(clear.sum()),
                    wrong,
                )


def _placements(layout: Layout, grid: Grid) -> Iterator[IntArray]:
    """Yield columns and rows (N, 2) of the sheet that the corners can be."""
    places = grid.grid
    odd = grid.odd
    for _ in range(4):
        room = np.array([layout.columns, layout.rows]) - 1 - places.max(axis=0)
        for dx in range(room[0] + 1):
            for dy in range(room[1] + 1):
                # Right of and above corner (0, 0) lies cell (1, 1), which is dark.
                if odd == bool((dx + dy) % 2):
                    yield places + np.array([dx, dy])
        # A quarter turn: what was above is now to the right. What was left of and above
        # a corner is now right of and above it, of the other colour.
        turned = np.stack([places[:, 1], -places[:, 0]], axis=1)
        shift = turned.min(axis=0)
        places = turned - shift
        odd = (not odd) ^ bool(shift.sum() % 2)


def read_dots(image: GreyImage, layout: Layout, H: FloatArray) -> FloatArray:
    """Return how much of each dot is there, (bits,): 0 none, 1 all, NaN hidden.

    Parameters
    ----------
    image : (H, W) uint8
    layout : Layout
    H : (3, 3) float64
        From columns and rows to pixels.
    """
    cells = np.array(layout.whole_cells, dtype=np.float64)
    middle = cells - 0.5
    dots = _levels(image, H, middle[:, None] + np.array(DOT_PLACES)[None])
    own = np.median(_levels(image, H, middle[:, None] + _FREE * _SIDES[None]), axis=1)
    other = np.median(_levels(image, H, middle[:, None] + _ACROSS * _SIDES[None]), axis=1)
    dark = np.array([is_dark(i, j) for i, j in layout.whole_cells])
    contrast = np.where(dark, other - own, own - other)
    seen = contrast > _LEAST_CONTRAST
    scale = np.where(seen, other - own, np.nan)
    found: FloatArray = ((dots - own[:, None]) / scale[:, None]).ravel()
    return found


def _levels(image: GreyImage, H: FloatArray, places: FloatArray) -> FloatArray:
    """Return grey values at columns and rows (..., 2); NaN outside the picture."""
    xy = apply(H, places.reshape(-1, 2)).reshape(places.shape)
    height, width = image.shape
    inside = np.all((xy >= 0) & (xy <= [width - 1, height - 1]), axis=-1)
    return np.where(inside, sample(image, np.where(inside[..., None], xy, 0.0)), np.nan)
