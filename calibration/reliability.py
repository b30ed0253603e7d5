"""Reliability as surveyors report it: what the references say of each other.

Baarda's testing of alternative hypotheses, in whitened form. With whitened rows
``J`` and residuals ``e`` the residuals' cofactor is ``I - J Q J'``. An error of one
unit in something observed changes the rows by ``c``; then

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
from scipy.special import chdtrc, ndtri

from calibration.adjustment import Adjustment
from calibration.arrays import FloatArray
from calibration.network import Block, Equations, Network, State
from calibration.references.base import Reference

SIGNIFICANCE: Final = 0.001
"""Chance that one faultless reference is suspected (Baarda's alpha_0)."""

POWER: Final = 0.80
"""Chance that an error of the size of the MDB is found (Baarda's beta)."""

GLOBAL_SIGNIFICANCE: Final = 0.01
"""Chance that faultless references fail the global test together."""

_ROUNDING: Final = 1e-9
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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ReferenceReport:
    """How one reference agrees with all the others.

    Attributes
    ----------
    name, kind, title : str
        Which reference.
    redundancy : float
        Sum of the redundancy numbers of its observations.
    worst : Finding or None
        The possible error with the largest standardised residual; None if
        nothing in it can be checked.
    size : Finding or None
        The test of its stated size; None if it states none.
    suspect : bool
        Whether ``worst`` exceeds its critical value.
    direction : (M,) float64 or None
        What the worst error, as estimated, did to the whitened rows; only for
        suspects.
    """

    name: str
    kind: str
    title: str
    redundancy: float
    worst: Finding | None
    size: Finding | None
    suspect: bool
    direction: FloatArray | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Reliability:
    """Global test and reports of all references.

    Attributes
    ----------
    variance_factor : float
        Weighted sum of squares per degree of freedom; one is expected.
    degrees_of_freedom : int
        Conditions and priors less unknowns.
    global_probability : float
        Chance of a sum of squares at least this large without any error.
    references : tuple of ReferenceReport
        In the order of the network.
    """

    variance_factor: float
    degrees_of_freedom: int
    global_probability: float
    references: tuple[ReferenceReport, ...]

    @property
    def passed(self) -> bool:
        """Whether the global test passed."""
        return self.global_probability >= GLOBAL_SIGNIFICANCE

    @property
    def suspects(self) -> tuple[ReferenceReport, ...]:
        """Suspected references, largest standardised residual first."""
        found = [r for r in self.references if r.suspect and r.worst]
        return tuple(sorted(found, key=lambda r: -abs(r.worst.w if r.worst else 0.0)))


class _Residuals:
    """Whitened residuals with their cofactor, asked for single directions."""

    def __init__(self, adjustment: Adjustment) -> None:
        self.e = adjustment.equations.residual
        self.G = adjustment.equations.jacobian @ adjustment.cofactor_root

    def redundancy(self, rows: slice) -> float:
        """Return the sum of redundancy numbers of rows."""
        part = self.G[rows]
        return float(len(part) - np.sum(part * part))

    def tests(self, directions: FloatArray, rows: slice) -> "_Tests":
        """Test errors that change units of C rows each, directions (U, K, C)."""
        units, _, count = directions.shape
        seen = directions @ self.G[rows].reshape(units, count, -1)
        whole = np.sum(directions**2, axis=2)
        projection = directions @ self.e[rows].reshape(units, count, 1)
        return _Tests(projection[:, :, 0], whole - np.sum(seen**2, axis=2), whole)


class _Tests:
    """Tests of U x K possible errors: ``c'e``, ``c'(I-GG')c`` and ``c'c``."""

    def __init__(
        self, projection: FloatArray, visible: FloatArray, whole: FloatArray
    ) -> None:
        self.checked = visible / np.where(whole > 0.0, whole, np.inf)
        seen = np.where(self.checked > _ROUNDING, visible, np.inf)
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


def global_probability(adjustment: Adjustment) -> float:
    """Return the chance of a sum of squares at least this large without any error."""
    dof = adjustment.degrees_of_freedom
    return float(chdtrc(dof, adjustment.cost)) if dof else 1.0


def assess(network: Network, adjustment: Adjustment) -> Reliability:
    """Test the references of an adjustment against each other.

    Parameters
    ----------
    network : Network
    adjustment : Adjustment
        Its rigorous solution.

    Returns
    -------
    Reliability
    """
    residuals = _Residuals(adjustment)
    reports = tuple(
        _report(network, adjustment, residuals, index)
        for index in range(len(network.references))
    )
    dof = adjustment.degrees_of_freedom
    return Reliability(
        variance_factor=adjustment.cost / dof if dof else 1.0,
        degrees_of_freedom=dof,
        global_probability=global_probability(adjustment),
        references=reports,
    )


def _report(
    network: Network, adjustment: Adjustment, residuals: _Residuals, index: int
) -> ReferenceReport:
    reference = network.references[index]
    stated = _stated_rows(network, adjustment.equations, index)
    rows = adjustment.equations.blocks[index].rows
    redundancy = residuals.redundancy(rows) + sum(
        residuals.redundancy(slice(row, row + 1)) for row, _ in stated
    )
    size = _size_test(network, adjustment, residuals, index)
    single = _worst_single(reference, adjustment.equations.blocks[index], residuals)
    found = [test for test in (size, single) if test and test.count]
    worst = max(found, key=lambda test: abs(test.finding.w), default=None)
    # Several possible errors in one reference share its chance of a false alarm.
    count = sum(test.count for test in found)
    each = 1.0 - (1.0 - SIGNIFICANCE) ** (1.0 / max(count, 1))
    suspect = worst is not None and abs(worst.finding.w) > critical_value(each)
    return ReferenceReport(
        name=reference.name,
        kind=reference.kind,
        title=reference.title or reference.name,
        redundancy=redundancy,
        worst=worst.finding if worst else None,
        size=size.finding if size else None,
        suspect=suspect,
        direction=worst.direction * worst.finding.estimate if suspect and worst else None,
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Test:
    """The most striking of several possible errors."""

    finding: Finding
    direction: FloatArray
    count: int


def _worst_single(
    reference: Reference, block: Block, residuals: _Residuals
) -> _Test | None:
    """Test each condition of a reference alone, in millimetres on the wall."""
    # Column c of inv(L) is what one millimetre in condition c does to the rows.
    inverse = np.asarray(np.linalg.inv(block.unwhiten), np.float64).transpose(0, 2, 1)
    several = len(inverse) > 1
    if reference.gives_size and not several:
        inverse = inverse[:, 1:]  # the first condition of a tape is its size
    if not inverse.size:
        return None
    tests = residuals.tests(inverse, block.rows)
    if not tests.count:
        return None
    unit, kind = tests.worst()
    direction = np.zeros(len(residuals.e))
    count = inverse.shape[2]
    first = block.rows.start + unit * count
    direction[first : first + count] = inverse[unit, kind]
    finding = tests.finding("pick" if several else "line", unit, kind, pick=several)
    return _Test(finding, direction, tests.count)


def _stated_rows(
    network: Network, equations: Equations, index: int
) -> list[tuple[int, int]]:
    """Return (row, own index) of the priors that are the reference's own sizes."""
    reference = network.references[index]
    keys = set(reference.prior_keys())
    own = {unknown.key: i for i, unknown in enumerate(reference.unknowns())}
    first = equations.blocks[-1].rows.stop
    return [
        (first + position, own[prior.key])
        for position, (_, prior) in enumerate(network.priors)
        if prior.key in keys
    ]


def size_direction(
    network: Network, equations: Equations, state: State, index: int
) -> FloatArray | None:
    """Return what a relative error of one in a stated size does to the whitened rows.

    Parameters
    ----------
    network : Network
    equations : Equations
        Of the network at the state.
    state : State
    index : int
        Position of the reference.

    Returns
    -------
    (M,) float64 or None
        None if the reference states no size.
    """
    reference = network.references[index]
    error = reference.size_error(network.own_values(state, index))
    if error is None:
        return None
    block = equations.blocks[index]
    direction = np.zeros(len(equations.residual))
    effect = error.wrt_conditions[:, :, None]
    direction[block.rows] = np.linalg.solve(block.unwhiten, effect).ravel()
    sds = {prior.key: prior.sd for _, prior in network.priors}
    keys = [unknown.key for unknown in reference.unknowns()]
    for row, own in _stated_rows(network, equations, index):
        direction[row] = -error.wrt_prior_mean.get(own, 0.0) / sds[keys[own]]
    return direction


def _size_test(
    network: Network, adjustment: Adjustment, residuals: _Residuals, index: int
) -> _Test | None:
    """Test the stated size of a reference, as a relative error."""
    direction = size_direction(network, adjustment.equations, adjustment.state, index)
    if direction is None:
        return None
    tests = residuals.tests(direction[None, None], slice(None))
    return _Test(tests.finding("size", 0, 0, pick=False), direction, tests.count)


def size_finding(network: Network, adjustment: Adjustment, index: int) -> Finding | None:
    """Return the test of one reference's stated size; None if it states none.

    Parameters
    ----------
    network : Network
    adjustment : Adjustment
    index : int
        Position of the reference.

    Returns
    -------
    Finding or None
        None also if nothing checks the size.
    """
    test = _size_test(network, adjustment, _Residuals(adjustment), index)
    return test.finding if test and test.finding.checked > _ROUNDING else None
