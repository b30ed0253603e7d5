"""Ground, lawn, paving, fence, hedge and trees round the invented house."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from sample_images.scenes import house
from sample_images.scenes.meshes import Part, box, merge, part, tube

if TYPE_CHECKING:
    from sample_images.scenes.house import FloatArray

W, D = house.WALL_WIDTH_MM, house.GABLE_WIDTH_MM
DOOR_MM = (house.OPENINGS[1].left_mm + house.OPENINGS[1].right_mm) / 2.0
SLAB_MM = 450.0
APRON_MM = 2.0 * SLAB_MM  # paving round the house
PATH_MM = 3.0 * SLAB_MM


def slabs(x: tuple[float, float], z: tuple[float, float], seed: int) -> list[Part]:
    """Lay square slabs with 8 mm joints over a rectangle of ground."""
    rng = np.random.default_rng([3, seed])
    parts = []
    for x0 in np.arange(x[0], x[1] - 50.0, SLAB_MM):
        for z0 in np.arange(z[0], z[1] - 50.0, SLAB_MM):
            x1, z1 = min(x0 + SLAB_MM, x[1]) - 8.0, min(z0 + SLAB_MM, z[1]) - 8.0
            top = -rng.random() * 3.0
            lo, hi = (x0, -60.0, z0), (x1, top, z1)
            parts.append(box("slab", lo, hi, rng.random(3)))
    parts.append(box("mortar", (x[0], -80.0, z[0]), (x[1], -9.0, z[1])))
    return parts


def blades(count: int, x: tuple[float, float], z: tuple[float, float], seed: int) -> Part:
    """Scatter blades of grass in clumps over a rectangle."""
    rng = np.random.default_rng([17, seed])
    root = np.column_stack(
        [rng.uniform(*x, count), np.full(count, -14.0), rng.uniform(*z, count)]
    )
    turn = rng.uniform(0.0, 2.0 * np.pi, count)
    wide = np.column_stack([np.cos(turn), np.zeros(count), np.sin(turn)])
    clump = 0.5 + 0.5 * np.sin(root[:, 0] / 310.0) * np.sin(root[:, 2] / 270.0 + 1.0)
    tall = rng.uniform(26.0, 52.0, count) * (0.75 + 0.4 * clump)
    lean = rng.normal(0.0, 0.45, (count, 2)) * tall[:, None]
    tip = root + np.column_stack([lean[:, 0], tall, lean[:, 1]])
    w = rng.uniform(2.0, 3.6, count)[:, None] * wide
    points = np.stack([root - w, root + w, tip + 0.25 * w, tip - 0.25 * w], axis=1)
    tone = np.repeat(rng.random((count, 3)), 4, axis=0)
    return part("grass", points, np.arange(4 * count).reshape(-1, 4), tone)


def leaves(centres: FloatArray, size_mm: float, seed: int, material: str) -> Part:
    """Put one randomly turned leaf at each centre."""
    rng = np.random.default_rng([19, seed])
    n = len(centres)
    a = rng.normal(size=(n, 3))
    a = a / np.linalg.norm(a, axis=1, keepdims=True)
    b = np.cross(a, rng.normal(size=(n, 3)))
    b = b / np.linalg.norm(b, axis=1, keepdims=True)
    long = a * size_mm * rng.uniform(0.7, 1.3, (n, 1))
    wide = b * size_mm * 0.5
    c = centres
    points = np.stack([c - long, c + wide, c + long, c - wide], axis=1)
    tone = np.repeat(rng.random((n, 3)), 4, axis=0)
    return part(material, points, np.arange(4 * n).reshape(-1, 4), tone)


def tree(x: float, z: float, height: float, seed: int) -> list[Part]:
    """Build a broad-leaved tree out of leafy clumps round a trunk."""
    rng = np.random.default_rng([23, seed])
    clumps = 90
    u = rng.normal(size=(clumps, 3))
    u = u / np.linalg.norm(u, axis=1, keepdims=True)
    spread = height * np.array([0.30, 0.32, 0.30])
    centre = np.array([x, height * 0.62, z])
    middles = centre + u * spread * rng.uniform(0.3, 1.0, (clumps, 1)) ** 0.6
    v = rng.normal(size=(clumps, 520, 3))
    v = v / (1.0 + 0.35 * np.linalg.norm(v, axis=2, keepdims=True)) * height * 0.062
    points = (middles[:, None] + v).reshape(-1, 3)
    trunk = box("bark", (x - 140, -20, z - 140), (x + 140, height * 0.7, z + 140))
    return [trunk, leaves(points, 62.0, seed, "leaf")]


def skyline(seed: int) -> Part:
    """Build a far belt of trees all round, so that no bare horizon shows."""
    rng = np.random.default_rng([43, seed])
    n = 110_000
    turn = rng.uniform(0.0, 2.0 * np.pi, n)
    crest = 4300.0 + 1300.0 * np.sin(turn * 17.0) + 900.0 * np.sin(turn * 41.0 + 1.0)
    crest += 500.0 * np.sin(turn * 97.0 + 2.0)
    far = 62_000.0 + rng.normal(0.0, 2500.0, n)
    y = crest * rng.random(n) ** 0.7
    middle = np.array([W / 2.0, 0.0, 0.0])
    ring = np.column_stack([far * np.sin(turn), y, far * np.cos(turn)])
    return leaves(middle + ring, 320.0, seed, "leaf")


def hedge(
    x: tuple[float, float], z: tuple[float, float], top: float, seed: int
) -> list[Part]:
    """Build a clipped hedge: leaves near the faces of a box over a dark core."""
    rng = np.random.default_rng([31, seed])
    lo = np.array([x[0], 0.0, z[0]])
    hi = np.array([x[1], top, z[1]])
    area = 2.0 * top * ((x[1] - x[0]) + (z[1] - z[0])) + (x[1] - x[0]) * (z[1] - z[0])
    n = min(int(area / 900.0), 120_000)
    points = lo + rng.random((n, 3)) * (hi - lo)
    sizes = np.array([x[1] - x[0], z[1] - z[0]])
    pick = rng.choice(3, n, p=_face_shares(sizes, top))
    side = rng.random(n) < 0.5
    for axis, chosen in ((0, pick == 0), (2, pick == 1)):
        face = np.where(side, lo[axis], hi[axis])
        points[chosen, axis] = face[chosen]
    points[pick == 2, 1] = top
    points += rng.normal(0.0, 28.0, points.shape)
    core = box("hedgecore", tuple(lo + 40), tuple(hi - 40))
    return [core, leaves(points, 30.0, seed, "hedge")]


def _face_shares(sizes: FloatArray, top: float) -> FloatArray:
    """Return the shares of the leaves on the x faces, the z faces and the top."""
    areas = np.array([2 * sizes[1] * top, 2 * sizes[0] * top, sizes[0] * sizes[1]])
    return areas / areas.sum()


def shrub(x: float, z: float, height: float, seed: int) -> list[Part]:
    """Build a small evergreen in a pot."""
    rng = np.random.default_rng([47, seed])
    u = rng.normal(size=(5200, 3))
    u = u / np.linalg.norm(u, axis=1, keepdims=True) * rng.uniform(0.5, 1.0, (5200, 1))
    shape = np.array([0.46, 0.52, 0.36]) * height
    lumps = 1.0 + 0.16 * np.sin(5.0 * u[:, :1] + seed) * np.sin(6.0 * u[:, 1:2])
    pot_mm = 250.0
    middle = np.array([x, pot_mm + 0.46 * height, z])
    rim = tube("pot", [[x, pot_mm - 45.0, z], [x, pot_mm, z]], 172.0)
    pot = tube("pot", [[x, 0.0, z], [x, pot_mm, z]], 155.0)
    green = leaves(middle + u * shape * lumps, 21.0, seed, "hedge")
    return [green, rim, pot]


def fence(x: tuple[float, float], z: float) -> list[Part]:
    """Build a close-boarded fence 1.8 m high with posts and a gravel board."""
    rng = np.random.default_rng(37)
    parts = [box("stone", (x[0], -20, z - 20), (x[1], 150, z + 20))]
    for x0 in np.arange(x[0], x[1], 96.0):
        lean = rng.normal(0.0, 2.0)
        top = 1800.0 + rng.normal(0.0, 3.0)
        lo, hi = (x0, 150.0, z - 8 + lean), (x0 + 108.0, top, z + 8 + lean)
        parts.append(box("fence", lo, hi, rng.random(3)))
    parts += [
        box("fence", (x0 - 50, 0, z - 60), (x0 + 50, 1840, z + 40))
        for x0 in np.arange(x[0], x[1], 3000.0)
    ]
    return parts


def build_garden() -> list[Part]:
    """Build everything outside the walls in the house frame."""
    far = 80_000.0
    half = PATH_MM / 2.0
    parts = [box("earth", (-far, -300.0, -far), (far, -15.0, far))]
    parts += slabs((-APRON_MM, W + APRON_MM), (0.0, APRON_MM), 1)
    parts += slabs((W, W + APRON_MM), (-D - APRON_MM, 0.0), 2)
    parts += slabs((DOOR_MM - half, DOOR_MM + half), (APRON_MM, 10_200.0), 3)
    lawn = (APRON_MM, 8200.0)
    parts.append(blades(145_000, (-5500.0, DOOR_MM - half), lawn, 1))
    parts.append(blades(130_000, (DOOR_MM + half, W + 4500.0), lawn, 2))
    parts.append(blades(190_000, (W + APRON_MM, W + 8500.0), (-11_500.0, 900.0), 3))
    parts.append(blades(60_000, (-5200.0, W + 9000.0), (-14_900.0, -9000.0), 4))
    parts += fence((-24_000.0, 36_000.0), -15_000.0)
    parts += hedge((-6300.0, -5500.0), (-14_800.0, 8000.0), 1500.0, 1)
    parts += hedge((W + 9500.0 - 24_000.0, DOOR_MM - 1500.0), (11_500, 12_300), 1300.0, 2)
    parts += hedge((DOOR_MM + 1500.0, W + 20_000.0), (11_500, 12_300), 1300.0, 3)
    spots = [(-9500, -19000, 7600), (-15000, -9000, 9000), (20500, -21000, 8800)]
    spots += [(15000, -24000, 9500), (-4000, -26000, 10500), (31000, -17000, 8000)]
    spots += [(-12000, 17000, 8000), (3000, 22000, 9500), (12500, 19000, 8200)]
    spots += [(-16500, 2000, 7000), (26500, -26000, 10500), (-20000, -21000, 9800)]
    for i, (x, z, height) in enumerate(spots):
        parts += tree(float(x), float(z), float(height), i)
    parts += shrub(5350.0, 330.0, 520.0, 1) + shrub(6980.0, 300.0, 450.0, 2)
    parts.append(skyline(7))
    return merge(parts)
