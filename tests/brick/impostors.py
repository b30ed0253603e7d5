"""What repeats and is no brickwork: painted like :mod:`walls`."""

from typing import Final

import cv2
import numpy as np

from tests.brick.walls import Paint


def _table(rng: np.random.Generator) -> np.ndarray:
    return rng.normal(0.0, 1.0, (64, 64))


def grating(x: np.ndarray, y: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Level stripes."""
    return 128.0 + 60.0 * np.sign(np.sin(2 * np.pi * y / 80.0)) + 0.0 * x + rng.normal() * 5


def blind(x: np.ndarray, y: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Slats with a shaded lower edge and two cords."""
    slat = np.mod(y, 50.0) / 50.0
    cord = np.abs(np.mod(x, 1400.0) - 700.0) < 8.0
    tone = _table(rng)[np.floor(y / 50.0).astype(int) % 64, 0]
    return np.where(cord, 235.0, 150.0 + 70.0 * slat + 4.0 * tone)


def cladding(x: np.ndarray, y: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Boards that overlap, with a butt joint here and there."""
    row = np.floor(y / 150.0).astype(int)
    table = _table(rng)
    up = np.mod(y, 150.0)
    butt = np.abs(np.mod(x + 3000.0 * table[row % 64, 1], 4200.0) - 2000.0) < 3.0
    tone = 170.0 + 8.0 * table[row % 64, 2]
    return np.where((up < 9.0) | butt, 80.0, tone)


def fence(x: np.ndarray, y: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Pales before two rails."""
    pale = np.mod(x, 120.0) < 95.0
    tone = 140.0 + 15.0 * _table(rng)[0, np.floor(x / 120.0).astype(int) % 64]
    rail = np.mod(y, 700.0) < 90.0
    return np.where(pale, tone, np.where(rail, 110.0, 60.0))


def ladder(x: np.ndarray, y: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Rungs between two stiles before render."""
    stile = np.abs(np.abs(x) - 250.0) < 35.0
    rung = (np.abs(x) < 250.0) & (np.mod(y, 250.0) < 32.0)
    return np.where(stile | rung, 225.0, 120.0 + rng.normal() * 3)


def pantiles(x: np.ndarray, y: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Interlocking tiles in line, with a shadow below each course."""
    row, column = np.floor(y / 320.0).astype(int), np.floor(x / 300.0).astype(int)
    tone = 110.0 + 14.0 * _table(rng)[row % 64, column % 64]
    roll = 25.0 * np.cos(2 * np.pi * x / 300.0)
    return np.where(np.mod(y, 320.0) < 30.0, 45.0, tone + roll)


def plain_tiles(x: np.ndarray, y: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Tile hanging: 165 mm wide, 114 mm gauge, half a tile on in every course."""
    row = np.floor(y / 114.0).astype(int)
    along = x + 82.5 * (row % 2)
    column = np.floor(along / 165.0).astype(int)
    tone = 130.0 + 16.0 * _table(rng)[row % 64, column % 64]
    gap = np.mod(along, 165.0) < 4.0
    return np.where(np.mod(y, 114.0) < 14.0, 60.0, np.where(gap, 85.0, tone))


def slates(x: np.ndarray, y: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Slates 250 mm wide, 200 mm gauge, half a slate on."""
    row = np.floor(y / 200.0).astype(int)
    along = x + 125.0 * (row % 2)
    column = np.floor(along / 250.0).astype(int)
    tone = 100.0 + 10.0 * _table(rng)[row % 64, column % 64]
    gap = np.mod(along, 250.0) < 4.0
    return np.where((np.mod(y, 200.0) < 8.0) | gap, 55.0, tone)


def wall_tiles(x: np.ndarray, y: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Square tiles with joints in line."""
    row, column = np.floor(y / 150.0).astype(int), np.floor(x / 150.0).astype(int)
    tone = 150.0 + 12.0 * _table(rng)[row % 64, column % 64]
    joint = (np.mod(x, 150.0) < 8.0) | (np.mod(y, 150.0) < 8.0)
    return np.where(joint, 215.0, tone)


def stack_bond(x: np.ndarray, y: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Bricks with their perpends in line."""
    row, column = np.floor(y / 75.0).astype(int), np.floor(x / 225.0).astype(int)
    tone = 120.0 + 18.0 * _table(rng)[row % 64, column % 64]
    joint = (np.mod(x, 225.0) < 10.0) | (np.mod(y, 75.0) < 10.0)
    return np.where(joint, 195.0, tone)


def rubble(x: np.ndarray, y: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Stones of all sizes."""
    seeds = rng.uniform([-6000, -5000], [6000, 5000], (2500, 2))
    from scipy.spatial import cKDTree

    near, which = cKDTree(seeds).query(np.stack([x, y], axis=1), k=2)
    tone = rng.normal(130.0, 25.0, len(seeds))[which[:, 0]]
    return np.where(near[:, 1] - near[:, 0] < 18.0, 190.0, tone)


def coursed_rubble(x: np.ndarray, y: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Stone in courses of unequal height with joints anywhere."""
    heights = np.cumsum(rng.uniform(90.0, 230.0, 100)) - 8000.0
    row = np.searchsorted(heights, y)
    edge = np.minimum(
        np.abs(y - heights[np.clip(row, 0, 99)]),
        np.abs(y - heights[np.clip(row - 1, 0, 99)]),
    )
    out = np.empty_like(x)
    for number in np.unique(row):
        mine = row == number
        joints = np.cumsum(rng.uniform(150.0, 600.0, 80)) - 14000.0
        at = np.searchsorted(joints, x[mine])
        near = np.minimum(
            np.abs(x[mine] - joints[np.clip(at, 0, 79)]),
            np.abs(x[mine] - joints[np.clip(at - 1, 0, 79)]),
        )
        tone = rng.normal(130.0, 20.0, 81)[at]
        out[mine] = np.where(np.minimum(near, edge[mine]) < 7.0, 185.0, tone)
    return out


def render_wall(x: np.ndarray, y: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Plain render with windows in rows."""
    pane = (np.mod(x, 1800.0) < 1000.0) & (np.mod(y, 1500.0) < 900.0)
    return np.where(pane, 60.0, 200.0 + rng.normal() * 2)


def noise(x: np.ndarray, y: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """White noise."""
    return rng.normal(128.0, 50.0, x.shape) + 0.0 * y


def leaves(x: np.ndarray, y: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Paint a hedge: noise of leaf size."""
    field = cv2.GaussianBlur(rng.normal(0, 1, (512, 512)), (0, 0), 1.5)
    field /= field.std()
    return (
        90.0
        + 40.0
        * field[np.floor(y / 15).astype(int) % 512, np.floor(x / 15).astype(int) % 512]
    )


def sky(x: np.ndarray, y: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Paint a plain sky."""
    return 190.0 - y / 100.0 + 0.0 * x + rng.normal()


def decking(x: np.ndarray, y: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Boards of one length, half a board on in each row, ten times as long as high."""
    row = np.floor(y / 120.0).astype(int)
    along = x + 1200.0 * (row % 2)
    tone = 130.0 + 10.0 * _table(rng)[row % 64, np.floor(along / 2400.0).astype(int) % 64]
    return np.where((np.mod(y, 120.0) < 6.0) | (np.mod(along, 2400.0) < 5.0), 60.0, tone)


def long_ashlar(x: np.ndarray, y: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Sawn stones 750 x 250 mm in half bond, as long as bricks for their height."""
    row = np.floor(y / 250.0).astype(int)
    along = x + 375.0 * (row % 2)
    tone = 175.0 + 9.0 * _table(rng)[row % 64, np.floor(along / 750.0).astype(int) % 64]
    joint = (np.mod(y, 250.0) < 5.0) | (np.mod(along, 750.0) < 5.0)
    return _on_grass(np.where(joint, 140.0, tone), y, rng)


def shingles(x: np.ndarray, y: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Split shingles of any width in courses of 180 mm, the next ones anywhere."""
    row = np.floor(y / 180.0).astype(int)
    out, table = np.empty_like(x), _table(rng)
    for number in np.unique(row):
        mine = row == number
        joints = np.cumsum(rng.uniform(80.0, 220.0, 300)) - 20_000.0
        at = np.searchsorted(joints, x[mine])
        gap = np.abs(x[mine] - joints[np.clip(at - 1, 0, 299)]) < 5.0
        out[mine] = np.where(gap, 60.0, 125.0 + 16.0 * table[number % 64, at % 64])
    return np.where(np.mod(y, 180.0) < 14.0, 50.0, out)


def metro_tiles(x: np.ndarray, y: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Glazed tiles 150 x 75 mm in half bond with light grout."""
    row = np.floor(y / 75.0).astype(int)
    along = x + 75.0 * (row % 2)
    tone = 120.0 + 8.0 * _table(rng)[row % 64, np.floor(along / 150.0).astype(int) % 64]
    joint = (np.mod(y, 75.0) < 3.0) | (np.mod(along, 150.0) < 3.0)
    return np.where(joint, 220.0, tone)


def pale_mortar(x: np.ndarray, y: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Squared stones 330 x 220 mm in half bond, as headers are, in light mortar."""
    row = np.floor(y / 220.0).astype(int)
    along = x + 165.0 * (row % 2)
    tone = 130.0 + 12.0 * _table(rng)[row % 64, np.floor(along / 330.0).astype(int) % 64]
    joint = (np.mod(y, 220.0) < 10.0) | (np.mod(along, 330.0) < 10.0)
    return _on_grass(np.where(joint, 200.0, tone), y, rng)


def _on_grass(wall: np.ndarray, y: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Return a wall that ends at the ground, 1.2 to 2.4 m below a camera held by hand."""
    foot = float(rng.uniform(1200.0, 2400.0))
    grass = 80.0 + 15.0 * rng.standard_normal(y.shape)
    return np.where(y < -foot, grass, wall)


IMPOSTORS: Final[dict[str, Paint]] = {
    f.__name__: f
    for f in (
        grating,
        blind,
        cladding,
        fence,
        ladder,
        pantiles,
        plain_tiles,
        slates,
        wall_tiles,
        stack_bond,
        rubble,
        coursed_rubble,
        render_wall,
        noise,
        leaves,
        sky,
        decking,
        long_ashlar,
        shingles,
        metro_tiles,
        pale_mortar,
    )
}
