"""Roof of the invented house: tiles, fascia, soffit, gutter, barge boards, box ends."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from sample_images.scenes import house
from sample_images.scenes.meshes import Part, box, hexahedron, merge, part, prism, tube

if TYPE_CHECKING:
    from sample_images.scenes.house import FloatArray

TILE_LENGTH_MM = 418.0
TILE_COVER_MM = 300.0
TILE_GAUGE_MM = 345.0
TILE_THICK_MM = 14.0
VERGE_OVERHANG_MM = 45.0
GUTTER_RADIUS_MM = 56.0
GUTTER_Y_MM = house.FASCIA_TOP_Y_MM - 25.0
GUTTER_Z_MM = house.FASCIA_PROJECTION_MM + 8.0 + GUTTER_RADIUS_MM
GUTTER_OVERRUN_MM = 18.0  # past the outer face of the barge boards
BACK_MM = house.BARGE_PROJECTION_MM - house.BARGE_THICKNESS_MM
RIDGE_RADIUS_MM = 122.0
RIDGE_LIFT_MM = 2.0  # of the ridge tiles' axis over the boards' apex
BOX_END_MM = 20.0  # the box end reaches this far behind the quoin
W = house.WALL_WIDTH_MM
D = house.GABLE_WIDTH_MM
RIDGE_TOP_Y_MM = float(house.rake_top_y_mm(D / 2.0)) + RIDGE_LIFT_MM + RIDGE_RADIUS_MM


def mirror_x(parts: list[Part]) -> list[Part]:
    """Mirror about the middle of the front wall."""
    flip = np.array([-1.0, 1.0, 1.0])
    shift = np.array([W, 0.0, 0.0])
    return [part(p.material, p.vertices * flip + shift, p.quads, p.tone) for p in parts]


def mirror_z(parts: list[Part]) -> list[Part]:
    """Mirror about the ridge."""
    flip = np.array([1.0, 1.0, -1.0])
    shift = np.array([0.0, 0.0, -D])
    return [part(p.material, p.vertices * flip + shift, p.quads, p.tone) for p in parts]


def _on_slope(x: FloatArray, up: FloatArray, out: FloatArray) -> FloatArray:
    """Return points of the front slope: along, up the slope, off the rafters."""
    s, c = math.sin(house.PITCH_RAD), math.cos(house.PITCH_RAD)
    y = house.FASCIA_TOP_Y_MM + up * s + out * c
    z = house.FASCIA_PROJECTION_MM - up * c + out * s
    return np.stack(np.broadcast_arrays(x, y, z), axis=-1)


def _tile(x0: float, up0: float, width: float, rng: np.random.Generator) -> Part:
    """Build one double-roman tile: top, tail and side faces."""
    u = np.linspace(0.0, 1.0, 25)
    roll = 27.0 * (0.5 + 0.5 * np.cos(4.0 * np.pi * (u - 0.25))) ** 2.4
    x = x0 + u * (width + 8.0) + rng.normal(0.0, 1.0)
    up0 = up0 + rng.normal(0.0, 1.6)
    lift = rng.normal(0.0, 1.2)
    head = _on_slope(x, np.full(25, up0 + TILE_LENGTH_MM), roll + 24.0)
    tail = _on_slope(x, np.full(25, up0), roll + 42.0 + lift)
    under = _on_slope(x, np.full(25, up0), roll + 42.0 + lift - TILE_THICK_MM)
    under_head = _on_slope(x, np.full(25, up0 + TILE_LENGTH_MM), roll + 10.0)
    i = np.arange(24)
    top = np.column_stack([i + 25, i + 26, i + 1, i])
    nose = np.column_stack([i + 50, i + 51, i + 26, i + 25])
    sides = [[25, 0, 75, 50], [49, 24, 99, 74]]
    rows = np.concatenate([head, tail, under, under_head])
    return part("tile", rows, np.concatenate([top, nose, sides]), rng.random(3))


def tiles() -> list[Part]:
    """Build the front slope's tiles and the dark deck below them."""
    rng = np.random.default_rng(5)
    length = (D / 2.0 + house.FASCIA_PROJECTION_MM) / math.cos(house.PITCH_RAD)
    left = -house.BARGE_PROJECTION_MM - VERGE_OVERHANG_MM
    columns = round((W - 2.0 * left) / TILE_COVER_MM)
    width = (W - 2.0 * left) / columns
    rows = math.ceil((length - 40.0) / TILE_GAUGE_MM)
    gauge = (length - 40.0) / rows
    parts = [
        _tile(left + c * width, r * gauge - 55.0, width, rng)
        for r in range(rows)
        for c in range(columns)
    ]
    ends = np.array([-100.0, W + 100.0, W + 100.0, -100.0])
    up = np.array([-20.0, -20.0, length, length])
    parts.append(part("dark", _on_slope(ends, up, np.full(4, 4.0)), [[0, 1, 2, 3]]))
    return parts


