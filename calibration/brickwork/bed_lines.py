"""Each bed joint as a line of its own: the lattice, bent as far as its picks support it.

No wall is laid as regularly as a lattice. Courses undulate together, which makes the
deviation from it a smooth chance function over the whole wall. It is estimated from all
picks and shrunk by how much they scatter; where there are none, lines go back to the
lattice. Offsets of single joints are not followed: on walls with truth their mean was
the scatter of bricks, and lines came out worse by up to a half.
"""

from dataclasses import dataclass
from itertools import product
from typing import Final

import numpy as np

from calibration.arrays import FloatArray
from calibration.brickwork.result import Brickwork

REACHES: Final = (10.0, 20.0, 40.0)
"""Lengths over which deviations bend, courses: courses 75 mm high undulate over two
metres and more. What changes faster is the scatter of bricks."""

GAINS: Final = (0.03, 0.1, 0.3, 1.0)
"""Variances of the deviation, in variances of one pick."""

_FADE: Final = 2.5
"""Waves whose angular number times the reach is more than this have no power left."""

_BORDER: Final = 0.15
"""Waves go on so far beyond the wall, of its size: at their ends they all lie level."""

_OUTLIER: Final = 3.5
_STEP: Final = 6.0
_FEWEST_POINTS, _MOST_POINTS = 9, 33
"""A line has a point every six courses, a fifth of the shortest waves."""


def bed_lines(found: Brickwork) -> tuple[FloatArray, ...]:
    """Return each bed joint across what was seen of the wall, the lowest first.

    Parameters
    ----------
    found : Brickwork

    Returns
    -------
    tuple of (N, 2) float64
        Pixels of the photo; points beyond the horizon are left out.
    """
    places, number = found.plane.counts(found.beds.px), found.beds.number
    lowest = lowest_v(found)
    deviation = places[:, 1] - (lowest - number)
    good = np.isfinite(deviation) & (np.abs(found.beds.residual) < _OUTLIER * found.beds.sd)
    uk = np.c_[places[:, 0], number]
    field = smooth_field(uk[good], deviation[good])
    numbers = np.arange(number.min(), number.max() + 1.0)
    low, high = float(np.nanmin(uk[:, 0])), float(np.nanmax(uk[:, 0]))
    points = int(np.clip((high - low) / _STEP, _FEWEST_POINTS, _MOST_POINTS))
    u = np.linspace(low, high, points)
    lines = []
    for n in numbers:
        v = lowest - n + field.at(np.c_[u, np.full(points, n)])
        line = found.plane.pixels(np.c_[u, v])
        lines.append(line[np.isfinite(line).all(axis=1)])
    return tuple(lines)


def lowest_v(found: Brickwork) -> float:
    """Return the plane's count v of bed joint 0: v counts down, joints count up."""
    v = found.plane.counts(found.beds.px)[:, 1]
    return float(np.round(np.nanmedian(v + found.beds.number)))


@dataclass(frozen=True, slots=True, eq=False)
class Field:
    """A smooth deviation over a wall, as a sum of standing waves.

    Attributes
    ----------
    low, size : (2,) float64
        Corner and size of what the waves span, courses along and count up.
    orders : (2,) int
        How many waves there are along and up.
    height : (M,) float64
        Of each wave, courses.
    """

    low: FloatArray
    size: FloatArray
    orders: tuple[int, int]
    height: FloatArray

    def at(self, uk: FloatArray) -> FloatArray:
        """Return the deviation (N,) at places along and counts (N, 2)."""
        return np.asarray(_waves(uk, self.low, self.size, self.orders) @ self.height)


def smooth_field(uk: FloatArray, deviation: FloatArray) -> Field:
    """Fit a smooth deviation; its reach and gain are those that foretell picks best.

    A chance function of squared exponential covariance by its standing waves: Solin and
    Sarkka (2020), Hilbert space methods for reduced-rank Gaussian process regression,
    Statistics and Computing 30; from memory. A left-out pick's error is its residual by
    one less its leverage, exact for a linear fit.

    Parameters
    ----------
    uk : (N, 2) float64
        Places along in courses, and counts.
    deviation : (N,) float64
        Courses.

    Returns
    -------
    Field
        Nothing at all if no field foretells picks better than the lattice.
    """
    border = _BORDER * np.maximum(np.ptp(uk, axis=0), REACHES[0])
    low, size = uk.min(axis=0) - border, np.ptp(uk, axis=0) + 2.0 * border
    best = Field(low, size, (1, 1), np.zeros(1))
    least = float(np.mean(deviation**2))
    for reach, gain in product(REACHES, GAINS):
        most = [int(_FADE * length / (np.pi * reach)) + 1 for length in size]
        orders = (most[0], most[1])
        A = _waves(uk, low, size, orders)
        keep = np.diag(1.0 / (gain * _power(size, orders, reach)))
        inverse = np.linalg.inv(A.T @ A + keep)
        height = inverse @ (A.T @ deviation)
        leverage = np.einsum("nm,nm->n", A @ inverse, A)
        missed = (deviation - A @ height) / (1.0 - leverage)
        if (power := float(np.mean(missed**2))) < least:
            least, best = power, Field(low, size, orders, height)
    return best


def _waves(
    uk: FloatArray, low: FloatArray, size: FloatArray, orders: tuple[int, int]
) -> FloatArray:
    """Return standing waves (N, M) at places."""
    turns = np.pi * (uk - low) / size
    along = np.cos(turns[:, :1] * np.arange(orders[0]))
    up = np.cos(turns[:, 1:] * np.arange(orders[1]))
    return np.asarray((along[:, :, None] * up[:, None, :]).reshape(len(uk), -1))


def _power(size: FloatArray, orders: tuple[int, int], reach: float) -> FloatArray:
    """Return the share of the variance that each wave has (M,): one in all."""
    along, up = (
        np.pi * np.arange(n) / length for n, length in zip(orders, size, strict=True)
    )
    power = np.exp(-0.5 * reach**2 * np.add.outer(along**2, up**2)).ravel()
    return np.asarray(power / power.sum())
