"""What a made picture truly shows; to JSON and back, in the manner of sample_images."""

import json
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np

from calibration.arrays import FloatArray
from calibration.camera import Camera
from tests.pictures.view import View

VERSION = 1


@dataclass(frozen=True, slots=True, eq=False)
class Trace:
    """Points of the scene in order, where the picture has them.

    Attributes
    ----------
    mm : (N, 3) float64
        House frame.
    px : (N, 2) float64
        Pixels, (0, 0) the centre of the top left one; NaN behind the camera.
    visible : (N,) bool
        Inside the picture and hidden by nothing.
    """

    mm: FloatArray
    px: FloatArray
    visible: np.ndarray

    @property
    def share_visible(self) -> float:
        """Part of the points that can be seen."""
        return float(np.mean(self.visible)) if len(self.visible) else 0.0

    def entry(self) -> list[dict[str, Any]]:
        """Return plain JSON values."""
        rows = zip(self.mm, self.px, self.visible, strict=True)
        return [
            {
                "mm": [round(float(v), 3) for v in mm],
                "px": [round(float(v), 4) if np.isfinite(v) else None for v in px],
                "visible": bool(seen),
            }
            for mm, px, seen in rows
        ]

    @staticmethod
    def read(entry: list[dict[str, Any]]) -> "Trace":
        """Return what :meth:`entry` wrote."""
        mm = np.array([e["mm"] for e in entry], dtype=np.float64).reshape(-1, 3)
        px = np.array(
            [[np.nan if v is None else v for v in e["px"]] for e in entry],
            dtype=np.float64,
        ).reshape(-1, 2)
        seen = np.array([e["visible"] for e in entry], dtype=np.bool_)
        return Trace(mm, px, seen)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Edge:
    """A straight edge of the scene.

    Attributes
    ----------
    name, role : str
        Roles: eaves (the fascia's lower outer edge), fascia-top, gutter-lip,
        gutter-bottom, soffit-wall, tile-edge, ridge, rake (the barge board's lower
        outer edge), barge-top, verge, quoin, jamb, head, sill, downpipe, ground.
    length_mm : float
        Between its ends.
    projection_mm : float
        Height above the wall plane; NaN if it varies.
    trace : Trace
        Evenly spaced from end to end; bent by the lens.
    """

    name: str
    role: str
    length_mm: float
    projection_mm: float
    trace: Trace

    @property
    def ends_mm(self) -> FloatArray:
        """Return both ends, house frame, (2, 3)."""
        return self.trace.mm[[0, -1]]

    @property
    def ends_px(self) -> FloatArray:
        """Return both ends, pixels, (2, 2)."""
        return self.trace.px[[0, -1]]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class BedJoint:
    """Centre line of the joint below course ``count``."""

    count: int
    mean_mm: float
    trace: Trace


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Perpends:
    """Centres of the perpends of one course, from left to right."""

    course: int
    trace: Trace


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class BrickTruth:
    """The brickwork of the wall.

    Attributes
    ----------
    format, bond, palette : str
    nominal_gauge_mm, nominal_stretcher_mm : float
        Of the format.
    gauge_mm, stretcher_mm : float
        Means as built over the joints in the picture.
    joint_mm : float
    visible_courses : int
        Courses of which at least two whole pitches can be seen.
    visible_stretchers : float
        Largest number of stretcher pitches seen side by side in a course.
    course_px : tuple of float
        Smallest and largest height of a visible course in the picture.
    bed_joints : tuple of BedJoint
    perpends : tuple of Perpends
    """

    format: str
    bond: str
    palette: str
    nominal_gauge_mm: float
    nominal_stretcher_mm: float
    gauge_mm: float
    stretcher_mm: float
    joint_mm: float
    visible_courses: int
    visible_stretchers: float
    course_px: tuple[float, float]
    bed_joints: tuple[BedJoint, ...]
    perpends: tuple[Perpends, ...]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Truth:
    """Everything that is known about a made picture.

    Attributes
    ----------
    name : str
    wall : str
        "brick", or what covers the wall instead: such a picture must not be read as
        brickwork with confidence.
    seed : int
    view : View
        Camera, size in pixels, and where it stands.
    brick : BrickTruth or None
    edges : tuple of Edge
    marks : dict
        Other named points, for instance the corners of sheets on the wall.
    exif : dict
        What the file's header says: focal_mm, focal_35mm, orientation; empty if
        stripped.
    """

    name: str
    wall: str
    seed: int
    view: View
    brick: BrickTruth | None = None
    edges: tuple[Edge, ...] = ()
    marks: dict[str, Trace] = field(default_factory=dict)
    exif: dict[str, float] = field(default_factory=dict)

    def edge(self, name: str) -> Edge:
        """Return an edge by its name."""
        return next(e for e in self.edges if e.name == name)

    def to_json(self) -> str:
        """Return the truth as JSON."""
        return json.dumps(
            {
                "photomeasure_truth": VERSION,
                "note": "Invented house, drawn by tests/pictures.",
                "picture": self.name,
                "wall_cover": self.wall,
                "seed": self.seed,
                "camera": _camera_entry(self.view),
                "wall": {"normal": [0.0, 0.0, 1.0], "offset_mm": 0.0},
                "exif": self.exif,
                "edges": [_edge_entry(e) for e in self.edges],
                "marks": {k: v.entry() for k, v in self.marks.items()},
                "brick": None if self.brick is None else _brick_entry(self.brick),
            }
        )

    def save(self, path: Path) -> None:
        """Write the truth beside its picture."""
        path.write_text(self.to_json() + "\n", encoding="utf-8")

    @staticmethod
    def from_json(text: str) -> "Truth":
        """Return what :meth:`to_json` wrote."""
        data = json.loads(text)
        brick = data["brick"]
        return Truth(
            name=data["picture"],
            wall=data["wall_cover"],
            seed=data["seed"],
            view=_read_camera(data["camera"]),
            brick=None if brick is None else _read_brick(brick),
            edges=tuple(_read_edge(e) for e in data["edges"]),
            marks={k: Trace.read(v) for k, v in data["marks"].items()},
            exif=data["exif"],
        )


