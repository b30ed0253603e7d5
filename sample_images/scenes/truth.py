"""Exact truth beside each picture: what every named thing's pixels and millimetres are.

All millimetres are in the elevation's own frame (wall face at z = 0, x right as seen
from outside, y up from the ground, z out of the wall).
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import numpy as np

from sample_images.scenes import brickwork, house, outlines

if TYPE_CHECKING:
    from pathlib import Path

    from sample_images.scenes.house import FloatArray
    from sample_images.scenes.views import View

Visible = Callable[["View", "FloatArray"], list[bool]]

JOINT_SAMPLES = 9  # places along the wall where each bed joint is given
PERPEND_COURSES = (3, 4, 7, 8, 37, 38, 41, 42)


def _round(values: FloatArray, digits: int) -> list[float]:
    """Return plain rounded numbers for JSON."""
    return [round(float(v), digits) for v in values]


class Marker:
    """Turns wall-frame points into entries with millimetres, pixels and visibility."""

    def __init__(self, view: View, visible: Visible) -> None:
        self.view = view
        self._visible = visible

    def marks(self, points_mm: FloatArray) -> list[dict[str, Any]]:
        """Return an entry for each (N, 3) point that falls inside the picture."""
        points = np.atleast_2d(np.asarray(points_mm, dtype=np.float64))
        pixels = self.view.camera.project(points)
        seen = self._visible(self.view, points)
        size = np.array(self.view.camera.size_px)
        inside = np.all((pixels >= 0.0) & (pixels <= size - 1.0), axis=1)
        return [
            {"mm": _round(p, 2), "px": _round(q, 3), "visible": bool(s and i)}
            for p, q, s, i in zip(points, pixels, seen, inside, strict=True)
        ]


def _camera_entry(view: View) -> dict[str, Any]:
    """Describe the camera and its pose."""
    camera, pose = view.camera, view.camera.pose
    return {
        "size_px": list(camera.size_px),
        "focal_px": camera.focal_px,
        "principal_px": list(camera.principal_px),
        "k1": camera.k1,
        "k2": camera.k2,
        "position_mm": list(pose.position_mm),
        "rotation_world_from_camera": pose.rotation_world_from_camera.tolist(),
        "tilt_deg": round(math.degrees(pose.tilt_rad), 6),
        "yaw_deg": round(math.degrees(pose.yaw_rad), 6),
        "roll_deg": round(math.degrees(pose.roll_rad), 6),
    }


def _bed_joints(wall: brickwork.Wall, marker: Marker) -> list[dict[str, Any]]:
    """Describe every bed joint: its mean height and places along it."""
    entries = []
    for count in range(wall.courses):
        y_mean = float(house.mean_joint_y_mm(count))
        spans = brickwork.course_spans(wall, count)
        if not len(spans) or y_mean > outlines.brick_top_mm(wall):
            continue
        left, right = spans.min() + 20.0, spans.max() - 20.0
        if wall.gabled and y_mean > house.SOFFIT_Y_MM - 100.0:
            left, right = outlines.between_rakes_mm(y_mean)
        x = np.linspace(left, right, JOINT_SAMPLES)
        y = house.joint_y_mm(count, wall.start_mm + x)
        places = marker.marks(np.column_stack([x, y, np.zeros(JOINT_SAMPLES)]))
        holes = brickwork.holes_mm(wall, count) + brickwork.holes_mm(wall, count - 1)
        for place in places:
            in_hole = any(a - 5.0 <= place["mm"][0] <= b + 5.0 for a, b in holes)
            place["visible"] = place["visible"] and not in_hole
        entries.append({"count": count, "true_y_mm": round(y_mean, 2), "at": places})
    return entries


def _perpends(wall: brickwork.Wall, marker: Marker) -> list[dict[str, Any]]:
    """Describe the perpends of a few courses that can be read right across."""
    entries = []
    for course in PERPEND_COURSES:
        x = brickwork.perpends_mm(wall, course)
        keep = np.ones(len(x), dtype=bool)
        for left, right in brickwork.holes_mm(wall, course):
            keep &= (x < left - 40.0) | (x > right + 40.0)
        numbers = np.flatnonzero(keep)
        y = house.joint_y_mm(course + 0.5, wall.start_mm + x[keep])
        places = marker.marks(np.column_stack([x[keep], y, np.zeros(len(numbers))]))
        entries.append(
            {
                "course": course,
                "at": [
                    {"count": int(n), "true_x_mm": round(float(x[n]), 2), **p}
                    for n, p in zip(numbers, places, strict=True)
                ],
            }
        )
    return entries


def _line(line: outlines.Line, marker: Marker) -> dict[str, Any]:
    """Describe one named straight line by its two ends."""
    ends = np.array([line.start_mm, line.end_mm])
    along = ends[1] - ends[0]
    return {
        "name": line.name,
        "role": line.role,
        "true_length_mm": round(float(np.linalg.norm(along)), 2),
        "projection_mm": round(float(np.mean(ends[:, 2])), 2),
        "pitch_deg": round(math.degrees(math.atan2(abs(along[1]), abs(along[0]))), 4),
        "ends": marker.marks(ends),
    }


def describe(view: View, visible: Visible) -> dict[str, Any]:
    """Return the whole truth of one picture."""
    marker = Marker(view, visible)
    name = view.elevation.name
    wall = brickwork.FRONT if name == "front" else brickwork.GABLE
    points = {k: marker.marks(v)[0] for k, v in outlines.points_mm(name).items()}
    openings = [
        {
            "name": o.name,
            "width_mm": round(o.right_mm - o.left_mm, 2),
            "height_mm": round(o.top_mm - o.bottom_mm, 2),
            "corners": marker.marks(outlines.opening_corners_mm(o)),
        }
        for o in wall.openings
    ]
    return {
        "photomeasure_truth": 1,
        "note": "Invented house, rendered; see README.md. Corners run from bottom left "
        "anticlockwise. 'visible' is false where something hides the point.",
        "picture": f"{view.name}.jpg",
        "elevation": name,
        "camera": _camera_entry(view),
        "wall": {"normal": [0.0, 0.0, 1.0], "offset_mm": 0.0},
        "points": points,
        "openings": openings,
        "lines": [_line(line, marker) for line in outlines.lines(name)],
        "taped": marker.marks(outlines.taped_mm(name)),
        "bed_joints": _bed_joints(wall, marker),
        "perpends": _perpends(wall, marker),
    }


def write(view: View, visible: Visible, path: Path) -> None:
    """Write the truth of one picture as JSON."""
    text = json.dumps(describe(view, visible), indent=1)
    path.write_text(text + "\n", encoding="utf-8")
