"""Sufficient mixes of references over one wall, picked with noise, drawn from seeds."""

from collections.abc import Callable

import numpy as np

from calibration.arrays import FloatArray
from calibration.camera import Camera
from calibration.references import (
    CountDirection,
    Courses,
    Distance,
    Level,
    Plumb,
    Points,
    Rectangle,
    Reference,
    TapeDirection,
)
from calibration.references.base import turned
from calibration.references.rectangle import CORNERS
from tests.calibration.views import on_picture, pick

Rng = np.random.Generator
GAUGE_MM, STRETCHER_MM = 75.0, 225.0


def spot(camera: Camera, across: float, up: float) -> FloatArray:
    """Return the wall point at a share of the picture, (2,)."""
    return on_picture(camera, np.array([across]), np.array([up]))[0]


def points(camera: Camera, rng: Rng, *, rotated: bool = False) -> Points:
    """Return six points all over the picture in a frame of their own."""
    across, up = rng.uniform(0.1, 0.9, 6), rng.uniform(0.1, 0.9, 6)
    across[:4], up[:4] = [0.1, 0.9, 0.9, 0.1], [0.1, 0.1, 0.9, 0.9]
    wall = on_picture(camera, across, up)
    plan = wall - wall[0]
    return Points(
        name="points",
        picks_px=pick(camera, wall, rng),
        wall_mm=turned(plan, -0.4) if rotated else plan,
        sd_mm=2.0,
        rotated=rotated,
    )


def rectangle(
    camera: Camera, rng: Rng, *, width: bool = True, turn: float = 0.0
) -> Rectangle:
    """Return a rectangle of about half the picture."""
    low, high = spot(camera, 0.25, 0.2), spot(camera, 0.7, 0.75)
    size = np.abs(high - low)
    plan = turned((CORNERS - 0.5) * size, turn) + (low + high) / 2.0
    return Rectangle(
        name="rectangle",
        picks_px=pick(camera, plan, rng),
        width_mm=float(size[0]) if width else None,
        height_mm=float(size[1]),
        rotated=turn != 0.0,
    )


def tape(camera: Camera, rng: Rng, direction: TapeDirection) -> Distance:
    """Return a tape across the picture."""
    start = spot(camera, 0.2, 0.25)
    end = spot(camera, 0.8, 0.35 if direction is not TapeDirection.PLUMB else 0.8)
    if direction is TapeDirection.LEVEL:
        end[1] = start[1]
    if direction is TapeDirection.PLUMB:
        end[0] = start[0]
    return Distance(
        name="tape",
        picks_px=pick(camera, np.stack([start, end]), rng),
        length_mm=float(np.hypot(*(end - start))),
        sd_mm=3.0,
        direction=direction,
    )


def level(camera: Camera, rng: Rng, up: float) -> Level:
    """Return a level line at a share of the picture's height."""
    a, b = spot(camera, 0.1, up), spot(camera, 0.9, up)
    ends = np.array([[a[0], a[1]], [b[0], a[1]]])
    return Level(name=f"level {up}", picks_px=pick(camera, ends, rng), sd_mm=2.0)


def plumb(camera: Camera, rng: Rng, across: float) -> Plumb:
    """Return a plumb line at a share of the picture's width."""
    a, b = spot(camera, across, 0.15), spot(camera, across, 0.85)
    ends = np.array([[a[0], a[1]], [a[0], b[1]]])
    return Plumb(name=f"plumb {across}", picks_px=pick(camera, ends, rng), sd_mm=2.0)


def courses(camera: Camera, rng: Rng, direction: CountDirection) -> Courses:
    """Return twelve numbered joints all over the picture."""
    axis = 1 if direction is CountDirection.UP else 0
    pitch = GAUGE_MM if axis else STRETCHER_MM
    across, up = rng.uniform(0.05, 0.95, 12), rng.uniform(0.05, 0.95, 12)
    across[:4], up[:4] = [0.05, 0.95, 0.95, 0.05], [0.1, 0.1, 0.9, 0.9]
    wall = on_picture(camera, across, up)
    counts = np.round((wall[:, axis] - wall[0, axis]) / pitch)
    wall[:, axis] = wall[0, axis] + counts * pitch
    return Courses(
        name=f"courses {direction}",
        picks_px=pick(camera, wall, rng),
        counts=counts,
        direction=direction,
        pitch_mm=pitch,
        pitch_sd_mm=0.01 * pitch,
        pitch_key=f"pitch {direction}",
    )


MIXES: dict[str, Callable[[Camera, Rng], list[Reference]]] = {
    "points": lambda c, r: [points(c, r)],
    "rotated points": lambda c, r: [points(c, r, rotated=True)],
    "rectangle": lambda c, r: [rectangle(c, r)],
    "rotated rectangle": lambda c, r: [rectangle(c, r, turn=0.4)],
    "rectangle of unknown width, tape": lambda c, r: [
        rectangle(c, r, width=False),
        tape(c, r, TapeDirection.LEVEL),
    ],
    "tape, levels, plumbs": lambda c, r: [
        tape(c, r, TapeDirection.LEVEL),
        level(c, r, 0.15),
        level(c, r, 0.85),
        plumb(c, r, 0.15),
        plumb(c, r, 0.85),
    ],
    "free tape, levels, plumbs": lambda c, r: [
        tape(c, r, TapeDirection.FREE),
        level(c, r, 0.15),
        level(c, r, 0.85),
        plumb(c, r, 0.15),
        plumb(c, r, 0.85),
    ],
    "courses up": lambda c, r: [courses(c, r, CountDirection.UP)],
    "courses up, plumbs": lambda c, r: [
        courses(c, r, CountDirection.UP),
        plumb(c, r, 0.15),
        plumb(c, r, 0.85),
    ],
    "courses up and along": lambda c, r: [
        courses(c, r, CountDirection.UP),
        courses(c, r, CountDirection.ALONG),
    ],
    "rectangle, courses, tape, level": lambda c, r: [
        rectangle(c, r),
        courses(c, r, CountDirection.UP),
        tape(c, r, TapeDirection.PLUMB),
        level(c, r, 0.85),
    ],
}
"""Every mix fixes scale and wall, made for a camera and a generator."""