def _camera_entry(view: View) -> dict[str, Any]:
    camera = view.camera
    return {
        "size_px": list(view.size_px),
        "focal_px": camera.focal_px,
        "principal_px": camera.centre_px.tolist(),
        "k1": camera.k1,
        "k2": camera.k2,
        "position_mm": view.eye_mm.tolist(),
        "rotation_world_from_camera": camera.R_wall_from_camera.tolist(),
        "tilt_deg": float(np.degrees(camera.tilt_rad)),
        "yaw_deg": float(np.degrees(camera.yaw_rad)),
        "roll_deg": float(np.degrees(camera.roll_rad)),
    }


def _read_camera(entry: dict[str, Any]) -> View:
    x, y, z = entry["position_mm"]
    camera = Camera(
        focal_px=entry["focal_px"],
        centre_px=np.array(entry["principal_px"]),
        k1=entry["k1"],
        k2=entry["k2"],
        R_wall_from_camera=np.array(entry["rotation_world_from_camera"]),
        standoff_mm=z,
    )
    width, height = entry["size_px"]
    return View(camera=camera, size_px=(width, height), foot_mm=(x, y))


def _edge_entry(edge: Edge) -> dict[str, Any]:
    level = edge.projection_mm if np.isfinite(edge.projection_mm) else None
    return {
        "name": edge.name,
        "role": edge.role,
        "true_length_mm": edge.length_mm,
        "projection_mm": level,
        "at": edge.trace.entry(),
    }


def _read_edge(entry: dict[str, Any]) -> Edge:
    level = entry["projection_mm"]
    return Edge(
        name=entry["name"],
        role=entry["role"],
        length_mm=entry["true_length_mm"],
        projection_mm=float("nan") if level is None else level,
        trace=Trace.read(entry["at"]),
    )


_BRICK_FACTS = (
    "format",
    "bond",
    "palette",
    "nominal_gauge_mm",
    "nominal_stretcher_mm",
    "gauge_mm",
    "stretcher_mm",
    "joint_mm",
    "visible_courses",
    "visible_stretchers",
)


def _brick_entry(brick: BrickTruth) -> dict[str, Any]:
    return {
        **{name: getattr(brick, name) for name in _BRICK_FACTS},
        "course_px": list(brick.course_px),
        "bed_joints": [
            {"count": j.count, "true_y_mm": j.mean_mm, "at": j.trace.entry()}
            for j in brick.bed_joints
        ],
        "perpends": [{"course": p.course, "at": p.trace.entry()} for p in brick.perpends],
    }


def _read_brick(entry: dict[str, Any]) -> BrickTruth:
    low, high = entry["course_px"]
    return BrickTruth(
        **{name: entry[name] for name in _BRICK_FACTS},
        course_px=(low, high),
        bed_joints=tuple(
            BedJoint(count=j["count"], mean_mm=j["true_y_mm"], trace=Trace.read(j["at"]))
            for j in entry["bed_joints"]
        ),
        perpends=tuple(
            Perpends(course=p["course"], trace=Trace.read(p["at"]))
            for p in entry["perpends"]
        ),
    )