def ridge() -> list[Part]:
    """Build half-round ridge tiles on their mortar bed."""
    rng = np.random.default_rng(6)
    apex = float(house.rake_top_y_mm(D / 2.0))
    left = -house.BARGE_PROJECTION_MM - VERGE_OVERHANG_MM
    count = round((W - 2.0 * left) / 450.0)
    length = (W - 2.0 * left) / count
    a = np.linspace(-0.15, np.pi + 0.15, 22)
    parts = []
    for i in range(count):
        y = apex + RIDGE_LIFT_MM + rng.normal(0.0, 1.5)
        loop = []
        for radius in (RIDGE_RADIUS_MM, RIDGE_RADIUS_MM - 16.0):
            arc = np.column_stack(
                [np.zeros(22), y + radius * np.sin(a), -D / 2 + radius * np.cos(a)]
            )
            loop.append(arc if radius > 110 else arc[::-1])
        x0 = left + i * length
        ring = np.concatenate(loop) + np.array([x0, 0.0, 0.0])
        push = [length - 6, rng.normal(0, 1), 0]
        parts.append(prism("ridge", ring, push, rng.random(3)))
    lo, hi = (
        (left + 12, apex - 60, -D / 2 - 103),
        (W - left - 12, apex + 35, 103 - D / 2),
    )
    return [*parts, box("mortar", lo, hi)]


def ridge_plug() -> Part:
    """Close the left end of the ridge with mortar, as a mason does."""
    a = np.linspace(0.0, np.pi, 24)
    radius = RIDGE_RADIUS_MM - 12.0
    y = RIDGE_TOP_Y_MM - RIDGE_RADIUS_MM + radius * np.sin(a)
    x = -house.BARGE_PROJECTION_MM - VERGE_OVERHANG_MM + 7.0
    points = np.column_stack([np.full(24, x), y, -D / 2.0 + radius * np.cos(a)])
    return part("mortar", points, [[i, i + 1, 22 - i, 23 - i] for i in range(11)])


def eaves() -> list[Part]:
    """Build the front fascia and soffit, out to the outer faces of the barge boards."""
    end = house.BARGE_PROJECTION_MM
    z1 = house.FASCIA_PROJECTION_MM
    z0 = z1 - house.FASCIA_THICKNESS_MM
    low, high = house.FASCIA_BOTTOM_Y_MM, house.FASCIA_TOP_Y_MM
    under = house.SOFFIT_Y_MM
    back = BACK_MM - 1.0
    return [
        box("upvc", (-end, low, z0), (W + end, high, z1)),
        box("upvc", (0.0, under, -10.0), (W, under + 9.0, z0)),
        box("upvc", (W, under, -BOX_END_MM), (W + back, under + 9.0, z0)),
        box("upvc", (-back, under, -BOX_END_MM), (0.0, under + 9.0, z0)),
    ]


def _half_round(radius: float, thick: float, x0: float, x1: float) -> Part:
    """Build one length of half-round channel open at the top."""
    a = np.linspace(np.pi, 2.0 * np.pi, 24)
    outer = np.column_stack([np.cos(a), np.sin(a)]) * radius
    inner = outer[::-1] * (radius - thick) / radius
    zy = np.concatenate([outer, inner])
    loop = np.column_stack(
        [np.full(len(zy), x0), GUTTER_Y_MM + zy[:, 1], GUTTER_Z_MM + zy[:, 0]]
    )
    return prism("gutter", loop, [x1 - x0, 0.0, 0.0])


def _stop_end(x: float) -> Part:
    """Close a gutter end with a half disc of quads."""
    a = np.linspace(np.pi, 2.0 * np.pi, 24)
    y = GUTTER_Y_MM + 58.0 * np.sin(a)
    z = GUTTER_Z_MM + 58.0 * np.cos(a)
    points = np.column_stack([np.full(24, x), y, z])
    quads = [[i, i + 1, 22 - i, 23 - i] for i in range(11)]
    return part("gutter", points, quads)


