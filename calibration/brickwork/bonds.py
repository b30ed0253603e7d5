"""How the perpends of a course stand to those of its neighbours: the bond.

A bond is told from three correlations of the perpends: with their own course, with the
next course and with the next but one, at all distances along the wall. Each bond puts
peaks at known multiples of its unit, and the shape of a peak is read from the picture.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

import numpy as np

from calibration.arrays import FloatArray
from calibration.brickwork.rows import Folded
from calibration.brickwork.strip import PIXELS_A_COURSE

COURSES_AWAY: Final = 3
"""Correlations with courses 0, 1 and 2 further down."""

_RIDGE_PX: Final = 3
"""A perpend is what stands out from both sides at this distance, a quarter course."""

_MIDDLE: Final = 0.27
"""Perpends are looked for this far from the bed joints, courses."""

FARTHEST: Final = 13.0
"""Longest distance along the wall, courses: four stretchers."""

_PEAK: Final = 0.6
"""Half-width of a peak with its side lobes, courses."""

SHORTEST_UNIT: Final = 1.1
LONGEST_UNIT: Final = 6.6
"""Stretcher or header with its joint, in courses."""

_UNIT_STEP: Final = 0.02


class Bond(StrEnum):
    """How bricks overlap."""

    HALF = "half"
    """Units of one length, every course half a unit on: stretcher or header bond."""

    FLEMISH = "flemish"
    ENGLISH = "english"
    ALIGNED = "aligned"
    """Joints in line over all courses: no brickwork, or none that can be told."""


@dataclass(frozen=True, slots=True)
class Peaks:
    """Where a bond has its correlations, in units; repeated with the period.

    Attributes
    ----------
    period : float
        In units.
    own, next, second : tuple of (float, float)
        Place and height by the number of courses away.
    """

    period: float
    own: tuple[tuple[float, float], ...]
    next: tuple[tuple[float, float], ...]
    second: tuple[tuple[float, float], ...]


PEAKS: Final[dict[Bond, Peaks]] = {
    Bond.HALF: Peaks(1.0, ((0.0, 1.0),), ((0.5, 1.0),), ((0.0, 1.0),)),
    # a stretcher of one unit, a header of half a unit; headers over stretchers
    Bond.FLEMISH: Peaks(
        1.5,
        ((0.0, 1.0), (0.5, 0.5), (1.0, 0.5)),
        ((0.75, 1.0), (0.25, 0.5), (1.25, 0.5)),
        ((0.0, 1.0), (0.5, 0.5), (1.0, 0.5)),
    ),
    # stretcher courses and header courses: two thirds of the joints are headers'
    Bond.ENGLISH: Peaks(
        1.0,
        ((0.0, 1.0), (0.5, 0.67)),
        ((0.25, 0.67), (0.75, 0.67)),
        ((0.0, 1.0), (0.5, 0.67)),
    ),
    Bond.ALIGNED: Peaks(1.0, ((0.0, 1.0),), ((0.0, 1.0),), ((0.0, 1.0),)),
}


@dataclass(frozen=True, slots=True, eq=False)
class Perpends:
    """Response to perpends, one row a course.

    Attributes
    ----------
    response : (K, W) float64
        Positive where something narrow of the joints' colour stands.
    inside : (K, W) float64
        One where the wall is seen.
    """

    response: FloatArray
    inside: FloatArray


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
    """

    bond: Bond
    unit: float
    agreement: float
    height: float


def read_perpends(folded: Folded, inside: np.ndarray) -> Perpends:
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
    line = folded.joint_sign * bricks.mean(axis=1, dtype=np.float64)
    mask = seen.all(axis=1).astype(np.float64)
    d = _RIDGE_PX
    response = np.zeros_like(line)
    response[:, d:-d] = line[:, d:-d] - 0.5 * (line[:, : -2 * d] + line[:, 2 * d :])
    mask[:, d:-d] *= mask[:, : -2 * d] * mask[:, 2 * d :]
    mask[:, :d] = mask[:, -d:] = 0.0
    response = np.clip(response, -_LOUDEST, _LOUDEST) * mask
    return Perpends(response, mask)


