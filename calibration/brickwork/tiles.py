"""Where in the picture something repeats downwards, how often, and in what phase."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray
from scipy import fft

from calibration.arrays import FloatArray
from calibration.brickwork.raster import Level, evened

TILE_PX: Final = 64
STEP_PX: Final = 32
PEAKS: Final = 3

LONGEST_PERIOD_PX: Final = 16.0
SHORTEST_PERIOD_PX: Final = 4.2
"""Period of the courses on a level: six in a tile's window are needed at one end, two
pixels each for brick and joint at the other."""

_STEEPEST: Final = float(np.tan(np.radians(52.0)))
"""Bed joints run no steeper in the picture, even at 45 degrees of yaw."""

_CODED_PX: Final = 8
"""Side of a block of a JPEG: it shows in skies and plain walls of copies by messenger."""

_CODED_NEAR: Final = 0.0012
"""Cycles per pixel: 1 % of the seams' own wave; a level wall seldom has it anywhere."""


@dataclass(frozen=True, slots=True, eq=False)
class Tiles:
    """Repetition found in square tiles, a few candidates each.

    Attributes
    ----------
    grid : (N, 2) int
        Column and row of the tile.
    centre_px : (N, 2) float64
        In the photo.
    wave_px : (N, K, 2) float64
        Cycles per pixel of the photo, x and y, y positive; towards the ground.
    phase : (N, K) float64
        Cycles at the centre; whole at the brightest line.
    share : (N, K) float64
        Part of the tile's energy that the candidate explains, 0..1.
    scale : float
        Of the level they were found on.
    """

    grid: NDArray[np.intp]
    centre_px: FloatArray
    wave_px: FloatArray
    phase: FloatArray
    share: FloatArray
    scale: float


def find_tiles(level: Level) -> Tiles:
    """Look for repetition in every tile of a level.

    Parameters
    ----------
    level : Level

    Returns
    -------
    Tiles
        Courses of 4.2 to 16 pixels of the level.
    """
    image = evened(level.image)
    views = sliding_window_view(image, (TILE_PX, TILE_PX))[::STEP_PX, ::STEP_PX]
    rows, columns = views.shape[:2]
    grid = np.stack(np.meshgrid(np.arange(columns), np.arange(rows)), axis=-1)
    grid = grid.reshape(-1, 2)
    flat = [views[row] for row in range(rows)]
    found = [_peaks(chunk) for chunk in flat]
    wave = np.concatenate([f[0] for f in found])
    share = np.concatenate([f[2] for f in found])
    share[_of_coding(wave / level.scale)] = 0.0
    centre = grid.astype(np.float64) * STEP_PX + (TILE_PX - 1) / 2.0
    return Tiles(
        grid=grid,
        centre_px=level.to_photo(centre),
        wave_px=wave / level.scale,
        phase=np.concatenate([f[1] for f in found]),
        share=share,
        scale=level.scale,
    )


def _of_coding(wave_px: FloatArray) -> NDArray[np.bool_]:
    """Return which waves (N, K) are the seams between the blocks of a JPEG."""
    x, y = wave_px[..., 0], wave_px[..., 1]
    return np.asarray(np.hypot(x, y - 1.0 / _CODED_PX) < _CODED_NEAR)


def _window() -> NDArray[np.float32]:
    ramp = np.sin(np.pi * (np.arange(TILE_PX) + 0.5) / TILE_PX) ** 2
    return np.outer(ramp, ramp).astype(np.float32)


def _band() -> tuple[FloatArray, FloatArray, NDArray[np.bool_]]:
    """Return frequencies along x and y and which of them courses can have."""
    fx: FloatArray = np.asarray(np.fft.fftfreq(TILE_PX), dtype=np.float64)[:, None]
    fy: FloatArray = np.asarray(np.fft.rfftfreq(TILE_PX), dtype=np.float64)[None, :]
    size = np.hypot(fx, fy)
    band = (size >= 1.0 / LONGEST_PERIOD_PX) & (size <= 1.0 / SHORTEST_PERIOD_PX)
    return fx, fy, band & (np.abs(fx) <= _STEEPEST * fy)


def _peaks(views: NDArray[np.float32]) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return waves (n, K, 2), phases (n, K) and shares (n, K) of a row of tiles."""
    fx, fy, band = _band()
    tiles = (views - views.mean(axis=(1, 2), keepdims=True)) * _window()
    # axes: x full, y half, so that every wave has y >= 0
    spectrum = fft.rfft2(tiles.transpose(0, 2, 1))
    power = np.abs(spectrum) ** 2
    total = power[:, :, 1:].sum(axis=(1, 2)) + 1e-3
    weight = power * (band * np.hypot(fx, fy))
    count = len(views)
    wave = np.zeros((count, PEAKS, 2))
    phase = np.zeros((count, PEAKS))
    share = np.zeros((count, PEAKS))
    index = np.arange(count)
    offsets = np.arange(-2, 3)
    middle = (TILE_PX - 1) / 2.0
    for k in range(PEAKS):
        best = weight.reshape(count, -1).argmax(axis=1)
        ix, iy = np.unravel_index(best, weight.shape[1:])
        x = (ix[:, None] + offsets) % TILE_PX
        y = np.clip(iy[:, None] + offsets, 0, TILE_PX // 2)
        patch = power[index[:, None, None], x[:, :, None], y[:, None, :]]
        # the flank of something coarser is no peak
        is_top = patch[:, 2, 2] >= patch[:, 1:4, 1:4].max(axis=(1, 2))
        share[:, k] = is_top * patch[:, 1:4, 1:4].sum(axis=(1, 2)) / total
        dx = _vertex(patch[:, 1, 2], patch[:, 2, 2], patch[:, 3, 2])
        dy = _vertex(patch[:, 2, 1], patch[:, 2, 2], patch[:, 2, 3])
        bx, by = np.fft.fftfreq(TILE_PX)[ix], iy / TILE_PX
        wave[:, k, 0], wave[:, k, 1] = bx + dx / TILE_PX, by + dy / TILE_PX
        at_peak = np.angle(spectrum[index, ix, iy]) / (2.0 * np.pi)
        phase[:, k] = at_peak + (bx + by) * middle
        weight[index[:, None, None], x[:, :, None], y[:, None, :]] = 0.0
    return wave, phase, share


def _vertex(before: FloatArray, at: FloatArray, after: FloatArray) -> FloatArray:
    """Return where a parabola through three logarithms of power has its top."""
    low, mid, high = (np.log(p + 1e-9) for p in (before, at, after))
    curve = low - 2.0 * mid + high
    shift = 0.5 * (low - high) / np.where(curve < -1e-9, curve, -1e9)
    return np.asarray(np.clip(shift, -0.6, 0.6))
