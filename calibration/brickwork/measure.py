"""Every joint measured to a fraction of a pixel, where its course and bond expect it."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from calibration.arrays import FloatArray
from calibration.brickwork.align import Alignment
from calibration.brickwork.raster import Float32Image, Level
from calibration.brickwork.strip import sample
from calibration.brickwork.wallplane import WallPlane

SEGMENT: Final = 2.0
"""A bed joint is measured over this length, courses: two thirds of a stretcher."""

FINEST: Final = 32
COARSEST: Final = 16
_FINER: Final = 1.5
"""Pixels a course when measuring: finer than the photo, for a joint of two pixels is
placed between samples."""

MOST_PIXELS: Final = 5e6

REACH: Final = 0.26
"""A joint farther from its place than this, courses, is something else."""

HALF_PROFILE: Final = 0.24
"""Half-length of the profile compared, courses."""

ALIKE: Final = 0.6
"""Correlation of a profile with the wall's usual one, below which it is no joint."""

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
    tried : int
        How many places were looked at.
    """

    uv: FloatArray
    number: FloatArray
    course: FloatArray
    alike: FloatArray
    tried: int


@dataclass(frozen=True, slots=True, eq=False)
class Raster:
    """A wall flattened finely, joints of courses at whole v.

    Attributes
    ----------
    image : (H, W) float32
    inside : (H, W) bool
    u0, v0 : float
        Counts at the middle of the first pixel.
    fine : int
        Pixels a course.
    """

    image: Float32Image
    inside: np.ndarray
    u0: float
    v0: float
    fine: int


def fine_raster(
    plane: WallPlane,
    levels: tuple[Level, ...],
    box: tuple[float, float, float, float],
    inside_at: FloatArray,
    native_px: float,
) -> Raster:
    """Flatten a wall as finely as the photo shows it.

    Parameters
    ----------
    plane : WallPlane
    levels : tuple of Level
    box : tuple of float
        Left, top, right, bottom, courses.
    inside_at : (H, W) float64
        Where the wall is, at any spacing over the box.
    native_px : float
        Height of a course in the photo.

    Returns
    -------
    Raster
    """
    left, top, right, bottom = box
    top, bottom = np.floor(top) - 0.5, np.ceil(bottom) + 0.5
    area = (right - left) * (bottom - top)
    fine = int(np.clip(_FINER * native_px, COARSEST, min(FINEST, np.sqrt(MOST_PIXELS / area))))
    fine = max(8, fine)
    u = left + np.arange(int((right - left) * fine)) / fine
    v = top + (np.arange(int(round(bottom - top)) * fine) + 0.5) / fine
    image = sample(plane, levels, u, v)
    rows = np.clip(((v - box[1]) / (box[3] - box[1]) * len(inside_at)).astype(int), 0, None)
    columns = ((u - left) / (right - left) * inside_at.shape[1]).astype(int)
    rows = np.minimum(rows, len(inside_at) - 1)
    columns = np.clip(columns, 0, inside_at.shape[1] - 1)
    inside = inside_at[np.ix_(rows, columns)]
    return Raster(image, inside, left, float(v[0]), fine)


def measure_beds(raster: Raster) -> Joints:
    """Measure all bed joints in short lengths.

    Parameters
    ----------
    raster : Raster

    Returns
    -------
    Joints
    """
    fine = raster.fine
    wide = int(SEGMENT * fine)
    joints, columns = len(raster.image) // fine, raster.image.shape[1] // wide
    cut = raster.image[: joints * fine, : columns * wide]
    profiles = cut.reshape(joints, fine, columns, wide).mean(axis=3).transpose(0, 2, 1)
    seen = raster.inside[: joints * fine, : columns * wide]
    share = seen.reshape(joints, fine, columns, wide).mean(axis=(1, 3))
    k, m = np.nonzero(share > 0.9)
    shift, alike = locate(profiles[k, m].astype(np.float64), fine)
    number = np.round(raster.v0 - 0.5 / fine + 0.5) + k
    u = raster.u0 + ((m + 0.5) * wide - 0.5) / fine
    good = np.isfinite(shift)
    return Joints(
        np.stack([u, number + shift], axis=1)[good],
        number[good], number[good], alike[good], len(k),
    )


def measure_perpends(raster: Raster, alignment: Alignment, origin: FloatArray) -> Joints:
    """Measure all perpends that the bond expects.

    Parameters
    ----------
    raster : Raster
    alignment : Alignment
    origin : (2,) float64
        u and joint number at which the alignment starts to count.

    Returns
    -------
    Joints
        ``number`` in cells of the bond.
    """
    fine = raster.fine
    half = fine // 2
    first = round(raster.v0 - 0.5 / fine + 0.5)  # joint at the middle of the first rows
    courses = len(raster.image) // fine - 1
    bricks = raster.image[half : half + courses * fine].reshape(courses, fine, -1)
    part = slice(round(_BRICK[0] * fine), round(_BRICK[1] * fine))
    lines = bricks[:, part].mean(axis=1, dtype=np.float64)
    seen = raster.inside[half : half + courses * fine].reshape(courses, fine, -1)
    seen = seen[:, part].mean(axis=1) > 0.9
    course, u, number = _expected(raster, alignment, origin, first, courses)
    at = (u - raster.u0) * fine
    start = np.round(at).astype(int) - half
    fits = (start >= 0) & (start + fine <= lines.shape[1])
    fits[fits] &= seen[course[fits], start[fits] + half]
    course, start, number, at = course[fits], start[fits], number[fits], at[fits]
    window = start[:, None] + np.arange(fine)
    shift, alike = locate(lines[course[:, None], window], fine)
    good = np.isfinite(shift)
    middle = start + (fine - 1) / 2.0
    found = raster.u0 + middle / fine + shift
    v = first + course + 0.5
    return Joints(
        np.stack([found, v], axis=1)[good], number[good], course[good] + first,
        alike[good], len(course),
    )


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


def locate(profiles: FloatArray, fine: int) -> tuple[FloatArray, FloatArray]:
    """Return how far joints lie from the middle of their profiles.

    Parameters
    ----------
    profiles : (N, fine) float64
        Across the joint, one course long.
    fine : int
        Pixels a course.

    Returns
    -------
    (N,) float64
        Shift, courses; NaN where nothing looks like the wall's usual joint.
    (N,) float64
        Correlation with the usual joint.
    """
    if len(profiles) < 3:
        return np.full(len(profiles), np.nan), np.zeros(len(profiles))
    half = max(2, round(HALF_PROFILE * fine))
    reach = max(1, min(round(REACH * fine), fine // 2 - half))
    usual = np.median(_unit(profiles), axis=0)
    middle = fine // 2
    shift, alike = _match(profiles, usual[middle - half : middle + half], half, reach)
    for _ in range(2):
        # the usual profile gets sharper once its members are brought together
        good = np.isfinite(shift) & (alike > ALIKE)
        if good.sum() < 3:
            return np.full(len(profiles), np.nan), alike
        usual = _stacked(profiles[good], shift[good] * fine)
        shift, alike = _match(profiles, usual[middle - half : middle + half], half, reach)
    shift = shift + _centre(usual, half) / fine
    return np.where(alike > ALIKE, shift, np.nan), alike


def _unit(profiles: FloatArray) -> FloatArray:
    rest = profiles - profiles.mean(axis=1, keepdims=True)
    return np.asarray(rest / (np.linalg.norm(rest, axis=1, keepdims=True) + 1e-6))


def _stacked(profiles: FloatArray, shift_px: FloatArray) -> FloatArray:
    """Return the mean of profiles moved back by their shifts."""
    fine = profiles.shape[1]
    at = np.clip(np.arange(fine)[None] + shift_px[:, None], 0, fine - 1.001)
    low = at.astype(int)
    part = at - low
    unit = _unit(profiles)
    row = np.arange(len(unit))[:, None]
    return np.asarray(np.mean((1 - part) * unit[row, low] + part * unit[row, low + 1], axis=0))


def _match(
    profiles: FloatArray, usual: FloatArray, half: int, reach: int
) -> tuple[FloatArray, FloatArray]:
    """Return shift (courses; NaN at the ends of the search) and best correlation."""
    fine = profiles.shape[1]
    steps = _steps(half, fine)
    model = usual - (usual @ steps) @ steps.T
    model = model / (np.linalg.norm(model) + 1e-9)
    middle = fine // 2
    scores = []
    for shift in range(-reach, reach + 1):
        part = profiles[:, middle - half + shift : middle + half + shift]
        part = part - (part @ steps) @ steps.T
        size = np.linalg.norm(part, axis=1) + 1e-6
        scores.append(part @ model / size)
    table = np.array(scores).T
    best = np.argmax(table, axis=1)
    inner = (best > 0) & (best < 2 * reach)
    at = np.clip(best, 1, 2 * reach - 1)
    row = np.arange(len(table))
    low, mid, high = table[row, at - 1], table[row, at], table[row, at + 1]
    curve = low - 2.0 * mid + high
    part_px = 0.5 * (low - high) / np.where(curve < -1e-12, curve, -1e12)
    shift = (at - reach + np.clip(part_px, -1.0, 1.0)) / fine
    return np.where(inner, shift, np.nan), table[row, best]


def _steps(half: int, fine: int) -> FloatArray:
    """Return what a dark brick beside a light one adds to a profile, orthonormal.

    A constant, a slope and a step at the middle: they would pull a joint between
    unlike bricks towards one of them.
    """
    at = (np.arange(2 * half) - half + 0.5) / fine
    basis = np.stack([np.ones(2 * half), at, np.tanh(at / _STEP)], axis=1)
    return np.asarray(np.linalg.qr(basis)[0])


_STEP: Final = 0.06
"""Half-width of the step, courses: a joint."""


def _centre(usual: FloatArray, half: int) -> float:
    """Return how far the middle of the usual joint lies from the window's, pixels.

    The window's middle is between its two middle samples; the joint's is midway
    between the places where it stands half out of the bricks on either side.
    """
    fine = len(usual)
    middle = fine // 2
    window = usual[middle - half : middle + half]
    base = float(np.median(usual))
    sign = 1.0 if abs(window.max() - base) >= abs(window.min() - base) else -1.0
    lobe = sign * (usual - base)
    top = middle - half + int(np.argmax(lobe[middle - half : middle + half]))
    level = lobe[top] / 2.0
    left = top
    while left > 0 and lobe[left] > level:
        left -= 1
    right = top
    while right < fine - 1 and lobe[right] > level:
        right += 1
    a = left + (level - lobe[left]) / (lobe[left + 1] - lobe[left] + 1e-9)
    b = right - (level - lobe[right]) / (lobe[right - 1] - lobe[right] + 1e-9)
    return float((a + b) / 2.0 - (fine - 1) / 2.0)
