"""Light as the sensor saw it: brightness before the display curve was applied.

Optics blur light, not code values. A display curve lifts the middle of a blurred edge,
so that in code values every light thing looks half a pixel too large; measured in
light, an edge stays where it is.
"""

from dataclasses import dataclass
from functools import cache
from typing import Final

import numpy as np

from calibration.arrays import FloatArray
from calibration.photo.pixels import RgbImage

LightImage = np.ndarray[tuple[int, int], np.dtype[np.float32]]

LUMINANCE: Final = (0.2126, 0.7152, 0.0722)
"""Shares of red, green and blue in luminance (ITU-R BT.709, table 3)."""


@dataclass(frozen=True, slots=True, eq=False)
class Light:
    """A picture in linear light.

    Attributes
    ----------
    values : (H, W) float32
        Luminance, 0 to 1, of a window of the photo.
    left, top : int
        Where the window lies in the photo.
    size_px : tuple of int
        Width and height of the whole photo.
    """

    values: LightImage
    left: int
    top: int
    size_px: tuple[int, int]


def light_of(
    photo: RgbImage, around_px: FloatArray | None = None, reach_px: int = 0
) -> Light:
    """Return the light of a photo, or only of a window of it.

    Parameters
    ----------
    photo : (H, W, 3) uint8
        Upright photo, RGB.
    around_px : (N, 2) float64, optional
        Points that the window has to hold; the whole photo without.
    reach_px : int
        Margin about them.

    Returns
    -------
    Light
    """
    height, width = photo.shape[:2]
    left = top = 0
    right, bottom = width, height
    if around_px is not None:
        low = np.floor(around_px.min(axis=0)).astype(int) - reach_px
        high = np.ceil(around_px.max(axis=0)).astype(int) + reach_px + 1
        left, top = int(np.clip(low[0], 0, width - 1)), int(np.clip(low[1], 0, height - 1))
        right = int(np.clip(high[0], left + 1, width))
        bottom = int(np.clip(high[1], top + 1, height))
    return Light(_linear(photo[top:bottom, left:right]), left, top, (width, height))


def _linear(window: RgbImage) -> LightImage:
    import cv2

    total = np.zeros(window.shape[:2], dtype=np.float32)
    for channel in (0, 1, 2):
        total += cv2.LUT(np.ascontiguousarray(window[..., channel]), _table(channel))
    return total


@cache
def _table(channel: int) -> np.ndarray[tuple[int], np.dtype[np.float32]]:
    """Return the share of luminance by code value (IEC 61966-2-1, sRGB)."""
    code = np.arange(256) / 255.0
    linear = np.where(code <= 0.04045, code / 12.92, ((code + 0.055) / 1.055) ** 2.4)
    return (LUMINANCE[channel] * linear).astype(np.float32)
