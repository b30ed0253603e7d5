"""Every joint measured to a fraction of a pixel, where its course and bond expect it."""

from dataclasses import dataclass
from typing import Any, Final

import cv2
import numpy as np
from numpy.typing import NDArray

from calibration.arrays import FloatArray, IntArray
from calibration.brickwork.align import Alignment
from calibration.brickwork.extent import (
    bonded,
    hanging_together,
    kept_beds,
    kept_perpends,
)
from calibration.brickwork.joints import Joints
from calibration.brickwork.profiles import locate, width
from calibration.brickwork.raster import Float32Image, Level
from calibration.brickwork.strip import sample_seen
from calibration.brickwork.wallplane import WallPlane

SEGMENT: Final = 2.0
"""A bed joint is measured over this length, courses: two thirds of a stretcher."""

FINEST: Final = 32
COARSEST: Final = 16
_FINER: Final = 1.5
"""Pixels a course when measuring: finer than the photo, for a joint of two pixels is
placed between samples."""

MOST_PIXELS: Final = 5e6

PROFILE: Final = 1.5
"""Length of a profile before it is compared, courses."""

MARGIN: Final = 0.2
"""Wall beyond what tiles support is looked for this far out, of its width and height."""

_SEEN: Final = 0.9
"""Share of a profile that has to be inside the photo, or on the wall."""

_BRICK: Final = (0.25, 0.75)
"""Part of a course over which perpends are averaged."""


@dataclass(frozen=True, slots=True, eq=False)
class Raster:
    """A wall flattened finely, joints of courses at whole v.

    Attributes
    ----------
    image : (H, W) float32
    inside : (H, W) bool
        Where tiles support the wall.
    seen : (H, W) bool
        Where the photo shows anything.
    u0, v0 : float
        Counts at the middle of the first pixel.
    fine : int
        Pixels a course.
    """

    image: Float32Image
    inside: NDArray[np.bool_]
    seen: NDArray[np.bool_]
    u0: float
    v0: float
    fine: int


