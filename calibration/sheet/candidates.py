"""Places that look like a saddle corner: by curvature, then by a ring of samples."""

from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from calibration.arrays import FloatArray, GreyImage, IntArray

RING_RADIUS_PX: Final = 3.0
"""Inside the dots of the smallest squares that are looked for."""

_RING: Final = 16
_STRIP_ROWS: Final = 512
"""Derivatives of a strip stay in the cache, and a large photo's in memory."""

_OVERLAP: Final = 8
_NOISE_BLUR_PX: Final = 1.0

LEAST_SWING: Final = 7.0
"""Amplitude of the ring in grey values: a fifth of white paper in deep shade."""

_LEAST_CURVATURE: Final = (LEAST_SWING / np.pi / 2.0) ** 2
"""``Ixy^2 - Ixx Iyy`` of a corner of that amplitude and two pixels' blur."""

_MOST_ODD: Final = 0.12
_LEAST_SECOND: Final = 0.55
"""Shares of the ring's power: a saddle is unchanged by half a turn (no odd harmonics)
and changes sign twice (second harmonic), less purely so the more obliquely it is seen."""

MOST: Final = 40_000
"""Candidates of one level; only noise has more, and the strongest are kept."""

_ANGLES: Final = 2.0 * np.pi * np.arange(_RING) / _RING
_CIRCLE: Final = np.stack([np.cos(_ANGLES), np.sin(_ANGLES)], axis=1)
_HARMONICS: Final = (
    np.exp(-1j * np.outer(_ANGLES, np.arange(1, _RING // 2 + 1))) / _RING
).astype(np.complex64)
_REMAP_ROWS: Final = 30_000
"""OpenCV's remap takes fewer than 2^15 rows."""


@dataclass(frozen=True, slots=True, eq=False)
class Candidates:
    """Saddle-like places of one level.

    Attributes
    ----------
    xy_px : (N, 2) float64
        Of the level, to half a pixel.
    second : (N,) complex128
        Second harmonic of the ring: the picture varies as ``2 Re(second e^(2 i phi))``
        with the angle from x towards y.
    """

    xy_px: FloatArray
    second: "np.ndarray[tuple[int], np.dtype[np.complex128]]"

    def towards(self, index: IntArray, angle_rad: FloatArray) -> FloatArray:
        """Return the ring's variation in directions, grey values about the mean."""
        wave: FloatArray = 2.0 * np.real(self.second[index] * np.exp(2j * angle_rad))
        return wave


def find_candidates(image: GreyImage) -> Candidates:
    """Find saddle-like places.

    Parameters
    ----------
    image : (H, W) uint8

    Returns
    -------
    Candidates
        At most :data:`MOST`.
    """
    parts = [_peaks(image, top) for top in range(0, image.shape[0], _STRIP_ROWS)]
    xy = np.concatenate([part[0] for part in parts])
    strength = np.concatenate([part[1] for part in parts])
    if len(xy) > 4 * MOST:
        xy = xy[np.argpartition(-strength, 4 * MOST)[: 4 * MOST]]
    harmonics = _rings(image, xy) @ _HARMONICS
    power = np.abs(harmonics) ** 2
    power[:, -1] /= 2.0  # the highest harmonic has no conjugate partner
    total = np.maximum(power.sum(axis=1), 1e-9)
    odd = power[:, 0::2].sum(axis=1) / total
    second = power[:, 1] / total
    swing = 2.0 * np.abs(harmonics[:, 1])
    good = (odd < _MOST_ODD) & (second > _LEAST_SECOND) & (swing > LEAST_SWING)
    keep = np.flatnonzero(good)
    keep = keep[np.argsort(-swing[keep], kind="stable")[:MOST]]
    return Candidates(xy[keep], harmonics[keep, 1].astype(np.complex128))


def _rings(image: GreyImage, xy: FloatArray) -> NDArray[np.float32]:
    """Return the picture on a ring about every point, (N, 16), to whole grey values."""
    rings = np.empty((len(xy), _RING), np.float32)
    for first in range(0, len(xy), _REMAP_ROWS):
        part = slice(first, first + _REMAP_ROWS)
        at = (xy[part, None, :] + RING_RADIUS_PX * _CIRCLE[None]).astype(np.float32)
        x, y = np.ascontiguousarray(at[..., 0]), np.ascontiguousarray(at[..., 1])
        rings[part] = cv2.remap(
            image, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
        )
    return rings


def _peaks(image: GreyImage, top: int) -> tuple[FloatArray, FloatArray]:
    """Return peaks of saddle curvature (N, 2) of a strip, and their strength (N,)."""
    first = max(top - _OVERLAP, 0)
    last = min(top + _STRIP_ROWS + _OVERLAP, image.shape[0])
    smooth = cv2.GaussianBlur(image[first:last].astype(np.float32), (0, 0), _NOISE_BLUR_PX)
    xx = cv2.Sobel(smooth, cv2.CV_32F, 2, 0, ksize=3, scale=0.25)
    yy = cv2.Sobel(smooth, cv2.CV_32F, 0, 2, ksize=3, scale=0.25)
    xy = cv2.Sobel(smooth, cv2.CV_32F, 1, 1, ksize=3, scale=0.25)
    curvature = xy * xy - xx * yy
    highest = cv2.dilate(curvature, np.ones((5, 5), np.uint8))
    rows, columns = np.nonzero((curvature == highest) & (curvature > _LEAST_CURVATURE))
    border = int(RING_RADIUS_PX) + 2
    inside = (rows + first >= max(top, border)) & (rows + first < top + _STRIP_ROWS)
    inside &= (columns >= border) & (columns < image.shape[1] - border)
    inside &= rows + first < image.shape[0] - border
    rows, columns = rows[inside], columns[inside]
    # One Newton step to where the slope vanishes: the ring is read about the corner
    # itself, not about the nearest pixel.
    slope_x = (smooth[rows, columns + 1] - smooth[rows, columns - 1]) / 2.0
    slope_y = (smooth[rows + 1, columns] - smooth[rows - 1, columns]) / 2.0
    bend_xx, bend_yy, bend_xy = (part[rows, columns] for part in (xx, yy, xy))
    strength = curvature[rows, columns].astype(np.float64)
    dx = (bend_yy * slope_x - bend_xy * slope_y) / strength
    dy = (bend_xx * slope_y - bend_xy * slope_x) / strength
    step = np.clip(np.stack([dx, dy], axis=1), -1.0, 1.0)
    return np.stack([columns, rows + first], axis=1) + step, strength
