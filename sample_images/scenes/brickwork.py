"""Lays the brick walls: one jittered box a brick, recessed mortar, soldier courses."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from sample_images.scenes import house
from sample_images.scenes.meshes import Part, box, brick_box, merge

if TYPE_CHECKING:
    from sample_images.scenes.house import FloatArray, Opening

MORTAR_RECESS_MM = 5.0
PLACE_SIGMA_MM = 0.8  # a brick against its line
FACE_SIGMA_MM = 0.7  # a brick's face against the wall plane
SNAP_MM = 30.0  # a brick this close to a jamb is cut to the jamb
SOLDIER_BEARING_MM = 75.0
SILL_STOOL_MM = 56.0
JAMB_GAP_MM = 3.0  # mortar stays back from a jamb so that faces do not coincide


@dataclass(frozen=True, slots=True, kw_only=True)
class Wall:
    """One wall in its own frame: x along, y up, z outwards, face at z = 0.

    Attributes
    ----------
    name : str
        ``front`` or ``gable``.
    bricks : int
        Whole bricks in its length.
    start_mm : float
        Place of its left end along the unrolled walls.
    header_first : bool
        Whether even courses start with a header at the left quoin.
    openings : tuple of Opening
        Rectangles left out.
    gabled : bool
        Whether it goes on under the rakes above the eaves.
    """

    name: str
    bricks: int
    start_mm: float
    header_first: bool
    openings: tuple[Opening, ...] = ()
    gabled: bool = False

    @property
    def width_mm(self) -> float:
        """Return the true length of the wall."""
        nominal = self.bricks * house.PITCH_ALONG_MM - house.JOINT_MM
        return nominal * (1.0 + house.ALONG_DRIFT)

    @property
    def courses(self) -> int:
        """Return the number of courses that can be seen."""
        top_mm = house.SOFFIT_Y_MM
        if self.gabled:
            top_mm = float(house.rake_low_y_mm(self.width_mm / 2.0))
        return int((top_mm + 60.0 - house.FIRST_JOINT_Y_MM) / house.GAUGE_MM)


FRONT = Wall(
    name="front",
    bricks=house.FRONT_BRICKS,
    start_mm=0.0,
    header_first=False,
    openings=house.OPENINGS,
)
GABLE = Wall(
    name="gable",
    bricks=house.GABLE_BRICKS,
    start_mm=house.WALL_WIDTH_MM,
    header_first=True,
    openings=house.GABLE_OPENINGS,
    gabled=True,
)


def perpends_mm(wall: Wall, course: int) -> FloatArray:
    """Return the x of every perpend's centre line in one course, left to right.

    Stretcher bond: a course that starts with a header is half a brick out of step.
    """
    header = (course % 2 == 0) == wall.header_first
    count = wall.bricks if header else wall.bricks - 1
    first_mm = (house.BRICK_DEPTH_MM if header else house.BRICK_LENGTH_MM) + 5.0
    x = (first_mm + house.PITCH_ALONG_MM * np.arange(count)) * (1.0 + house.ALONG_DRIFT)
    u = x / wall.width_mm
    rng = np.random.default_rng([71, wall.bricks, course + 1])
    slow_mm = 2.0 * np.sin(2.0 * np.pi * (1.6 * u + 0.013 * course)) * 4 * u * (1 - u)
    return x + slow_mm + rng.normal(0.0, 1.3, len(x))


def spans_mm(wall: Wall, course: int) -> FloatArray:
    """Return the (N, 2) x-intervals of the bricks of one course before any opening."""
    centres = perpends_mm(wall, course)
    starts = np.concatenate([[0.0], centres + house.JOINT_MM / 2.0])
    ends = np.concatenate([centres - house.JOINT_MM / 2.0, [wall.width_mm]])
    return np.column_stack([starts, ends])


def holes_mm(wall: Wall, course: int) -> list[tuple[float, float]]:
    """Return the x-intervals without stretchers: openings, soldiers, stone sills."""
    found = []
    for o in wall.openings:
        if o.bottom <= course < o.top:
            found.append((o.left_mm, o.right_mm))
        elif o.top <= course < o.top + 3:
            margin = SOLDIER_BEARING_MM
            found.append((o.left_mm - margin, o.right_mm + margin))
        elif course == o.bottom - 1:
            margin = SILL_STOOL_MM if o.lights else 0.0
            found.append((o.left_mm - margin, o.right_mm + margin))
    return found


def cut_spans(spans: FloatArray, holes: list[tuple[float, float]]) -> FloatArray:
    """Cut bricks at openings; a brick that ends near a jamb is made to meet it."""
    pieces = [tuple(s) for s in spans]
    for left, right in holes:
        kept = []
        for a, b in pieces:
            if a < left - SNAP_MM:
                near = b > left - SNAP_MM - 2.0 * house.JOINT_MM
                kept.append((a, left if near else b))
            if b > right + SNAP_MM:
                near = a < right + SNAP_MM + 2.0 * house.JOINT_MM
                kept.append((right if near else a, b))
        pieces = kept
    return np.array(pieces).reshape(-1, 2)


def _under_rakes(wall: Wall, course: int, spans: FloatArray) -> FloatArray:
    """Keep what lies under the verge of a gable; its edge hides behind the boards."""
    y = float(house.mean_joint_y_mm(course))
    if not wall.gabled or y < house.SOFFIT_Y_MM - 100.0:
        return spans
    x = np.linspace(0.0, wall.width_mm, 4000)
    inside = x[house.rake_low_y_mm(x) + 90.0 > y]
    clipped = np.clip(spans, inside.min(), inside.max())
    return clipped[clipped[:, 1] - clipped[:, 0] > 20.0]


def _corner_filter(wall: Wall, course: int, spans: FloatArray) -> FloatArray:
    """Leave out headers at the shared quoin: the other wall's stretcher is there."""
    if wall.name == "front" and course % 2 == 1:
        return spans[spans[:, 1] < wall.width_mm - 1.0]
    if wall.name == "gable" and course % 2 == 0:
        return spans[spans[:, 0] > 1.0]
    return spans


