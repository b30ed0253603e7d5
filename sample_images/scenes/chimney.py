"""A brick chimney on the ridge: bonded stack, oversailing courses, flashing, pots."""

from __future__ import annotations

import numpy as np

from sample_images.scenes import house
from sample_images.scenes.meshes import Part, box, brick_box, hexahedron, merge, tube

LEFT_MM = 2150.0
MIDDLE_Z_MM = -house.GABLE_WIDTH_MM / 2.0
WIDE_MM, DEEP_MM = 665.0, 440.0  # 3 and 2 bricks
COURSES = 21
BELOW_RIDGE_MM = 480.0  # the stack starts inside the roof
OVERSAIL_MM = 28.0
BRICK = house.BRICK_LENGTH_MM
SKIN = house.BRICK_DEPTH_MM
STEP = house.PITCH_ALONG_MM

Plan = list[tuple[float, float, float, float]]  # x0, z0, x1, z1 of each brick


def plan(*, lengthwise: bool) -> Plan:
    """Return the bricks of one course; courses of the two kinds alternate."""
    w, d = WIDE_MM, DEEP_MM
    if lengthwise:
        across = [(i * STEP, i * STEP + BRICK) for i in range(3)]
        bricks = [(a, z, b, z + SKIN) for a, b in across for z in (0.0, d - SKIN)]
        between = (SKIN + house.JOINT_MM, d - SKIN - house.JOINT_MM)
        return bricks + [(x, between[0], x + SKIN, between[1]) for x in (0.0, w - SKIN)]
    ends = [(i * STEP, i * STEP + BRICK) for i in range(2)]
    bricks = [(x, a, x + SKIN, b) for a, b in ends for x in (0.0, w - SKIN)]
    start = SKIN + house.JOINT_MM
    inner = [(start + i * STEP, start + i * STEP + BRICK) for i in range(2)]
    return bricks + [(a, z, b, z + SKIN) for a, b in inner for z in (0.0, d - SKIN)]


def stack(base_y: float) -> list[Part]:
    """Build the courses; the last three sail out and the top one returns."""
    rng = np.random.default_rng(53)
    parts = []
    z0 = MIDDLE_Z_MM - DEEP_MM / 2.0
    for course in range(COURSES):
        out = {COURSES - 3: 0.5, COURSES - 2: 1.0}.get(course, 0.0) * OVERSAIL_MM
        stretch_x, stretch_z = 1.0 + 2.0 * out / WIDE_MM, 1.0 + 2.0 * out / DEEP_MM
        y = base_y + course * house.GAUGE_MM
        for ax, az, bx, bz in plan(lengthwise=course % 2 == 0):
            x = LEFT_MM - out + np.array([ax, bx]) * stretch_x
            z = z0 - out + np.array([az, bz]) * stretch_z
            x, z = x + rng.normal(0.0, 0.8), z + rng.normal(0.0, 0.8)
            lo = np.array([x[0], y + 5.0, z[0]])
            hi = np.array([x[1], y + 70.0, z[1]])
            parts.append(brick_box("brick", lo, hi, rng))
    recess = 6.0
    top = base_y + COURSES * house.GAUGE_MM - 8.0
    lo = (LEFT_MM + recess, base_y, z0 + recess)
    hi = (LEFT_MM + WIDE_MM - recess, top, z0 + DEEP_MM - recess)
    return [*parts, box("mortar", lo, hi)]


def _frustum(material: str, y: tuple[float, float], grow: tuple[float, float]) -> Part:
    """Build a block over the stack whose lower and upper plans differ."""
    rings = []
    for height, g in zip(y, grow, strict=True):
        x0, x1 = LEFT_MM - g, LEFT_MM + WIDE_MM + g
        z0, z1 = MIDDLE_Z_MM - DEEP_MM / 2.0 - g, MIDDLE_Z_MM + DEEP_MM / 2.0 + g
        rings.append(np.array([[x0, height, z0], [x1, height, z0]]))
        rings[-1] = np.vstack([rings[-1], [[x1, height, z1], [x0, height, z1]]])
    return hexahedron(material, rings[0], rings[1])


def _pot(x: float, y: float) -> list[Part]:
    """Build one round pot with two collars and a dark mouth."""
    z = MIDDLE_Z_MM
    shapes = ((0.0, 330.0, 108.0), (300.0, 345.0, 122.0), (40.0, 75.0, 118.0))
    parts = [
        tube("pot", [[x, y + low, z], [x, y + high, z]], radius)
        for low, high, radius in shapes
    ]
    return [*parts, tube("dark", [[x, y + 300.0, z], [x, y + 320.0, z]], 90.0)]


def build_chimney() -> list[Part]:
    """Build the chimney in the house frame."""
    ridge_y = float(house.rake_top_y_mm(house.GABLE_WIDTH_MM / 2.0))
    base = ridge_y - BELOW_RIDGE_MM
    top = base + COURSES * house.GAUGE_MM
    parts = stack(base)
    parts.append(_frustum("mortar", (top - 6.0, top + 55.0), (-4.0, -110.0)))
    parts.append(_frustum("lead", (base, ridge_y - 20.0), (9.0, 5.0)))
    for x in (LEFT_MM + 190.0, LEFT_MM + WIDE_MM - 190.0):
        parts += _pot(x, top + 10.0)
    return merge(parts)
