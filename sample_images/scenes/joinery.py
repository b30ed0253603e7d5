"""Windows, the front door, sills and what can be seen behind the glass."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from sample_images.scenes import house
from sample_images.scenes.meshes import Part, box, hexahedron, merge, part

if TYPE_CHECKING:
    from sample_images.scenes.house import Opening

FRAME_FACE_MM = -88.0  # front of the outer frame, behind the wall face
FRAME_BACK_MM = -155.0
FRAME_WIDTH_MM = 58.0
SASH_WIDTH_MM = 50.0
SEALANT_MM = 4.0
SILL_NOSE_MM = 45.0
W, D = house.WALL_WIDTH_MM, house.GABLE_WIDTH_MM

Rect = tuple[float, float, float, float]  # x0, y0, x1, y1


def ring(material: str, rect: Rect, width: float, z: tuple[float, float]) -> list[Part]:
    """Build four bars round a rectangle."""
    x0, y0, x1, y1 = rect
    back, front = z
    return [
        box(material, (x0, y0, back), (x0 + width, y1, front)),
        box(material, (x1 - width, y0, back), (x1, y1, front)),
        box(material, (x0 + width, y0, back), (x1 - width, y0 + width, front)),
        box(material, (x0 + width, y1 - width, back), (x1 - width, y1, front)),
    ]


def inset(rect: Rect, by: float) -> Rect:
    """Shrink a rectangle on all sides."""
    x0, y0, x1, y1 = rect
    return x0 + by, y0 + by, x1 - by, y1 - by


def pane(rect: Rect, z: float) -> Part:
    """Build one sheet of glass, a little out of true as sealed units are."""
    x0, y0, x1, y1 = rect
    push = np.array([0.0, 1.2, -0.8, 0.5])
    corners = [[x0, y0, z], [x1, y0, z], [x1, y1, z], [x0, y1, z]]
    points = np.array(corners) + push[:, None] * [0.0, 0.0, 1.0]
    return part("glass", points, [[0, 1, 2, 3]])


def curtain(rect: Rect, rng: np.random.Generator) -> Part:
    """Hang one drawn-back curtain behind the glass."""
    x0, y0, x1, y1 = rect
    u = np.linspace(0.0, 1.0, 60)
    x = x0 + u * (x1 - x0)
    z = -260.0 + 28.0 * np.sin(u * 34.0 + rng.random()) + 8.0 * np.sin(u * 91.0)
    low = np.column_stack([x, np.full(60, y0), z])
    high = np.column_stack([x, np.full(60, y1), z])
    i = np.arange(59)
    quads = np.column_stack([i, i + 1, i + 61, i + 60])
    return part("curtain", np.concatenate([low, high]), quads, rng.random(3))


def sill(o: Opening) -> Part:
    """Build the stone sill: weathered top that is flush with the opening at z = 0."""
    x0, x1 = o.left_mm - 50.0, o.right_mm + 50.0
    top = o.bottom_mm
    low = float(house.mean_joint_y_mm(o.bottom - 1)) + 5.0
    z0, z1 = -100.0, SILL_NOSE_MM
    fall = 6.0
    xs = np.array([x0, x1, x1, x0])
    zs = np.array([z0, z0, z1, z1])
    under = np.column_stack([xs, np.full(4, low), zs])
    tops = top - fall * zs / SILL_NOSE_MM
    return hexahedron("stone", under, np.column_stack([xs, tops, zs]))


def window(o: Opening) -> list[Part]:
    """Build one casement window with its sill and curtains."""
    rng = np.random.default_rng([41, o.bottom, int(o.first)])
    rect = inset((o.left_mm, o.bottom_mm, o.right_mm, o.top_mm), SEALANT_MM)
    z = (FRAME_BACK_MM, FRAME_FACE_MM)
    parts = [*ring("upvc", rect, FRAME_WIDTH_MM, z), sill(o)]
    outer = (o.left_mm, o.bottom_mm + 2.0, o.right_mm, o.top_mm - 1.0)
    parts += ring("dark", outer, SEALANT_MM, (FRAME_BACK_MM, FRAME_FACE_MM - 6.0))
    x0, y0, x1, y1 = inset(rect, FRAME_WIDTH_MM)
    step = (x1 - x0 + FRAME_WIDTH_MM) / o.lights
    for i in range(o.lights):
        left = x0 + i * step
        right = left + step - FRAME_WIDTH_MM
        if i + 1 < o.lights:
            parts.append(box("upvc", (right, y0, z[0]), (right + FRAME_WIDTH_MM, y1, z[1])))
        light = (left, y0, right, y1)
        if i != 1:
            sash = inset(light, -9.0)
            parts += ring("upvc", sash, SASH_WIDTH_MM, (z[0], z[1] + 9.0))
            light = inset(sash, SASH_WIDTH_MM)
        parts += ring("dark", inset(light, -3.0), 6.0, (z[0], z[1] - 18.0))
        parts.append(pane(light, z[1] - 24.0))
    side = (x1 - x0) * 0.2
    parts.append(curtain((x0 - 60, y0 - 150, x0 + side, y1 + 40), rng))
    parts.append(curtain((x1 - side, y0 - 150, x1 + 60, y1 + 40), rng))
    return parts


def _panel(rect: Rect, z: float) -> list[Part]:
    """Build one raised and fielded door panel."""
    x0, y0, x1, y1 = inset(rect, 28.0)
    field = box("door", (x0, y0, z - 20.0), (x1, y1, z + 4.0))
    return [*ring("door", rect, 20.0, (z - 5.0, z + 9.0)), field]


def door(o: Opening) -> list[Part]:
    """Build the front door: frame, leaf with panels and two glazed lights."""
    rect = inset((o.left_mm, o.bottom_mm, o.right_mm, o.top_mm), SEALANT_MM)
    z = FRAME_FACE_MM
    x0, y0, x1, y1 = inset(rect, FRAME_WIDTH_MM)
    y0 = o.bottom_mm + 25.0
    leaf = z - 12.0
    mid = (x0 + x1) / 2.0
    parts = ring("upvc", rect, FRAME_WIDTH_MM, (FRAME_BACK_MM, z))
    parts.append(box("door", (x0 + 2, y0, leaf - 44), (x1 - 2, y1 - 3, leaf)))
    for a, b in ((x0 + 115, mid - 45), (mid + 45, x1 - 115)):
        parts += _panel((a, y0 + 190, b, y0 + 760), leaf)
        parts += ring("door", (a, y0 + 1010, b, y1 - 150), 22.0, (leaf, leaf + 10))
        glazed = inset((a, y0 + 1010, b, y1 - 150), 22.0)
        parts += [pane(glazed, leaf + 1.5)]
    parts.append(box("metal", (mid - 130, y0 + 870, leaf), (mid + 130, y0 + 925, leaf + 7)))
    parts.append(box("metal", (x0 + 35, y0 + 890, leaf), (x0 + 68, y0 + 1120, leaf + 8)))
    parts.append(
        box("metal", (x0 + 42, y0 + 1010, leaf + 30), (x0 + 165, y0 + 1030, leaf + 48))
    )
    x0, x1 = o.left_mm, o.right_mm
    parts.append(box("stone", (x0 - 8, -50.0, -160.0), (x1 + 8, o.bottom_mm, 12.0)))
    parts.append(box("stone", (x0 - 220, -50.0, 12.0), (x1 + 220, 70.0, 460.0)))
    return parts


def shell() -> list[Part]:
    """Build rooms behind the windows, the hidden walls and the damp-proof course."""
    back, left = -D, 0.0
    rooms = [
        box("plaster", (left + 110, -20, back + 90), (W - 110, 0.0, -110)),
        box("plaster", (left + 110, 2480, back + 90), (W - 110, 2700, -110)),
        box("plaster", (left + 110, 4900, back + 90), (W - 110, 4960, -110)),
        box("plaster", (left + 110, 0, -3700), (W - 110, 4900, -3600)),
    ]
    walls = [
        box("brick", (left, -100, back), (left + 104, 5150, -104)),
        box("brick", (left, -100, back), (W - 104, 5000, back + 104)),
    ]
    y = float(house.mean_joint_y_mm(1))
    cuts = [0.0, house.OPENINGS[1].left_mm - 10, house.OPENINGS[1].right_mm + 10, W]
    dpc = [
        box("dark", (a, y - 1.5, -50.0), (b, y + 1.5, 2.0))
        for a, b in ((cuts[0], cuts[1]), (cuts[2], cuts[3]))
    ]
    dpc.append(box("dark", (W - 50, y - 1.5, -D), (W + 2.0, y + 1.5, 0.0)))
    rooms += [
        box("plaster", (x, 0, -3600), (x + 100, 4900, -110)) for x in (3100.0, 5000.0)
    ]
    return rooms + walls + dpc


def build_joinery() -> list[Part]:
    """Build all openings' contents in the house frame."""
    parts = shell()
    for o in house.OPENINGS:
        parts += window(o) if o.lights else door(o)
    return merge(parts)


def build_gable_joinery() -> list[Part]:
    """Build the landing window and a meter cabinet in the gable's own frame."""
    parts = [p for o in house.GABLE_OPENINGS for p in window(o)]
    parts.append(box("upvc", (1010.0, 640.0, -20.0), (1420.0, 1235.0, 38.0)))
    parts.append(box("upvc", (1024.0, 654.0, 38.0), (1406.0, 1221.0, 44.0)))
    return merge(parts)
