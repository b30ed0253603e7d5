"""Tests of single errors in an adjustment's residuals (Baarda's data snooping).

With whitened rows ``J`` and residuals ``e`` the residuals' cofactor is ``I - J Q J'``. An
error of one unit in something observed changes the rows by ``c``; then

    w    = c'e / sqrt(c'(I - J Q J')c)          standard normal without an error
    MDB  = delta0 / sqrt(c'(I - J Q J')c)       smallest error found with the stated
                                                power

References: Baarda (1968), A testing procedure for use in geodetic networks;
Teunissen (2006), Testing Theory, ch. 4 (both from memory). Checked against
published adjustments in ``tests/calibration/test_published_adjustments.py``.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.special import ndtri

from calibration.adjustment import Adjustment
from calibration.arrays import FloatArray

SIGNIFICANCE: Final = 0.001
"""Chance that one faultless reference is suspected (Baarda's alpha_0)."""

POWER: Final = 0.80
"""Chance that an error of the size of the MDB is found (Baarda's beta)."""

ROUNDING: Final = 1e-9
"""Visible share of an error that is rounding."""

_SAME_DIGITS: Final = 5
"""Decimals to which standardised residuals are compared."""

UNCHECKED: Final = 0.02
"""Redundancy of a size below which nothing checks it."""


def critical_value(significance: float = SIGNIFICANCE) -> float:
    """Return the two-sided critical value of a standardised residual.

    Examples
    --------
    >>> round(critical_value(0.001), 2), round(critical_value(0.05), 2)
    (3.29, 1.96)
    """
    return float(-ndtri(significance / 2.0))


def non_centrality(significance: float = SIGNIFICANCE, power: float = POWER) -> float:
    """Return Baarda's ``delta0``: the shift that is found with the given power.

    Examples
    --------
    >>> round(non_centrality(), 2), round(non_centrality(0.05), 2)
    (4.13, 2.8)
    """
    return critical_value(significance) + float(ndtri(power))


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """The test of one possible error.

    Attributes
    ----------
    what : {'size', 'pick', 'line'}
        A wrong stated size, one wrong pick, or a line off level, plumb or straight.
    pick : int or None
        Position of the pick within its reference.
    w : float
        Standardised residual.
    checked : float
        Share of an error that shows in the residuals, 0 to 1 (its redundancy).
    estimate : float
        Error that would explain the residual: a share of the stated size, millimetres
        on the wall otherwise.
    smallest_found : float
        Smallest such error that would be found (MDB); infinite if unchecked.
    agreeing : float or None
        Factor on a stated size that would make it agree, where that was asked.
    """

    what: str
    pick: int | None
    w: float
    checked: float
    estimate: float
    smallest_found: float
    agreeing: float | None = None

    @property
    def excess(self) -> float:
        """The error in the words of a size: how much more it says than the others."""
        if self.what != "size":
            return self.estimate
        return 1.0 / (self.agreeing or 1.0 - self.estimate) - 1.0


class Residuals:
    """Whitened residuals with their cofactor, asked for single directions."""

    def __init__(self, adjustment: Adjustment) -> None:
        self.e = adjustment.equations.residual
        self.G = adjustment.equations.jacobian @ adjustment.cofactor_root

    def redundancy(self, rows: slice) -> float:
        """Return the sum of redundancy numbers of rows."""
        part = self.G[rows]
        return float(len(part) - np.sum(part * part))

    def tests(self, directions: FloatArray, rows: slice) -> "Tests":
        """Test errors that change units of C rows each, directions (U, K, C)."""
        units, _, count = directions.shape
        seen = directions @ self.G[rows].reshape(units, count, -1)
        whole = np.sum(directions**2, axis=2)
        projection = directions @ self.e[rows].reshape(units, count, 1)
        return Tests(projection[:, :, 0], whole - np.sum(seen**2, axis=2), whole)


class Tests:
    """Tests of U x K possible errors: ``c'e``, ``c'(I-GG')c`` and ``c'c``."""

    def __init__(
        self, projection: FloatArray, visible: FloatArray, whole: FloatArray
    ) -> None:
        self.checked = visible / np.where(whole > 0.0, whole, np.inf)
        seen = np.where(self.checked > ROUNDING, visible, np.inf)
        self.w = projection / np.sqrt(seen)
        self.estimate = projection / seen
        self.smallest = np.where(
            np.isfinite(seen), non_centrality() / np.sqrt(seen), np.inf
        )

    @property
    def count(self) -> int:
        """How many of the errors can be seen at all."""
        return int(np.sum(self.checked > UNCHECKED))

    def finding(self, what: str, unit: int, kind: int, *, pick: bool) -> Finding:
        """Return one test as a value."""
        at = (unit, kind)
        return Finding(
            what=what,
            pick=unit if pick else None,
            w=float(self.w[at]),
            checked=float(self.checked[at]),
            estimate=float(self.estimate[at]),
            smallest_found=float(self.smallest[at]),
        )

    def worst(self) -> tuple[int, int]:
        """Return unit and kind of the largest standardised residual.

        Of several equal ones, as the picks of an edge checked only once have, the
        first: rounding, which differs between processors, must not choose.
        """
        w = np.where(self.checked > UNCHECKED, np.round(np.abs(self.w), _SAME_DIGITS), -1.0)
        unit, kind = np.unravel_index(int(np.argmax(w)), w.shape)
        return int(unit), int(kind)
