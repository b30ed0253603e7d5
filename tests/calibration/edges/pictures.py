"""Tiny pictures of straight edges with exact truth, in linear light."""

import numpy as np
from scipy.special import ndtr

from calibration.edges.light import Light
from calibration.lens import undistort
from calibration.priors import CameraPrior, LensKnowledge, camera_prior

LENS = camera_prior((400, 300), LensKnowledge(focal_px=300.0))


def grid(size_px: tuple[int, int]) -> tuple[np.ndarray, np.ndarray]:
    """Return x and y of every pixel's centre."""
    y, x = np.mgrid[: size_px[1], : size_px[0]]
    return x.astype(np.float64), y.astype(np.float64)


def step(
    normal: np.ndarray,
    through: np.ndarray,
    size_px: tuple[int, int] = (400, 300),
    *,
    levels: tuple[float, float] = (0.2, 0.6),
    blur_px: float = 0.8,
) -> np.ndarray:
    """Return a half plane of light, blurred; the pixel's box is in the blur."""
    x, y = grid(size_px)
    off = (x - through[0]) * normal[0] + (y - through[1]) * normal[1]
    return levels[0] + (levels[1] - levels[0]) * ndtr(off / blur_px)


def bent_step(height: float, lens: CameraPrior, size_px: tuple[int, int]) -> np.ndarray:
    """Return a level edge of space as a lens shows it, ``height`` in pinhole pixels."""
    x, y = grid(size_px)
    seen = (np.stack([x.ravel(), y.ravel()], axis=1) - lens.centre_px) / lens.focal_px
    ideal = undistort(seen, lens.k1, lens.k2).points * lens.focal_px + lens.centre_px
    off = (ideal[:, 1] - height).reshape(y.shape)
    return 0.2 + 0.4 * ndtr(off / 0.8)


def lit(values: np.ndarray, noise: float = 0.0, rng: np.random.Generator | None = None):
    """Return a picture of light, with noise if asked."""
    if rng is not None:
        values = values + rng.normal(0.0, noise, values.shape)
    height, width = values.shape
    return Light(values.astype(np.float32), 0, 0, (width, height))


def line_at(
    angle: float, centre: np.ndarray, length: float
) -> tuple[np.ndarray, np.ndarray]:
    """Return ends (2, 2) of a segment and its normal."""
    way = np.array([np.cos(angle), np.sin(angle)])
    ends = centre + np.outer([-0.5, 0.5], way) * length
    return ends, np.array([-way[1], way[0]])