def fine_raster(
    plane: WallPlane,
    levels: tuple[Level, ...],
    box: tuple[float, float, float, float],
    inside_at: NDArray[np.bool_],
    native_px: float,
) -> Raster:
    """Flatten a wall as finely as the photo shows it, and some way beyond.

    Parameters
    ----------
    plane : WallPlane
    levels : tuple of Level
    box : tuple of float
        Left, top, right, bottom, courses.
    inside_at : (H, W) bool
        Where tiles support the wall, at any spacing over the box.
    native_px : float
        Height of a course in the photo.

    Returns
    -------
    Raster
    """
    wide, tall = MARGIN * (box[2] - box[0]), MARGIN * (box[3] - box[1])
    left, right = box[0] - wide, box[2] + wide
    top, bottom = np.floor(box[1] - tall) - 0.5, np.ceil(box[3] + tall) + 0.5
    area = (right - left) * (bottom - top)
    fine = int(
        np.clip(_FINER * native_px, COARSEST, min(FINEST, np.sqrt(MOST_PIXELS / area)))
    )
    fine = max(8, fine // 2 * 2)
    u = left + np.arange(int((right - left) * fine)) / fine
    v = top + (np.arange(round(bottom - top) * fine) + 0.5) / fine
    image, seen = sample_seen(plane, levels, u, v)
    column = (u - box[0]) / (box[2] - box[0]) * inside_at.shape[1]
    row = (v - box[1]) / (box[3] - box[1]) * inside_at.shape[0]
    within = np.outer(
        (row >= 0) & (row < inside_at.shape[0]),
        (column >= 0) & (column < inside_at.shape[1]),
    )
    near = inside_at[
        np.ix_(
            np.clip(row.astype(int), 0, inside_at.shape[0] - 1),
            np.clip(column.astype(int), 0, inside_at.shape[1] - 1),
        )
    ]
    return Raster(image, near & within & seen, seen, float(left), float(v[0]), fine)


def measure_joints(
    raster: Raster, alignment: Alignment, origin: FloatArray, reach: float
) -> tuple[Joints, Joints]:
    """Measure all joints of the wall that tiles support, and of its continuation.

    Parameters
    ----------
    raster : Raster
    alignment : Alignment
    origin : (2,) float64
        u and joint number at which the alignment starts to count.
    reach : float
        How far beyond what tiles support the wall may go on, courses.

    Returns
    -------
    Joints
        Bed joints, in short lengths; ``number`` in courses.
    Joints
        Perpends; ``number`` in cells of the bond.
    """
    beds, wall, known = _measure_beds(raster, reach)
    perpends, places = _measure_perpends(raster, alignment, origin, wall)
    bond = bonded(*places, known)
    return kept_beds(beds, bond), kept_perpends(perpends, bond)


def _measure_beds(
    raster: Raster, reach: float
) -> tuple[Joints, NDArray[np.bool_], NDArray[np.bool_]]:
    """Return bed joints, and by joint and length where wall is and where tiles have it."""
    fine = raster.fine
    wide = int(SEGMENT * fine)
    joints, columns = len(raster.image) // fine, raster.image.shape[1] // wide
    part, inside, seen = (
        _lengths(values, columns, wide)
        for values in (raster.image, raster.inside, raster.seen)
    )
    length = _length(fine)
    rows = np.arange(joints)[:, None] * fine + np.arange(length) - (length - fine) // 2
    rows = np.clip(rows, 0, len(part) - 1)
    known = inside[rows].mean(axis=1) > _SEEN
    k, m = np.nonzero((seen[rows].mean(axis=1) > _SEEN) & _near(known, reach))
    profiles = part[rows[k], m[:, None]].astype(np.float64)
    shift, alike = locate(profiles, fine, known[k, m])
    wall = np.zeros((joints, columns), bool)
    wall[k, m] = np.isfinite(shift)
    wall = hanging_together(wall, known)
    good = wall[k, m]
    number = np.round(raster.v0 - 0.5 / fine + 0.5) + k
    u = raster.u0 + ((m + 0.5) * wide - 0.5) / fine
    found = float((good & known[k, m]).sum() / max(int(known[k, m].sum()), 1))
    uv = np.stack([u, number + shift], axis=1)
    beds = Joints(
        uv[good],
        number[good],
        number[good],
        alike[good],
        found,
        width(profiles[good], shift[good], fine),
        np.stack([k, m], axis=1)[good],
    )
    return beds, wall, known


def _lengths(values: NDArray[Any], columns: int, wide: int) -> FloatArray:
    """Return means over lengths of a joint, (H, columns)."""
    cut = values[:, : columns * wide].reshape(-1, columns, wide)
    return np.asarray(cut.mean(axis=2))


def _near(known: NDArray[np.bool_], reach: float) -> NDArray[np.bool_]:
    """Return the cells at most so many courses from those that tiles support."""
    tall, wide = 2 * int(np.ceil(reach)) + 1, 2 * int(np.ceil(reach / SEGMENT)) + 1
    near = cv2.dilate(known.astype(np.uint8), np.ones((tall, wide), np.uint8))
    return np.asarray(near > 0)


def _length(fine: int) -> int:
    """Return how many samples a profile has, even."""
    return int(PROFILE * fine) // 2 * 2


Places = tuple[IntArray, IntArray, NDArray[np.bool_]]
"""Course and length of every perpend expected on the wall, and whether it is there."""


def _measure_perpends(
    raster: Raster, alignment: Alignment, origin: FloatArray, wall: NDArray[np.bool_]
) -> tuple[Joints, Places]:
    """Return the perpends that the bond expects on a wall, and all places tried."""
    fine = raster.fine
    half, length = fine // 2, _length(raster.fine)
    first = round(raster.v0 - 0.5 / fine + 0.5)  # joint at the middle of the first rows
    courses = len(raster.image) // fine - 1
    bricks = raster.image[half : half + courses * fine].reshape(courses, fine, -1)
    part = slice(round(_BRICK[0] * fine), round(_BRICK[1] * fine))
    lines = bricks[:, part].mean(axis=1, dtype=np.float64)
    course, u, number = _expected(raster, alignment, origin, first, courses)
    start = np.round((u - raster.u0) * fine).astype(int) - length // 2
    fits = (start >= 0) & (start + length <= lines.shape[1])
    column = np.clip(((u - raster.u0) / SEGMENT).astype(int), 0, wall.shape[1] - 1)
    fits &= wall[course, column] & wall[course + 1, column]
    course, start, number = course[fits], start[fits], number[fits]
    profiles = lines[course[:, None], start[:, None] + np.arange(length)]
    shift, alike = locate(profiles, fine, np.ones(len(start), bool))
    good = np.isfinite(shift)
    found = raster.u0 + (start + (length - 1) / 2.0) / fine + shift
    perpends = Joints(
        np.stack([found, first + course + 0.5], axis=1)[good],
        number[good],
        course[good] + first,
        alike[good],
        float(good.sum() / max(len(good), 1)),
        width(profiles[good], shift[good], fine),
        np.stack([course, column[fits]], axis=1)[good],
    )
    return perpends, (course, column[fits], good)


def _expected(
    raster: Raster, alignment: Alignment, origin: FloatArray, first: int, courses: int
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return course, u and number of every perpend that the bond puts on the raster."""
    right = raster.u0 + raster.image.shape[1] / raster.fine
    u = np.linspace(raster.u0, right, 4 * int(right - raster.u0) + 8)
    period = alignment.cell.period
    found: list[FloatArray] = []
    for course in range(courses):
        since = course + first - origin[1]
        cells = alignment.cells(u - origin[0], np.full(len(u), since))
        places = alignment.even if round(since) % 2 == 0 else alignment.odd
        for place in places:
            low = np.ceil((cells.min() - place) / period)
            high = np.floor((cells.max() - place) / period)
            number = np.arange(low, high + 1.0) * period + place
            where = np.interp(number, cells, u)
            found.append(np.stack([np.full(len(number), float(course)), where, number]))
    table = np.concatenate(found, axis=1) if found else np.zeros((3, 0))
    return table[0].astype(int), table[1], table[2]
