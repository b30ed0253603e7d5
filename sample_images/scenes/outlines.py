"""The named points and lines of each elevation, in its own wall frame."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from sample_images.scenes import house, roof

if TYPE_CHECKING:
    from sample_images.scenes.brickwork import Wall
    from sample_images.scenes.house import FloatArray, Opening

W, D = house.WALL_WIDTH_MM, house.GABLE_WIDTH_MM
Point = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A straight edge with a role.

    Attributes
    ----------
    name, role : str
        Role: eaves, rake, fascia_top, soffit_wall_edge, soffit_outer_edge, ...
    start_mm, end_mm : tuple of float
        Its ends; left to right, or foot to apex.
    """

    name: str
    role: str
    start_mm: Point
    end_mm: Point


def opening_corners_mm(opening: Opening) -> FloatArray:
    """Return the (4, 3) corners on the wall face, bottom left first, anticlockwise."""
    x0, x1 = opening.left_mm, opening.right_mm
    y0, y1 = opening.bottom_mm, opening.top_mm
    return np.array([[x0, y0, 0.0], [x1, y0, 0.0], [x1, y1, 0.0], [x0, y1, 0.0]])


def brick_top_mm(wall: Wall) -> float:
    """Return the highest y at which brickwork can be seen."""
    if wall.gabled:
        return float(house.rake_low_y_mm(wall.width_mm / 2.0)) - 150.0
    return house.SOFFIT_Y_MM - 20.0


def between_rakes_mm(y_mm: float) -> tuple[float, float]:
    """Return the x between which a gable's bricks show under the verge at a height."""
    drop = float(house.rake_low_y_mm(D / 2.0)) - y_mm
    half = drop / math.tan(house.PITCH_RAD) - 130.0
    half = min(half, D / 2.0 - 20.0)
    return D / 2.0 - half, D / 2.0 + half


def _level(name: str, role: str, span: tuple[float, float], y: float, z: float) -> Line:
    """Return a level line parallel to the wall."""
    start, end = (span[0], y, z), (span[1], y, z)
    return Line(name=name, role=role, start_mm=start, end_mm=end)


def _front_lines() -> list[Line]:
    """Return the roofline of the front elevation."""
    low, high = house.FASCIA_BOTTOM_Y_MM, house.FASCIA_TOP_Y_MM
    out = house.FASCIA_PROJECTION_MM
    behind = out - house.FASCIA_THICKNESS_MM
    end = house.BARGE_PROJECTION_MM
    span = (-end, W + end)
    back = -D / 2.0
    ridge_x = end + roof.VERGE_OVERHANG_MM
    depth = Line(
        name="front fascia depth",
        role="fascia_depth",
        start_mm=(W + end, low, out),
        end_mm=(W + end, high, out),
    )
    return [
        _level("front eaves", "eaves", span, low, out),
        _level("front fascia top", "fascia_top", span, high, out),
        _level(
            "front soffit wall edge",
            "soffit_wall_edge",
            (0.0, W),
            house.SOFFIT_Y_MM,
            0.0,
        ),
        _level(
            "front soffit board edge",
            "soffit_board_edge",
            (0.0, W),
            house.SOFFIT_Y_MM,
            behind,
        ),
        depth,
        _level("ridge", "ridge", (-ridge_x, W + ridge_x), roof.RIDGE_TOP_Y_MM, back),
    ]


def _gable_lines() -> list[Line]:
    """Return the rakes and the barge boards' depth of the gable."""
    foot = house.BARGE_FOOT_X_MM
    z = house.BARGE_PROJECTION_MM
    low = float(house.rake_low_y_mm(foot))
    apex = (D / 2.0, float(house.rake_low_y_mm(D / 2.0)), z)
    top = (D / 2.0, float(house.rake_top_y_mm(D / 2.0)), z)
    rakes = [
        Line(name="front rake", role="rake", start_mm=(foot, low, z), end_mm=apex),
        Line(name="back rake", role="rake", start_mm=(D - foot, low, z), end_mm=apex),
    ]
    upper = float(house.rake_top_y_mm(foot))
    tops = [
        Line(
            name="front rake top",
            role="rake_top",
            start_mm=(foot, upper, z),
            end_mm=top,
        ),
        Line(
            name="back rake top",
            role="rake_top",
            start_mm=(D - foot, upper, z),
            end_mm=top,
        ),
    ]
    plumb_cut = Line(name="barge apex cut", role="barge_cut", start_mm=apex, end_mm=top)
    out, y = house.FASCIA_PROJECTION_MM, house.FASCIA_BOTTOM_Y_MM
    ends = Line(
        name="front fascia end",
        role="fascia_depth",
        start_mm=(-out, y, z),
        end_mm=(-out, house.FASCIA_TOP_Y_MM, z),
    )
    return [*rakes, *tops, plumb_cut, ends]


def lines(elevation: str) -> list[Line]:
    """Return the named lines of an elevation."""
    return _front_lines() if elevation == "front" else _gable_lines()


def points_mm(elevation: str) -> dict[str, Point]:
    """Return the named single points of an elevation."""
    if elevation == "front":
        x, z = house.DOWNPIPE_X_MM, house.DOWNPIPE_Z_MM
        width, top = W, house.SOFFIT_Y_MM
        extra = {
            "downpipe axis low": (x, 500.0, z),
            "downpipe axis high": (x, 4400.0, z),
        }
    else:
        width, top = D, house.SOFFIT_Y_MM - 60.0
        extra = {}
    low = float(house.mean_joint_y_mm(0))
    return {
        "ground at wall foot, left": (0.0, 0.0, 0.0),
        "ground at wall foot, right": (width, 0.0, 0.0),
        "left quoin low": (0.0, low, 0.0),
        "left quoin high": (0.0, top, 0.0),
        "right quoin low": (width, low, 0.0),
        "right quoin high": (width, top, 0.0),
        **extra,
    }


def taped_mm(elevation: str) -> FloatArray:
    """Return the ends of the level distance that was taped on the wall."""
    y = float(house.mean_joint_y_mm(4))
    right = house.OPENINGS[1].left_mm if elevation == "front" else D
    return np.array([[0.0, y, 0.0], [right, y, 0.0]])