_LOUDEST: Final = 2.5
"""A jamb or downpipe must not outweigh perpends; in units of the contrast."""


def correlations(perpends: Perpends) -> tuple[FloatArray, FloatArray]:
    """Correlate courses with courses further down.

    Parameters
    ----------
    perpends : Perpends

    Returns
    -------
    (3, L) float64
        By courses away and distance along the wall, in rows of the flattened picture;
        one for a course with itself at no distance.
    (3, L) float64
        Over how many pixels each was taken.
    """
    r, m = perpends.response, perpends.inside
    length = min(round(FARTHEST * PIXELS_A_COURSE), r.shape[1] * 3 // 4)
    size = 2 * r.shape[1]
    R, M = np.fft.rfft(r, size), np.fft.rfft(m, size)
    values, weights = [], []
    for away in range(COURSES_AWAY):
        stop = len(r) - away
        product = _both_ways(np.fft.irfft(np.sum(np.conj(R[:stop]) * R[away:], axis=0)))
        count = _both_ways(np.fft.irfft(np.sum(np.conj(M[:stop]) * M[away:], axis=0)))
        values.append(product[:length] / np.maximum(count[:length], 1.0))
        weights.append(np.maximum(count[:length], 0.0))
    table = np.array(values)
    return table / (table[0, 0] + 1e-12), np.array(weights)


def _both_ways(values: FloatArray) -> FloatArray:
    return np.asarray(0.5 * (values + np.r_[values[0], values[:0:-1]]))


def fit_bonds(table: FloatArray, weights: FloatArray) -> list[BondFit]:
    """Fit every bond to correlations, the best first.

    Parameters
    ----------
    table, weights : (3, L) float64
        Of :func:`correlations`.

    Returns
    -------
    list of BondFit
        One for each bond.
    """
    P = PIXELS_A_COURSE
    units = np.arange(SHORTEST_UNIT, LONGEST_UNIT, _UNIT_STEP)
    peak = table[0, : round(_PEAK * P) + 1]
    lag = np.arange(table.shape[1]) / P
    weight = weights / (weights[0, 0] + 1e-12)
    weight[0, : len(peak)] = 0.0
    flat, root = table.ravel(), np.sqrt(weight.ravel())
    fits = []
    for bond in Bond:
        model = _models(bond, units, lag, peak).reshape(len(units), -1)
        both = (model * root) @ (flat * root)
        power = np.sum((model * root) ** 2, axis=1) + 1e-12
        agreement = both / np.sqrt(power * np.sum((flat * root) ** 2) + 1e-12)
        best = int(np.argmax(agreement))
        unit = units[best] + _UNIT_STEP * _top(agreement, best)
        height = float(both[best] / power[best])
        fits.append(BondFit(bond, float(unit), float(agreement[best]), height))
    return sorted(fits, key=lambda fit: -fit.agreement)


def _top(values: FloatArray, at: int) -> float:
    if not 0 < at < len(values) - 1:
        return 0.0
    low, mid, high = values[at - 1 : at + 2]
    curve = low - 2.0 * mid + high
    return float(0.5 * (low - high) / curve) if curve < 0.0 else 0.0


def _models(bond: Bond, units: FloatArray, lag: FloatArray, peak: FloatArray) -> FloatArray:
    """Return the correlations (n, 3, L) that a bond would have for each unit."""
    peaks = PEAKS[bond]
    reach = np.arange(len(peak)) / PIXELS_A_COURSE
    period = units[:, None] * peaks.period
    out = np.zeros((len(units), COURSES_AWAY, len(lag)))
    for away, places in enumerate((peaks.own, peaks.next, peaks.second)):
        for place, height in places:
            ahead = lag[None] - units[:, None] * place
            off = np.abs(ahead - np.round(ahead / period) * period)
            out[:, away] += height * np.interp(off, reach, peak, right=0.0)
    return out
