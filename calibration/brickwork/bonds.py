"""How the perpends of a course stand to those of its neighbours: the bond.

A bond is told from correlations of the perpends with those of their own course, of the
next and of the next but one, at all distances along the wall. Each bond puts
peaks at known multiples of its unit, and the shape of a peak is read from the picture.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from calibration.arrays import FloatArray
from calibration.brickwork.rows import Folded
from calibration.brickwork.strip import PIXELS_A_COURSE

_RIDGE_PX: Final = 3
"""A perpend is what stands out from both sides at this distance, a quarter course."""

_MIDDLE: Final = 0.27
"""Perpends are looked for this far from the bed joints, courses."""

FARTHEST: Final = 13.0
"""Longest distance along the wall, courses: four stretchers."""

_PEAK: Final = 0.6
"""Half-width of a peak with its side lobes, courses."""

_UNIT_STEP: Final = 0.02


class Bond(StrEnum):
    """How bricks overlap."""

    HALF = "half"
    """Units of one length, every course half a unit on: stretcher or header bond."""

    FLEMISH = "flemish"
    ENGLISH = "english"
    ALIGNED = "aligned"
    """Joints in line over all courses: no brickwork, or none that can be told."""


Places = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Peaks:
    """Where a bond has its correlations, in units; repeated with the period.

    Attributes
    ----------
    period : float
        In units.
    own, other : tuple of (float, float)
        Place and height in every second course, and in the courses between.
    next, second : tuple of (float, float)
        The same for courses one and two further down.
    """

    period: float
    own: Places
    other: Places
    next: Places
    second: Places


_ONE: Final[Places] = ((0.0, 1.0),)
_FLEMISH: Final[Places] = ((0.0, 1.0), (0.5, 0.5), (1.0, 0.5))
_HEADERS: Final[Places] = ((0.0, 1.0), (0.5, 1.0))

PEAKS: Final[dict[Bond, Peaks]] = {
    Bond.HALF: Peaks(1.0, _ONE, _ONE, ((0.5, 1.0),), _ONE),
    # a stretcher of one unit, a header of half a unit; headers over stretchers
    Bond.FLEMISH: Peaks(
        1.5, _FLEMISH, _FLEMISH, ((0.75, 1.0), (0.25, 0.5), (1.25, 0.5)), _FLEMISH
    ),
    # stretcher courses and header courses: two thirds of the joints are headers'
    Bond.ENGLISH: Peaks(
        1.0, _ONE, _HEADERS, ((0.25, 0.7), (0.75, 0.7)), ((0.0, 1.0), (0.5, 0.67))
    ),
    Bond.ALIGNED: Peaks(1.0, _ONE, _ONE, _ONE, _ONE),
}

UNITS: Final[dict[Bond, tuple[float, float]]] = {
    Bond.HALF: (1.1, 6.6),
    Bond.FLEMISH: (2.3, 4.6),
    Bond.ENGLISH: (2.3, 4.6),
    Bond.ALIGNED: (0.8, 6.6),
}
"""Shortest and longest unit, in courses: header bond at one end, Roman brick (6) at the
other; nobody lays headers of a brick longer than the Dutch and German ones (4), or of
one shorter than the American engineer brick (2.5). Stretchers of three look much like
Flemish bond of two."""


SHORT_UNIT: Final = 2.2
"""Half bond of shorter units, in courses, may be tiles, slates, ashlar, blocks or
header bond: only the user can tell."""


@dataclass(frozen=True, slots=True, eq=False)
class Perpends:
    """Response to perpends, one row a course.

    Attributes
    ----------
    response : (K, W) float64
        Positive where something narrow of the joints' colour stands.
        What runs on over several courses is taken off.
    inside : (K, W) float64
        One where the wall is seen.
    broken : float
        Share of the response that does not run on, 0..1: little where joints are in line.
    """

    response: FloatArray
    inside: FloatArray
    broken: float


@dataclass(frozen=True, slots=True)
class BondFit:
    """A bond that explains the perpends.

    Attributes
    ----------
    bond : Bond
    unit : float
        Stretcher with its perpend, in courses; of half bond any unit.
    agreement : float
        Correlation of model and picture, -1..1.
    height : float
        Height of the peaks against that of a perpend with itself: how regular.
    headers_even : bool
        Of English bond, whether even courses are the header courses.
    """

    bond: Bond
    unit: float
    agreement: float
    height: float
    headers_even: bool


def read_perpends(folded: Folded, inside: NDArray[np.bool_]) -> Perpends:
    """Look for perpends between the bed joints.

    Parameters
    ----------
    folded : Folded
    inside : (H, W) bool

    Returns
    -------
    Perpends
    """
    P = PIXELS_A_COURSE
    first = folded.joint_row
    courses = (len(folded.even) - first) // P
    cut = slice(first, first + courses * P)
    edge = round(_MIDDLE * P)
    bricks = folded.even[cut].reshape(courses, P, -1)[:, edge : P - edge + 1]
    seen = inside[cut].reshape(courses, P, -1)[:, edge : P - edge + 1]
    line = (
        np.einsum("kpw->kw", bricks, dtype=np.float64) * folded.joint_sign / bricks.shape[1]
    )
    mask = np.min(seen, axis=1).astype(np.float64)
    d = _RIDGE_PX
    response = np.zeros(line.shape)
    response[:, d:-d] = line[:, d:-d] - 0.5 * (line[:, : -2 * d] + line[:, 2 * d :])
    mask[:, d:-d] *= mask[:, : -2 * d] * mask[:, 2 * d :]
    mask[:, :d] = mask[:, -d:] = 0.0
    response = np.clip(response, -_LOUDEST, _LOUDEST) * mask
    broken = without_runs(response)
    share = float(np.sum(broken**2) / (np.sum(response**2) + 1e-12))
    return Perpends(broken, mask, share)


_LOUDEST: Final = 2.5
"""A jamb or downpipe must not outweigh perpends; in units of the contrast."""

_RUN_PX: Final = 1
"""How far a jamb or pipe may lean from course to course, pixels."""

_RUN_COURSES: Final = 3
"""What stands in so many courses on end is no perpend."""

_RUN_EVEN: Final = 0.5
"""Least against greatest of a run: between two perpends one course apart blur leaves
something too, and taking that off would make a wall of small courses another bond."""


def without_runs(response: FloatArray) -> FloatArray:
    """Return a response without what goes straight on over several courses.

    In every bond a perpend stands over and under a brick; jambs, pipes, corners, boards
    and joints in line do not.

    Parameters
    ----------
    response : (K, W) float64
        One row a course.

    Returns
    -------
    (K, W) float64
    """
    wide = np.ones((1, 2 * _RUN_PX + 1), np.uint8)
    tall = np.ones((_RUN_COURSES, 1), np.uint8)
    out = np.zeros_like(response)
    for sign in (1.0, -1.0):
        part = np.maximum(sign * response, 0.0)
        near = cv2.dilate(part, wide)
        least, most = cv2.erode(near, tall), cv2.dilate(near, tall)
        run = cv2.dilate(np.where(least > _RUN_EVEN * most, least, 0.0), tall)
        out += sign * np.maximum(part - run, 0.0)
    return out


def correlations(perpends: Perpends) -> tuple[FloatArray, FloatArray]:
    """Correlate courses with themselves and with courses further down.

    Parameters
    ----------
    perpends : Perpends

    Returns
    -------
    (4, L) float64
        Even courses with themselves, odd ones with themselves, all with the next and
        with the next but one, by distance along the wall in pixels of the flattened
        picture. One at no distance for all courses together.
    (4, L) float64
        Over how many pixels each was taken.
    """
    r, m = perpends.response, perpends.inside
    length = max(min(round(FARTHEST * PIXELS_A_COURSE), r.shape[1] * 3 // 4), 2)
    size = 2 * r.shape[1]
    R, M = np.fft.rfft(r, size), np.fft.rfft(m, size)
    pairs = (
        (slice(0, None, 2), slice(0, None, 2)),
        (slice(1, None, 2), slice(1, None, 2)),
        (slice(0, -1), slice(1, None)),
        (slice(0, -2), slice(2, None)),
    )
    product = np.array([_crossed(R[a], R[b])[:length] for a, b in pairs])
    count = np.array([_crossed(M[a], M[b])[:length] for a, b in pairs])
    power = product[:2, 0].sum() / max(float(count[:2, 0].sum()), 1.0) + 1e-12
    return product / np.maximum(count, 1.0) / power, np.maximum(count, 0.0)


def _crossed(A: NDArray[np.complex128], B: NDArray[np.complex128]) -> FloatArray:
    """Return the correlation of rows, summed, the same both ways along the wall."""
    return _both_ways(np.fft.irfft(np.sum(np.conj(A) * B, axis=0)))


def _both_ways(values: FloatArray) -> FloatArray:
    return np.asarray(0.5 * (values + np.r_[values[0], values[:0:-1]]))


def fit_bonds(table: FloatArray, weights: FloatArray) -> list[BondFit]:
    """Fit every bond to correlations, the best first.

    Parameters
    ----------
    table, weights : (4, L) float64
        Of :func:`correlations`.

    Returns
    -------
    list of BondFit
        One for each bond.
    """
    weight = weights / (weights[:2, 0].sum() + 1e-12)
    lone = round(_PEAK * PIXELS_A_COURSE) + 1
    peak = table[:2, :lone].mean(axis=0)
    weight[:2, :lone] = 0.0
    fits = [_fit_bond(bond, table, weight, peak) for bond in Bond]
    return sorted(fits, key=lambda fit: -fit.agreement)


def _fit_bond(
    bond: Bond, table: FloatArray, weight: FloatArray, peak: FloatArray
) -> BondFit:
    units = np.arange(*UNITS[bond], _UNIT_STEP)
    lag = np.arange(table.shape[1]) / PIXELS_A_COURSE
    model = _models(bond, units, lag, peak)
    turned = model[:, [1, 0, 2, 3]]  # which courses have the headers is not known
    root = np.sqrt(weight)
    scores = []
    for trial in (model, turned):
        both = np.einsum("nkl,kl->n", trial, table * weight)
        power = np.einsum("nkl,kl->n", trial**2, weight) + 1e-12
        scores.append(
            (both / np.sqrt(power * np.sum((table * root) ** 2) + 1e-12), both, power)
        )
    odd = int(scores[1][0].max() > scores[0][0].max() + 1e-9)
    agreement, both, power = scores[odd]
    best = int(np.argmax(agreement))
    unit = units[best] + _UNIT_STEP * _top(agreement, best)
    height = float(both[best] / power[best])
    return BondFit(bond, float(unit), float(agreement[best]), height, bool(odd))


def _top(values: FloatArray, at: int) -> float:
    """Return where a parabola through a value and its neighbours has its top."""
    if not 0 < at < len(values) - 1:
        return 0.0
    low, mid, high = values[at - 1 : at + 2]
    curve = low - 2.0 * mid + high
    return float(0.5 * (low - high) / curve) if curve < 0.0 else 0.0


def _models(bond: Bond, units: FloatArray, lag: FloatArray, peak: FloatArray) -> FloatArray:
    """Return the correlations (n, 4, L) that a bond would have for each unit."""
    peaks = PEAKS[bond]
    reach = np.arange(len(peak)) / PIXELS_A_COURSE
    period = units[:, None] * peaks.period
    tables = (peaks.own, peaks.other, peaks.next, peaks.second)
    out = np.zeros((len(units), len(tables), len(lag)))
    for which, places in enumerate(tables):
        for place, height in places:
            ahead = lag[None] - units[:, None] * place
            off = np.abs(ahead - np.round(ahead / period) * period)
            out[:, which] += height * np.interp(off, reach, peak, right=0.0)
    return out
