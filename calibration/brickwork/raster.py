"""The photo as one grey picture, its pyramid, and evened-out contrast."""

from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from calibration.arrays import FloatArray

Float32Image = NDArray[np.float32]
"""(H, W) float32; row 0 at the top."""

EVEN_SIGMA_PX: Final = 9.0
"""Neighbourhood over which contrast is evened: one to two courses of the size that a
level of the pyramid is searched for."""

EVEN_FLOOR: Final = 2.0
"""Grey levels; contrast below this is sensor noise and is not raised to full."""


@dataclass(frozen=True, slots=True, eq=False)
class Level:
    """One picture of the pyramid.

    Attributes
    ----------
    image : (H, W) float32
        Grey levels 0..255.
    scale : float
        Width of one of its pixels in pixels of the photo.
    slopes : bool
        Whether it shows how quickly lightness changes: joints are bright, whatever they
        are in the photo.
    """

    image: Float32Image
    scale: float
    slopes: bool = False

    def to_photo(self, points: FloatArray) -> FloatArray:
        """Return places (..., 2) of this picture in the photo."""
        return (points + 0.5) * self.scale - 0.5

    def from_photo(self, points_px: FloatArray) -> FloatArray:
        """Return places (..., 2) of the photo in this picture."""
        return (points_px + 0.5) / self.scale - 0.5


def grey(pixels: NDArray[np.uint8]) -> Float32Image:
    """Return the lightness of a photo.

    Parameters
    ----------
    pixels : (H, W, 3) or (H, W) uint8
        RGB or grey.

    Returns
    -------
    (H, W) float32
    """
    if pixels.ndim == 2:
        return pixels.astype(np.float32)
    return cv2.cvtColor(pixels, cv2.COLOR_RGB2GRAY).astype(np.float32)


def shrink(image: Float32Image, factor: float) -> Float32Image:
    """Return a picture made smaller by averaging whole areas."""
    height, width = image.shape
    size = (max(1, round(width / factor)), max(1, round(height / factor)))
    return np.asarray(cv2.resize(image, size, interpolation=cv2.INTER_AREA))


def pyramid(image: Float32Image, smallest_side_px: int) -> tuple[Level, ...]:
    """Return halved copies of a photo, finest first.

    Parameters
    ----------
    image : (H, W) float32
    smallest_side_px : int
        No level is smaller.

    Returns
    -------
    tuple of Level
        The first is the photo itself.
    """
    levels = [Level(image, 1.0)]
    while min(levels[-1].image.shape) >= 2 * smallest_side_px:
        last = levels[-1]
        even = last.image[: last.image.shape[0] // 2 * 2, : last.image.shape[1] // 2 * 2]
        levels.append(Level(shrink(even, 2.0), last.scale * 2.0))
    return tuple(levels)


def edges(levels: tuple[Level, ...]) -> tuple[Level, ...]:
    """Return a pyramid of how quickly the lightness changes.

    Bricks of many colours in mortar between them have no joints that are lighter or
    darker than all bricks; but at every joint the lightness changes.

    Parameters
    ----------
    levels : tuple of Level
        Grey levels.

    Returns
    -------
    tuple of Level
        Grey levels a pixel; joints are bright lines.
    """
    return tuple(Level(_slope(level.image), level.scale, slopes=True) for level in levels)


_SLOPE_SIGMA_PX: Final = 0.8
"""Both flanks of a joint of one or two pixels melt into one line."""


def _slope(image: Float32Image) -> Float32Image:
    soft = cv2.GaussianBlur(image, (0, 0), _SLOPE_SIGMA_PX)
    along = cv2.Sobel(soft, cv2.CV_32F, 1, 0, ksize=3, scale=0.5)
    down = cv2.Sobel(soft, cv2.CV_32F, 0, 1, ksize=3, scale=0.5)
    return np.asarray(np.hypot(along, down))


def evened(image: Float32Image, sigma_px: float = EVEN_SIGMA_PX) -> Float32Image:
    """Return a picture with mean zero and contrast one everywhere.

    Shadows and bright sun then weigh alike.

    Parameters
    ----------
    image : (H, W) float32
    sigma_px : float
        Size of the neighbourhood.

    Returns
    -------
    (H, W) float32
    """
    rest = image - _blurred(image, sigma_px)
    spread = np.sqrt(_blurred(rest * rest, sigma_px))
    return np.asarray(rest / (spread + EVEN_FLOOR), dtype=np.float32)


def _blurred(image: Float32Image, sigma_px: float) -> Float32Image:
    """Blur on a reduced copy: the blur is wide, its detail is not needed."""
    factor = max(1, int(sigma_px / 3.0))
    height, width = image.shape
    small = shrink(image, factor) if factor > 1 else image
    soft = cv2.GaussianBlur(
        small, (0, 0), sigma_px / factor, borderType=cv2.BORDER_REFLECT_101
    )
    if factor == 1:
        return np.asarray(soft)
    return np.asarray(cv2.resize(soft, (width, height), interpolation=cv2.INTER_LINEAR))
