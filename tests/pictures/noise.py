"""Smooth random fields, the stuff of weathered surfaces."""

import cv2
import numpy as np
from numpy.typing import NDArray

Field = NDArray[np.float32]


def smooth(
    rng: np.random.Generator, shape: tuple[int, int], grain: float, stretch: float = 1.0
) -> Field:
    """Return a smooth field of mean 0 and standard deviation about 1.

    Parameters
    ----------
    rng : Generator
    shape : tuple of int
        Rows and columns.
    grain : float
        Size of its blobs, texels.
    stretch : float
        Blobs are this many times taller than wide.

    Returns
    -------
    (rows, columns) float32
    """
    rows = max(2, int(np.ceil(shape[0] / (grain * stretch)))) + 3
    columns = max(2, int(np.ceil(shape[1] / grain))) + 3
    coarse = rng.standard_normal((rows, columns), dtype=np.float32)
    scale = np.array(
        [[1.0 / grain, 0.0, 1.0], [0.0, 1.0 / (grain * stretch), 1.0]], dtype=np.float32
    )
    size = (shape[1], shape[0])
    flags = cv2.INTER_CUBIC | cv2.WARP_INVERSE_MAP
    return cv2.warpAffine(coarse, scale, size, flags=flags, borderMode=cv2.BORDER_REFLECT)


def fractal(
    rng: np.random.Generator,
    shape: tuple[int, int],
    grain: float,
    octaves: int = 4,
    stretch: float = 1.0,
) -> Field:
    """Return a sum of smooth fields, each half as coarse and half as strong."""
    total = np.zeros(shape, dtype=np.float32)
    weight = 0.0
    for octave in range(octaves):
        if grain / 2**octave < 1.0:
            break
        total += 0.5**octave * smooth(rng, shape, grain / 2**octave, stretch)
        weight += 0.25**octave
    return total / max(np.sqrt(weight), 1e-6)


def grain(rng: np.random.Generator, shape: tuple[int, int]) -> Field:
    """Return independent normal texels, (rows, columns) float32."""
    return rng.standard_normal(shape, dtype=np.float32)
