"""A photo at full size, half, quarter, ..., with coordinates that stay honest.

Halving by area: pixel ``x`` of a level covers pixels ``2 x`` and ``2 x + 1`` of the one
below, so its centre lies at ``2 x + 0.5`` there.
"""

from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np

from calibration.arrays import FloatArray, GreyImage

SMALLEST_SIDE_PX: Final = 120
"""A sheet in a smaller picture would fill it."""


@dataclass(frozen=True, slots=True, eq=False)
class Level:
    """One size of the photo.

    Attributes
    ----------
    image : (H, W) uint8
    factor : int
        Pixels of the photo per pixel, along each axis.
    """

    image: GreyImage
    factor: int

    def to_photo(self, xy: FloatArray) -> FloatArray:
        """Return pixels (N, 2) of this level in the photo."""
        placed: FloatArray = self.factor * xy + (self.factor - 1) / 2.0
        return placed

    @property
    def matrix(self) -> FloatArray:
        """The homography photo from level, (3, 3)."""
        shift = (self.factor - 1) / 2.0
        f = float(self.factor)
        return np.array([[f, 0.0, shift], [0.0, f, shift], [0.0, 0.0, 1.0]])

    def from_photo(self, xy: FloatArray) -> FloatArray:
        """Return pixels (N, 2) of the photo in this level."""
        placed: FloatArray = (xy - (self.factor - 1) / 2.0) / self.factor
        return placed


def pyramid(grey: GreyImage) -> tuple[Level, ...]:
    """Return the photo and its halvings, largest first.

    Parameters
    ----------
    grey : (H, W) uint8

    Returns
    -------
    tuple of Level
    """
    levels = [Level(grey, 1)]
    while min(levels[-1].image.shape) >= 2 * SMALLEST_SIDE_PX:
        last = levels[-1]
        height, width = (side // 2 for side in last.image.shape)
        even = last.image[: 2 * height, : 2 * width]
        half = cv2.resize(even, (width, height), interpolation=cv2.INTER_AREA)
        levels.append(Level(np.asarray(half, np.uint8), 2 * last.factor))
    return tuple(levels)


def sample(image: GreyImage, xy: FloatArray) -> FloatArray:
    """Return grey values (...) at points (..., 2), bilinear; the rim is repeated."""
    height, width = image.shape
    x = np.clip(xy[..., 0], 0.0, width - 1.001)
    y = np.clip(xy[..., 1], 0.0, height - 1.001)
    left, top = np.floor(x).astype(np.intp), np.floor(y).astype(np.intp)
    fx, fy = x - left, y - top
    above = image[top, left] * (1.0 - fx) + image[top, left + 1] * fx
    below = image[top + 1, left] * (1.0 - fx) + image[top + 1, left + 1] * fx
    found: FloatArray = above * (1.0 - fy) + below * fy
    return found
