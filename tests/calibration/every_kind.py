"""One reference of every kind and variant, picked exactly, with its true unknowns."""

from collections.abc import Callable
from dataclasses import dataclass, replace

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
    ScaleError,
    Soffit,
    Straight,
    TapeDirection,
)
from calibration.references.base import turned
from calibration.references.rectangle import CORNERS

PROJECTION_MM = 30.0
TURN_RAD = 0.3


@dataclass(frozen=True, eq=False)
class Case:
    """A reference and what its unknowns truly are.

    Attributes
    ----------
    reference : Reference
        Its picks are exact.
    own : (n,) float64
        True values of its unknowns.
    """

    reference: Reference
    own: FloatArray


def _seen(camera: Camera, xy_mm: FloatArray, z_mm: FloatArray | float) -> FloatArray:
    return camera.project(np.c_[xy_mm, np.broadcast_to(z_mm, len(xy_mm))])


def _centre(camera: Camera) -> FloatArray:
    """Return the wall point in the middle of the picture, (2,)."""
    return camera.back_project(camera.centre_px[None], np.zeros(1)).xy_mm[0]


def _points(camera: Camera, turn: float) -> Case:
    plan = np.array([[0, 0], [1500, 100], [1400, 1100], [-200, 900], [600, 500]]) * 1.0
    origin = _centre(camera) - 400.0
    reference = Points(
        name="points",
        picks_px=_seen(camera, turned(plan, turn) + origin, PROJECTION_MM),
        wall_mm=plan,
        sd_mm=2.0,
        projection_mm=PROJECTION_MM,
        rotated=turn != 0.0,
    )
    return Case(reference, np.array([PROJECTION_MM, *origin, *([turn] if turn else [])]))


def _print(camera: Camera, scale: ScaleError, turn: float) -> Case:
    case = _points(camera, turn)
    own = np.concatenate([case.own, np.zeros(len(scale.unknowns()))])
    return Case(replace(case.reference, scale=scale), own)


def _rectangle(camera: Camera, turn: float, *, width: bool, height: bool) -> Case:
    plan = CORNERS * [910.0, 2040.0]
    origin = _centre(camera) - 700.0
    reference = Rectangle(
        name="door",
        picks_px=_seen(camera, turned(plan, turn) + origin, PROJECTION_MM),
        width_mm=910.0 if width else None,
        height_mm=2040.0 if height else None,
        projection_mm=PROJECTION_MM,
        rotated=turn != 0.0,
    )
    own = [PROJECTION_MM, *origin, 910.0, 2040.0, *([turn] if turn else [])]
    return Case(reference, np.array(own))


def _tape(camera: Camera, direction: TapeDirection) -> Case:
    along = {
        TapeDirection.LEVEL: [2000.0, 0.0],
        TapeDirection.PLUMB: [0.0, 1800.0],
        TapeDirection.FREE: [1600.0, 1200.0],
    }[direction]
    ends = _centre(camera) + np.array([[0.0, 0.0], along])
    reference = Distance(
        name="tape",
        picks_px=_seen(camera, ends, PROJECTION_MM),
        length_mm=float(np.hypot(*along)),
        sd_mm=3.0,
        direction=direction,
        projection_mm=PROJECTION_MM,
    )
    return Case(reference, np.array([PROJECTION_MM]))


def _line(camera: Camera, kind: type[Level] | type[Plumb]) -> Case:
    along = [2500.0, 0.0] if kind is Level else [0.0, 2000.0]
    ends = _centre(camera) + np.array([[0.0, 0.0], along])
    return Case(kind(name="line", picks_px=_seen(camera, ends, 0.0)), np.zeros(0))


def _straight(camera: Camera) -> Case:
    angle, distance = 0.4, float(_centre(camera) @ [np.cos(0.4), np.sin(0.4)]) + 100.0
    normal = np.array([np.cos(angle), np.sin(angle)])
    along = np.array([[-normal[1], normal[0]]])
    foot = _centre(camera) + 100.0 * normal
    xy = foot + np.linspace(-900.0, 1100.0, 5)[:, None] * along
    reference = Straight(name="edge", picks_px=_seen(camera, xy, 0.0))
    return Case(reference, np.array([angle, distance]))


def _courses(camera: Camera, direction: CountDirection) -> Case:
    counts = np.array([0.0, 4.0, 9.0, 15.0, 22.0, 3.0])
    pitch, aside = 75.0, np.array([0.0, 300.0, -200.0, 500.0, 100.0, -400.0])
    ladder = pitch * counts - 800.0
    pair = [aside, ladder] if direction is CountDirection.UP else [ladder, aside]
    xy = _centre(camera) + np.stack(pair, axis=1)
    axis = 1 if direction is CountDirection.UP else 0
    reference = Courses(
        name="ladder",
        picks_px=_seen(camera, xy, PROJECTION_MM),
        counts=counts,
        direction=direction,
        pitch_mm=pitch,
        pitch_sd_mm=0.75,
        pitch_key="front: gauge",
        projection_mm=PROJECTION_MM,
    )
    offset = float(_centre(camera)[axis]) - 800.0
    return Case(reference, np.array([PROJECTION_MM, offset, pitch, 0.0]))


def _soffit(camera: Camera) -> Case:
    left, height = _centre(camera) + np.array([-1000.0, 900.0])
    xy = np.array([[left, height], [left + 2500.0, height]])
    picks = [_seen(camera, xy, 0.0), _seen(camera, xy + np.array([100.0, 0.0]), 310.0)]
    reference = Soffit(name="soffit", picks_px=np.concatenate(picks), wall_picks=2)
    return Case(reference, np.array([310.0, height, 0.0]))


MAKERS: dict[str, Callable[[Camera], Case]] = {
    "points": lambda camera: _points(camera, 0.0),
    "points, rotated": lambda camera: _points(camera, TURN_RAD),
    "rectangle": lambda camera: _rectangle(camera, 0.0, width=True, height=True),
    "rectangle of known height": lambda camera: _rectangle(
        camera, 0.0, width=False, height=True
    ),
    "rectangle of known width": lambda camera: _rectangle(
        camera, 0.0, width=True, height=False
    ),
    "rectangle of no known side": lambda camera: _rectangle(
        camera, 0.0, width=False, height=False
    ),
    "rectangle, rotated": lambda camera: _rectangle(
        camera, TURN_RAD, width=True, height=True
    ),
    "tape, level": lambda camera: _tape(camera, TapeDirection.LEVEL),
    "tape, plumb": lambda camera: _tape(camera, TapeDirection.PLUMB),
    "tape, free": lambda camera: _tape(camera, TapeDirection.FREE),
    "level": lambda camera: _line(camera, Level),
    "plumb": lambda camera: _line(camera, Plumb),
    "straight": _straight,
    "courses up": lambda camera: _courses(camera, CountDirection.UP),
    "courses along": lambda camera: _courses(camera, CountDirection.ALONG),
    "soffit": _soffit,
    "points of a print": lambda camera: _print(
        camera, ScaleError(key="print", sd=0.02, across_sd=0.003, up_sd=0.002), 0.0
    ),
    "points of a measured print, rotated": lambda camera: _print(
        camera, ScaleError(key="print", across_sd=0.003, up_sd=0.002), TURN_RAD
    ),
    "points of a print measured one way, rotated": lambda camera: _print(
        camera, ScaleError(key="print", up_sd=0.003), TURN_RAD
    ),
}
"""Every kind and variant, made for a camera."""