def course_spans(wall: Wall, course: int) -> FloatArray:
    """Return the (N, 2) x-intervals of the bricks that are laid in one course."""
    spans = cut_spans(spans_mm(wall, course), holes_mm(wall, course))
    return _corner_filter(wall, course, _under_rakes(wall, course, spans))


def lay_course(wall: Wall, course: int) -> list[Part]:
    """Build the bricks of one course in the wall's frame."""
    rng = np.random.default_rng([13, wall.bricks, course + 1])
    parts = []
    for x0, x1 in course_spans(wall, course):
        along = wall.start_mm + (x0 + x1) / 2.0
        shift = rng.normal(0.0, PLACE_SIGMA_MM)
        low = float(house.joint_y_mm(course, along)) + house.JOINT_MM / 2.0 + shift
        high = float(house.joint_y_mm(course + 1, along)) - house.JOINT_MM / 2.0
        high += shift + rng.normal(0.0, PLACE_SIGMA_MM)
        face = rng.normal(0.0, FACE_SIGMA_MM)
        lo = np.array([x0, low, -house.BRICK_DEPTH_MM])
        parts.append(brick_box("brick", lo, np.array([x1, high, face]), rng))
    return parts


def mortar_course(wall: Wall, course: int) -> list[Part]:
    """Build the recessed mortar of one course, split at the openings."""
    full = _under_rakes(wall, course, np.array([[6.0, wall.width_mm - 6.0]]))
    holes = [(a - JAMB_GAP_MM, b + JAMB_GAP_MM) for a, b in holes_mm(wall, course)]
    y0, y1 = house.mean_joint_y_mm(np.array([course, course + 1.0]))
    if course < 0:
        y0 = -100.0
    spans = cut_spans(full, holes)
    return [
        box(
            "mortar",
            (x0, y0, -house.BRICK_DEPTH_MM + 2.0),
            (x1, y1, -MORTAR_RECESS_MM),
        )
        for x0, x1 in spans
    ]


def soldier_course(opening: Opening, rng: np.random.Generator) -> list[Part]:
    """Build the soldier course over one opening with its mortar."""
    left = opening.left_mm - SOLDIER_BEARING_MM + 5.0
    right = opening.right_mm + SOLDIER_BEARING_MM - 5.0
    low = opening.top_mm
    high = float(house.mean_joint_y_mm(opening.top + 3)) - house.JOINT_MM / 2.0
    count = round((right - left + house.JOINT_MM) / house.GAUGE_MM)
    pitch = (right - left + house.JOINT_MM) / count
    back = -house.BRICK_DEPTH_MM
    parts = [
        box("mortar", (left - 6, low + 4, back + 2), (right + 6, high + 4, -5.0)),
    ]
    for i in range(count):
        x0 = left + i * pitch + rng.normal(0.0, PLACE_SIGMA_MM)
        lo = np.array([x0, low + rng.normal(0.0, 0.4), back])
        hi = np.array([x0 + pitch - house.JOINT_MM, high, rng.normal(0.0, 0.6)])
        parts.append(brick_box("brick", lo, hi, rng))
    return parts


def build_wall(wall: Wall) -> list[Part]:
    """Build the whole wall in its own frame, one merged part a material."""
    rng = np.random.default_rng([29, wall.bricks])
    parts: list[Part] = []
    for course in range(-1, wall.courses + 1):
        parts += lay_course(wall, course)
        parts += mortar_course(wall, course)
    for opening in wall.openings:
        parts += soldier_course(opening, rng)
    return merge(parts)
