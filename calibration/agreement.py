"""How far a suspect size is from what all the other references say.

The test of a size estimates its error to first order, at a solution that the error
itself has bent. For a suspect the question is asked again: which size would agree?
The stated size is changed, everything adjusted again, and the change repeated until
nothing is left to explain.
"""

from dataclasses import replace
from typing import Final

from calibration.adjustment import Adjustment, adjust, descend
from calibration.errors import EstimationError
from calibration.network import Network
from calibration.references.base import Reference
from calibration.reliability import ReferenceReport, Reliability, size_finding
from calibration.snooping import Finding, critical_value

_ROUNDS: Final = 12
_AGREED: Final = 1e-4
"""Relative rest below which a size agrees: a tenth of the last digit that is shown."""

_FARTHEST: Final = 0.4
"""Largest relative change in one round."""

_ASKED: Final = 3
"""How many suspects are asked: each costs an adjustment or two."""


def sharpen(network: Network, adjustment: Adjustment, found: Reliability) -> Reliability:
    """Return the reliability with the sizes that suspects would have to state.

    Parameters
    ----------
    network : Network
    adjustment : Adjustment
    found : Reliability
        Of that adjustment.

    Returns
    -------
    Reliability
        As given if no size stands out.
    """
    standing_out = [
        index
        for index, report in enumerate(found.references)
        if report.size and abs(report.size.w) > critical_value()
    ]
    standing_out.sort(key=lambda index: -abs(_w(found.references[index])))
    reports = list(found.references)
    for index in standing_out[:_ASKED]:
        factor = agreeing_factor(network, adjustment, index)
        if factor is not None:
            reports[index] = _restated(reports[index], factor)
    return replace(found, references=tuple(reports))


def _w(report: ReferenceReport) -> float:
    return report.size.w if report.size else 0.0


def _restated(report: ReferenceReport, factor: float) -> ReferenceReport:
    def told(finding: Finding | None) -> Finding | None:
        if finding is None or finding.what != "size":
            return finding
        return replace(finding, agreeing=factor)

    direction = report.direction
    if direction is not None and report.worst and report.worst.what == "size":
        direction = direction * ((1.0 - factor) / report.worst.estimate)
    return replace(
        report, size=told(report.size), worst=told(report.worst), direction=direction
    )


def agreeing_factor(network: Network, adjustment: Adjustment, index: int) -> float | None:
    """Return the factor on a stated size that makes it agree with the other references.

    Parameters
    ----------
    network : Network
    adjustment : Adjustment
        With the size as stated.
    index : int
        Position of the reference.

    Returns
    -------
    float or None
        None if no size agrees or nothing checks it.
    """
    factor, state = 1.0, adjustment.state
    for _ in range(_ROUNDS):
        trial = _with_size(network, index, factor)
        try:
            there = adjust(trial, descend(trial, state)[0])
        except EstimationError:
            return None
        finding = size_finding(trial, there, index)
        if finding is None:
            return None
        if abs(finding.estimate) <= _AGREED:
            return factor
        factor *= 1.0 - min(max(finding.estimate, -_FARTHEST), _FARTHEST)
        state = there.state
    return None


def _with_size(network: Network, index: int, factor: float) -> Network:
    """Change the stated size of a reference and of all that state the same fact."""
    keys = set(network.references[index].prior_keys())

    def same(position: int, reference: Reference) -> bool:
        return position == index or bool(keys & set(reference.prior_keys()))

    references = tuple(
        reference.resized(factor) if same(position, reference) else reference
        for position, reference in enumerate(network.references)
    )
    return replace(network, references=references)
