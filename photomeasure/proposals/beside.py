"""What surrounds a line: colours above and below it, sky, and where walls rise."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from calibration.arrays import FloatArray
from calibration.vanishing.model import PLUMB
from photomeasure.proposals.reading import Reading

_COLUMNS: Final = 24
_NEAR: Final = 0.018
_FAR: Final = 0.05
"""Patches beside a line, by the long side of the photo: beyond board and gutter."""

_ROWS: Final = 4

_STRIP: Final = 1.0 / 7.0
_CHIMNEY: Final = 0.2
"""Share of the length of uprights that may be a chimney and not a wall."""

_COLOUR_SD: Final = 8.0
"""Difference of 8-bit Lab units that shows: shade, stain and camera make up to that."""


@dataclass(frozen=True, slots=True, eq=False)
class Beside:
    """Features of S lines; 'above' is the way plumb lines rise.

    Attributes
    ----------
    sky_above, sky_below : (S,) float64
        Share of sky in the patch.
    differs : (S,) float64
        How much the patches differ, 0 the same, 1 quite.
    texture_above, texture_below : (S,) float64
    """

    sky_above: FloatArray
    sky_below: FloatArray
    differs: FloatArray
    texture_above: FloatArray
    texture_below: FloatArray


def beside(reading: Reading, ends_px: FloatArray) -> Beside:
    """Look at the patches above and below lines (S, 2, 2)."""
    share = (np.arange(_COLUMNS) + 0.5) / _COLUMNS
    way = ends_px[:, 1] - ends_px[:, 0]
    places = ends_px[:, :1] + share[None, :, None] * way[:, None]
    # Square to the line, on the side where plumb rises: a rake has no plumb above it.
    normal = np.stack([-way[:, 1], way[:, 0]], axis=1)
    normal = normal / np.maximum(np.hypot(*way.T), 1e-9)[:, None]
    up = reading.upwards(places.mean(axis=1))
    rising = np.sum(up * normal, axis=1)
    out = normal * np.where(rising < 0.0, -1.0, 1.0)[:, None]
    deep = np.linspace(_NEAR, _FAR, _ROWS) * reading.side_px
    shift = deep[None, None, :, None] * out[:, None, None]
    above = _patch(reading, places[:, :, None] + shift)
    below = _patch(reading, places[:, :, None] - shift)
    spread = (above[1] + below[1])[:, :4] / 2.0 + _COLOUR_SD**2
    apart = (above[0] - below[0])[:, :4] ** 2 / spread
    differs = 1.0 - np.exp(-0.5 * apart.sum(axis=1) / 2.0)
    return Beside(above[0][:, 4], below[0][:, 4], differs, above[0][:, 3], below[0][:, 3])


def _patch(reading: Reading, points: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return mean and variance (S, 5) of what shows at points (S, N, M, 2)."""
    seen = reading.look(points).reshape(len(points), -1, 5)
    return seen.mean(axis=1), seen.var(axis=1)


@dataclass(frozen=True, slots=True, eq=False)
class Uprights:
    """Plumb edges of a photo as columns of a wall.

    Attributes
    ----------
    right, top, foot : (P,) float64
        Where they stand on the wall at distance one, and how far they reach.
    """

    right: FloatArray
    top: FloatArray
    foot: FloatArray

    def about(self, left: float, right: float, height: float) -> tuple[float, float]:
        """Return length of uprights below and above a level line of the wall."""
        width = right - left
        under = (self.right > left - 0.05 * width) & (self.right < right + 0.05 * width)
        top, foot = self.top[under], self.foot[under]
        below = float(np.clip(np.minimum(top, height) - foot, 0.0, None).sum())
        above = float(np.clip(top - np.maximum(foot, height), 0.0, None).sum())
        return below, above

    def standing(self, left: float, right: float, height: float) -> float:
        """Return how many uprights stand in the strip just under a level line.

        The strip is a seventh of the height from the uprights' feet: walls have
        quoins, jambs and pipes there, roofs have nothing.
        """
        width = right - left
        under = (self.right > left - 0.08 * width) & (self.right < right + 0.08 * width)
        under &= self.foot < height
        if not under.any():
            return 0.0
        deep = (height - float(self.foot[under].min())) * _STRIP
        low = np.maximum(self.foot[under], height - deep)
        held = np.clip(np.minimum(self.top[under], height) - low, 0.0, None)
        return float(held.sum()) / max(deep, 1e-9)

    def gap_below(self, left: float, right: float, height: float) -> float:
        """Return how far below a level line the uprights begin, by its height.

        The height is from the uprights' feet; 1 if there are none.
        """
        width = right - left
        under = (self.right > left - 0.05 * width) & (self.right < right + 0.05 * width)
        under &= self.foot < height
        if under.sum() < 2:
            return 1.0
        size = np.minimum(self.top[under], height) - self.foot[under]
        top, foot = self.top[under], self.foot[under]
        order = np.argsort(-top)
        share = np.cumsum(size[order]) / max(float(size.sum()), 1e-9)
        high = float(np.minimum(top[order][np.searchsorted(share, _CHIMNEY)], height))
        low = float(foot.min())
        return (height - high) / max(height - low, 1e-9)


def uprights(reading: Reading, wall: int) -> Uprights:
    """Return the plumb edges of a photo as columns of a wall."""
    mine = reading.vanishing.label == PLUMB
    places = reading.on_wall(reading.edges.ends_px[mine], wall)
    places = places[np.isfinite(places).all(axis=(1, 2))]
    return Uprights(
        places[:, :, 0].mean(axis=1),
        places[:, :, 1].max(axis=1),
        places[:, :, 1].min(axis=1),
    )
