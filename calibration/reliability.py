"""Reliability as surveyors report it: what the references say of each other.

Each possible error of a stated size, a pick or a line is tested as
:mod:`calibration.snooping` says; the most striking one of a reference is reported.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.special import chdtrc

from calibration.adjustment import Adjustment
from calibration.arrays import FloatArray
from calibration.network import Block, Equations, Network, State
from calibration.references.base import Reference
from calibration.snooping import ROUNDING, SIGNIFICANCE, Finding, Residuals, critical_value

GLOBAL_SIGNIFICANCE: Final = 0.01
"""Chance that faultless references fail the global test together."""


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
    residuals = Residuals(adjustment)
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
    network: Network, adjustment: Adjustment, residuals: Residuals, index: int
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


def _worst_single(reference: Reference, block: Block, residuals: Residuals) -> _Test | None:
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
    network: Network, adjustment: Adjustment, residuals: Residuals, index: int
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
    test = _size_test(network, adjustment, Residuals(adjustment), index)
    return test.finding if test and test.finding.checked > ROUNDING else None
