"""The same line in several photos, and totals, with correlation kept."""

from collections import defaultdict
from collections.abc import Sequence
from typing import Final

import numpy as np
from scipy.special import chdtrc

from calibration.uncertain import Uncertain, stack, weighted_mean
from photomeasure.job.schema import Role
from photomeasure.results import CombinedLine, MeasuredLine, RoleTotal

_ROUNDING: Final = 1e-9
"""Share of a variance that is rounding."""

Found = tuple[str, MeasuredLine]
"""Name of the elevation and the line measured in it."""


def combine(found: Sequence[Found]) -> tuple[CombinedLine, ...]:
    """Combine lines of the same name from different photos.

    Parameters
    ----------
    found : sequence of (elevation name, MeasuredLine)

    Returns
    -------
    tuple of CombinedLine
        One for each name that occurs more than once, in order of appearance.
    """
    return tuple(
        _combined(name, same) for name, same in _by_name(found).items() if len(same) > 1
    )


def totals(
    found: Sequence[Found], combined: Sequence[CombinedLine]
) -> tuple[RoleTotal, ...]:
    """Return the total of each role, each real line counted once.

    Parameters
    ----------
    found : sequence of (elevation name, MeasuredLine)
    combined : sequence of CombinedLine
        Of the same lines; their combined value stands for them.

    Returns
    -------
    tuple of RoleTotal
    """
    joint = {line.name: line.combined for line in combined}
    roles: dict[Role, list[Uncertain]] = defaultdict(list)
    for name, same in _by_name(found).items():
        roles[same[0][1].role].append(joint.get(name, same[0][1].length))
    return tuple(
        RoleTotal(
            role=role,
            count=len(lengths),
            total=stack(lengths).linear(np.ones((1, len(lengths)))),
        )
        for role, lengths in roles.items()
    )


def _by_name(found: Sequence[Found]) -> dict[str, list[Found]]:
    names: dict[str, list[Found]] = defaultdict(list)
    for elevation, line in found:
        names[line.name].append((elevation, line))
    return names


def _combined(name: str, same: Sequence[Found]) -> CombinedLine:
    lengths = stack([line.length for _, line in same])
    mean = weighted_mean(lengths)
    return CombinedLine(
        name=name,
        role=same[0][1].role,
        elevations=tuple(elevation for elevation, _ in same),
        lengths=lengths,
        combined=mean.scaled(_birge_ratio(lengths, mean)),
        score=_worst_score(lengths),
    )


def _worst_score(lengths: Uncertain) -> float:
    """Return the largest zeta score of two of the measurements."""
    covariance = lengths.covariance
    variances = np.diag(covariance)
    variance = variances[:, None] + variances[None, :] - 2.0 * covariance
    difference = np.abs(lengths.values[:, None] - lengths.values[None, :])
    # Fully correlated measurements differ by nothing that uncertainty explains.
    known = variance > _ROUNDING * variances.max()
    return float(np.max(difference[known] / np.sqrt(variance[known]), initial=0.0))


def _birge_ratio(lengths: Uncertain, mean: Uncertain) -> float:
    """Return the factor that makes disagreeing measurements consistent (Birge 1932)."""
    spread = lengths.values - mean.values[0]
    differences = np.diff(np.eye(len(lengths)), axis=0)
    covariance = differences @ lengths.covariance @ differences.T
    scale = float(np.trace(covariance))
    if scale <= 0.0:
        return 1.0
    step = differences @ spread
    inverse = np.linalg.pinv(covariance / scale, rcond=1e-9, hermitian=True)
    chi2 = float(step @ inverse @ step) / scale
    dof = len(lengths) - 1
    return float(np.sqrt(max(chi2 / dof, 1.0))) if chdtrc(dof, chi2) < 0.05 else 1.0
