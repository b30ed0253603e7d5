"""Every joint measured to a fraction of a pixel, where its course and bond expect it."""

from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from calibration.arrays import FloatArray
from calibration.brickwork.align import Alignment
from calibration.brickwork.profiles import locate
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

NEIGHBOURS: Final = 0.55
"""Share of the nine places about a joint that must be joints too: grass and curtains
look like joints here and there, walls everywhere."""

GAP: Final = 2
"""Joints and lengths that may be missing inside one wall; roofs are farther off."""

MARGIN: Final = 0.2
"""Wall beyond what tiles support is looked for this far out, of its width and height."""

_SEEN: Final = 0.9
"""Share of a profile that has to be inside the photo, or on the wall."""

_BRICK: Final = (0.25, 0.75)
"""Part of a course over which perpends are averaged."""


@dataclass(frozen=True, slots=True, eq=False)
class Joints:
    """Joints measured along one direction.

    Attributes
    ----------
    uv : (N, 2) float64
        Measured places, courses of the plane that they were measured in.
    number : (N,) float64
        Their count: courses down, or cells along.
    course : (N,) int
        Course of a perpend, joint number of a bed.
    alike : (N,) float64
        Correlation with the usual profile.
    found : float
        Share of the places where joints were sure to be that had one.
    """

    uv: FloatArray
    number: FloatArray
    course: FloatArray
    alike: FloatArray
    found: float


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


def measure_beds(raster: Raster) -> tuple[Joints, NDArray[np.bool_]]:
    """Measure all bed joints in short lengths.

    Parameters
    ----------
    raster : Raster

    Returns
    -------
    Joints
    (K, M) bool
        By joint and length of it, where there is wall.
    """
    fine = raster.fine
    wide = int(SEGMENT * fine)
    joints, columns = len(raster.image) // fine, raster.image.shape[1] // wide
    span = columns * wide
    part = raster.image[:, :span].reshape(-1, columns, wide).mean(axis=2)
    inside = raster.inside[:, :span].reshape(-1, columns, wide).mean(axis=2)
    seen = raster.seen[:, :span].reshape(-1, columns, wide).mean(axis=2)
    length = _length(fine)
    rows = np.arange(joints)[:, None] * fine + np.arange(length) - (length - fine) // 2
    rows = np.clip(rows, 0, len(part) - 1)
    share, sure = seen[rows].mean(axis=1), inside[rows].mean(axis=1)
    k, m = np.nonzero(share > _SEEN)
    profiles = part[rows[k], m[:, None]].astype(np.float64)
    shift, alike = locate(profiles, fine, sure[k, m] > _SEEN)
    wall = np.zeros((joints, columns), bool)
    wall[k, m] = np.isfinite(shift)
    wall &= _share_about(wall) >= NEIGHBOURS
    known = np.zeros_like(wall)
    known[k, m] = sure[k, m] > _SEEN
    wall = _joined(wall, known)
    good = np.isfinite(shift) & wall[k, m]
    number = np.round(raster.v0 - 0.5 / fine + 0.5) + k
    u = raster.u0 + ((m + 0.5) * wide - 0.5) / fine
    tried = int(np.sum(sure[k, m] > _SEEN))
    found = int(np.sum(good & (sure[k, m] > _SEEN)))
    uv = np.stack([u, number + shift], axis=1)
    return Joints(
        uv[good], number[good], number[good], alike[good], found / max(tried, 1)
    ), wall


def _joined(wall: NDArray[np.bool_], known: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Keep the parts of a wall that hang together with what tiles support."""
    near = cv2.dilate(wall.astype(np.uint8), np.ones((2 * GAP + 1, 2 * GAP + 1), np.uint8))
    count, label = cv2.connectedComponents(near)
    size = np.bincount(label[wall], minlength=count)
    sure = np.bincount(label[wall & known], minlength=count)
    keep = sure >= 0.5 * size
    keep[np.argmax(sure)] = True
    return np.asarray(wall & keep[label])


def _share_about(wall: NDArray[np.bool_]) -> FloatArray:
    padded = np.pad(wall.astype(np.float64), 1)
    rows, columns = wall.shape
    total = sum(
        padded[dy : dy + rows, dx : dx + columns] for dy in range(3) for dx in range(3)
    )
    return np.asarray(total) / 9.0


def _length(fine: int) -> int:
    """Return how many samples a profile has, even."""
    return int(PROFILE * fine) // 2 * 2


def measure_perpends(
    raster: Raster, alignment: Alignment, origin: FloatArray, wall: NDArray[np.bool_]
) -> Joints:
    """Measure all perpends that the bond expects.

    Parameters
    ----------
    raster : Raster
    alignment : Alignment
    origin : (2,) float64
        u and joint number at which the alignment starts to count.
    wall : (K, M) bool
        Of :func:`measure_beds`.

    Returns
    -------
    Joints
        ``number`` in cells of the bond.
    """
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
    window = start[:, None] + np.arange(length)
    shift, alike = locate(lines[course[:, None], window], fine, np.ones(len(start), bool))
    good = np.isfinite(shift)
    found = raster.u0 + (start + (length - 1) / 2.0) / fine + shift
    uv = np.stack([found, first + course + 0.5], axis=1)
    share = float(good.sum() / max(len(good), 1))
    return Joints(uv[good], number[good], course[good] + first, alike[good], share)


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
