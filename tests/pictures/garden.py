"""What stands before and behind a house, and what lies before it."""

import numpy as np

from tests.pictures.build import Built
from tests.pictures.house import House
from tests.pictures.shapes import disc, flat, front, topside
from tests.pictures.stuff import grass, leaves, paving_stones, plain

_FAR_MM = 60_000.0


def build_garden(built: Built, house: House, rng: np.random.Generator) -> None:
    """Add the ground, trees behind and everything that hides parts of the house."""
    material = grass() if house.ground == "grass" else paving_stones()
    field = topside("ground", (-_FAR_MM, _FAR_MM), 0.0, (-_FAR_MM, _FAR_MM))
    built.add(field, material, casts=False, shaded=False, repeat_mm=5000.0, coarsest_mm=8.0)
    if house.backdrop:
        for x in np.arange(-30_000.0, 40_000.0, 9000.0):
            tall = float(rng.uniform(2500.0, 6500.0))
            box = (x, -200.0, x + 13_000.0, tall)
            green = (64 + int(rng.integers(30)), 84 + int(rng.integers(20)), 56)
            wood = leaves(green, tall, 420.0)
            far = front("trees", box, -18_000.0 + float(rng.uniform(-900.0, 900.0)))
            built.add(far, wood, casts=False, shaded=False, coarsest_mm=40.0)
    for name in house.occluders:
        _OCCLUDERS[name](built, house, rng)


def _hedge(built: Built, house: House, rng: np.random.Generator) -> None:
    """Add a garden hedge before a part of the wall."""
    tall = float(rng.uniform(700.0, 1400.0))
    start = float(rng.uniform(-0.2, 0.5)) * house.width_mm
    x = (start, start + float(rng.uniform(0.3, 0.6)) * house.width_mm)
    z = float(rng.uniform(900.0, 2200.0))
    green = (58, 84, 44)
    built.add(
        front("hedge", (x[0], 0.0, x[1], tall), z), leaves(green, tall, 45.0), casts=False
    )
    shade = front("hedge shade", (x[0], 0.0, x[1], tall - 90.0), z - 10.0)
    built.add(shade, leaves(green, 0.0))


def _car(built: Built, house: House, rng: np.random.Generator) -> None:
    """Add the side of a parked car."""
    x = float(rng.uniform(0.0, max(1.0, house.width_mm - 4300.0)))
    z = 2600.0
    colours = ((172, 176, 182), (44, 48, 58), (140, 30, 34), (210, 212, 214), (52, 76, 120))
    paint = plain(colours[int(rng.integers(5))], 0.02, 0.0)

    def outline(points) -> list[list[float]]:
        return [[x + a, b, z] for a, b in points]

    body = [(90, 330), (4150, 330), (4200, 560), (4130, 800), (3300, 880)]
    body += [(900, 900), (110, 780), (30, 540)]
    cabin = [
        (860, 880),
        (3320, 870),
        (2760, 1340),
        (2350, 1420),
        (1560, 1420),
        (1260, 1300),
    ]
    glass = [
        (1010, 895),
        (3130, 885),
        (2690, 1290),
        (2330, 1350),
        (1590, 1350),
        (1340, 1250),
    ]
    built.add(flat("car", outline(body)), paint)
    built.add(flat("car", outline(cabin)), paint)
    z += 6.0
    built.add(flat("car glass", outline(glass)), plain((46, 54, 60), 0.3, 0.0), casts=False)
    for at in (830.0, 3330.0):
        tyre, hub = plain((26, 26, 27), 0.05), plain((138, 140, 144), 0.2)
        built.add(disc("tyre", (x + at, 310.0, z + 5.0), 310.0), tyre, casts=False)
        built.add(disc("hub", (x + at, 310.0, z + 12.0), 205.0), hub, casts=False)


def _tree(built: Built, house: House, rng: np.random.Generator) -> None:
    """Add a young tree: a trunk and a ragged crown."""
    x = float(rng.uniform(0.1, 0.9)) * house.width_mm
    z, half = 2000.0, float(rng.uniform(450.0, 900.0))
    bark = plain((82, 72, 60), 0.3, 0.1)
    built.add(front("trunk", (x - 55.0, 0.0, x + 55.0, 2600.0), z), bark)
    tall = 2000.0 + 2.2 * half
    crown = front("crown", (x - half, 1900.0, x + half, tall), z + 60.0)
    built.add(crown, leaves((70, 98, 46), tall - 1900.0, 130.0, oval=True), casts=False)


def _ladder(built: Built, house: House, rng: np.random.Generator) -> None:
    """Lean a ladder upright before the wall."""
    x = float(rng.uniform(0.15, 0.85)) * house.width_mm
    metal = plain((186, 188, 190), 0.04, 0.01)
    top = house.height_mm - 300.0
    for at in (x - 190.0, x + 190.0):
        built.add(front("ladder", (at - 30.0, 0.0, at + 30.0, top), 320.0), metal)
    for y in np.arange(250.0, top, 250.0):
        built.add(front("rung", (x - 190.0, y, x + 190.0, y + 30.0), 312.0), metal)


def _wire(built: Built, house: House, rng: np.random.Generator) -> None:
    """Span cables across the picture."""
    black = plain((30, 30, 32), 0.02)
    for _ in range(2):
        y0, y1 = rng.uniform(3200.0, 5200.0, 2)
        x0, x1 = -4000.0, house.width_mm + 4000.0
        z = 1500.0
        line = [[x0, y0, z], [x1, y1, z], [x1, y1 + 14.0, z], [x0, y0 + 14.0, z]]
        built.add(flat("cable", line), black, coarsest_mm=4000.0)


def _bin(built: Built, house: House, rng: np.random.Generator) -> None:
    """Stand a wheeled bin before the wall."""
    x = float(rng.uniform(0.0, 0.9)) * house.width_mm
    colours = ((40, 64, 50), (44, 46, 50), (88, 60, 44))
    plastic = plain(colours[int(rng.integers(3))], 0.03)
    built.add(front("bin", (x, 90.0, x + 560.0, 1020.0), 700.0), plastic)
    built.add(front("bin lid", (x - 15.0, 1020.0, x + 575.0, 1080.0), 720.0), plastic)
    for at in (x + 70.0, x + 490.0):
        built.add(disc("wheel", (at, 90.0, 705.0), 90.0), plain((25, 25, 26)), casts=False)


_OCCLUDERS = {
    "hedge": _hedge,
    "car": _car,
    "tree": _tree,
    "ladder": _ladder,
    "wire": _wire,
    "bin": _bin,
}
