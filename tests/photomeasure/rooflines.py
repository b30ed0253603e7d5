"""Small drawn eaves and gables with exact truth, as 8-bit pictures."""

import numpy as np
from scipy.special import ndtr

SIZE = (640, 400)


def coded(light: np.ndarray) -> np.ndarray:
    """Return light as the 8-bit sRGB picture that a phone would write."""
    light = np.clip(light, 0.0, 1.0)
    code = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    grey = np.rint(255.0 * code).astype(np.uint8)
    return np.repeat(grey[..., None], 3, axis=2)


def _bricks(x: np.ndarray, y: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    row = np.floor(y / 9.0).astype(int)
    column = np.floor(x / 27.0 + 0.5 * (row % 2)).astype(int)
    tone = 0.10 + 0.10 * rng.random((512, 512))[row % 512, column % 512]
    joint = (y % 9.0 < 1.6) | ((x / 27.0 + 0.5 * (row % 2)) % 1.0 < 0.06)
    return np.where(joint, 0.35, tone)


def eaves(
    rng: np.random.Generator,
    *,
    slope: float = 0.03,
    board: float = 0.8,
    noise: float = 0.004,
    left: float = 70.0,
    right: float = 570.0,
) -> tuple[np.ndarray, dict[str, np.ndarray]]:
    """Return a picture of eaves and its true lines, (2, 2) each from left to right.

    From above: tiles, gutter, board, soffit, bricks; sky at both sides.
    """
    x, y = (
        a.astype(np.float64) for a in np.meshgrid(np.arange(SIZE[0]), np.arange(SIZE[1]))
    )
    down = y - 150.0 - slope * (x - 320.0)
    tiles = (
        0.08
        + 0.06
        * rng.random((40, 80))[
            (np.floor(down / 14.0) % 40).astype(int), (x / 17.0).astype(int) % 80
        ]
    )
    heights = {"lip": -20.0, "top": -12.0, "eaves": 6.0, "soffit": 15.0}
    bands = [tiles, 0.03, board, 0.12, _bricks(x, y, rng)]
    light = np.broadcast_to(np.asarray(bands[0]), x.shape).copy()
    for height, band in zip(heights.values(), bands[1:], strict=True):
        light = light + (band - light) * ndtr((down - height) / 0.7)
    wall = (x > left + 25.0) & (x < right - 25.0)
    roof = (x > left - 4.0) & (x < right + 4.0)
    board_part = (x > left) & (x < right)
    solid = np.where(down > 15.0, wall, np.where(down > -12.0, board_part, roof))
    light = np.where(solid & (down > -110.0), light, 0.55)
    light = light + rng.normal(0.0, noise, light.shape)
    ends = np.array([left - 0.5, right - 0.5])
    lines = {
        name: np.stack([ends, 150.0 + height + slope * (ends - 320.0)], axis=1)
        for name, height in heights.items()
    }
    return coded(light), lines


def off(points: np.ndarray, line: np.ndarray) -> np.ndarray:
    """Return signed distances of points (N, 2) from a line (2, 2)."""
    way = line[1] - line[0]
    unit = way / np.hypot(*way)
    return (points - line[0]) @ np.array([-unit[1], unit[0]])