def gutter() -> list[Part]:
    """Build the front gutter with brackets, unions and stop ends."""
    x0 = -house.BARGE_PROJECTION_MM - GUTTER_OVERRUN_MM
    x1 = W - x0
    parts = [_half_round(GUTTER_RADIUS_MM, 3.0, x0, x1), _stop_end(x0), _stop_end(x1)]
    for x in np.linspace(x0 + 250.0, x1 - 250.0, 10):
        parts.append(_half_round(GUTTER_RADIUS_MM + 5.0, 5.0, x - 13.0, x + 13.0))
        z = house.FASCIA_PROJECTION_MM
        low, high = GUTTER_Y_MM - 45.0, GUTTER_Y_MM + 5.0
        parts.append(box("gutter", (x - 20, low, z), (x + 20, high, z + 12)))
    parts += [
        _half_round(GUTTER_RADIUS_MM + 4.5, 4.5, x - 45.0, x + 45.0)
        for x in (x0 + 3900.0, house.DOWNPIPE_X_MM)
    ]
    return parts


def downpipe() -> list[Part]:
    """Build the downpipe with its offset bend, sockets, clips and shoe."""
    x, z = house.DOWNPIPE_X_MM, house.DOWNPIPE_Z_MM
    top = GUTTER_Y_MM - GUTTER_RADIUS_MM
    out = GUTTER_Z_MM
    path = [
        [x, top + 5.0, out],
        [x, 4990.0, out],
        [x, 4990.0 - 330.0, z],
        [x, 130.0, z],
        [x, 60.0, z + 70.0],
    ]
    r = house.DOWNPIPE_RADIUS_MM
    parts = [tube("gutter", path, r)]
    rings = [(4560.0, z), (4640.0, z), (5040.0, out), (2480.0, z)]
    for y, zr in rings:
        parts.append(tube("gutter", [[x, y, zr], [x, y + 55.0, zr]], r + 5.0))
    for y in (4570.0, 3550.0, 2490.0, 1450.0, 420.0):
        parts.append(box("gutter", (x - 62, y, 0.0), (x + 62, y + 28, z - 20)))
        parts.append(tube("gutter", [[x, y, z], [x, y + 28.0, z]], r + 4.0))
    return parts


def _gable_points(across: FloatArray, y: FloatArray, out: float) -> FloatArray:
    """Return house-frame points of a plane ``out`` off the right-hand gable wall."""
    a, b = np.broadcast_arrays(across, y)
    return np.column_stack([np.full(len(a), W + out), b, -a])


def _between(
    material: str, across: tuple[float, float], drop: tuple[float, float], *z: float
) -> Part:
    """Build a board along the rake between two lines parallel to it.

    ``drop`` is how far its lower and upper edges lie above the barge's lower edge,
    ``z`` its faces off the gable wall.
    """
    a = np.array([across[0], across[1], across[1], across[0]])
    low = house.rake_low_y_mm(a) + np.array([drop[0], drop[0], drop[1], drop[1]])
    back, front = (_gable_points(a, low, out) for out in z)
    return hexahedron(material, back, front)


def verge() -> list[Part]:
    """Build the front half of the right-hand verge: barge, soffit, box end, bedding."""
    foot, apex = house.BARGE_FOOT_X_MM, D / 2.0 - 0.8
    depth = house.BARGE_DEPTH_MM / math.cos(house.PITCH_RAD)
    face = house.BARGE_PROJECTION_MM
    end = np.array([foot, BOX_END_MM, BOX_END_MM, foot])
    tops = house.rake_low_y_mm(end[2:]) + 22.0
    y = np.array([house.SOFFIT_Y_MM - 1.0] * 2 + list(tops))
    panel = [_gable_points(end, y, out) for out in (BACK_MM - 9.0, BACK_MM - 0.5)]
    lo = (W - 5.0, house.SOFFIT_Y_MM - 1.0, -BOX_END_MM - 9.0)
    hi = (W + BACK_MM - 0.7, float(tops[0]), -BOX_END_MM)
    return [
        _between("upvc", (foot, apex), (0.0, depth), BACK_MM, face),
        _between("upvc", (foot + 60, D / 2), (18.0, 27.0), -10.0, BACK_MM),
        _between("mortar", (foot, D / 2), (depth, depth + 27.0), -40.0, face + 12.0),
        hexahedron("upvc", *panel),
        box("upvc", lo, hi),
    ]


def build_roof() -> list[Part]:
    """Build the whole roof and roofline in the house frame."""
    one_slope = tiles() + eaves() + gutter()
    quarter = verge()
    half = quarter + mirror_x(quarter) + one_slope
    plug = [ridge_plug()]
    top = ridge() + plug + mirror_x(plug)
    return merge(half + mirror_z(half) + top + downpipe())
