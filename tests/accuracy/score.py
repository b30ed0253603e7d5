"""How measured lengths compare with the truth."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from photomeasure.results import COVERAGE_FACTOR


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One measured length beside the truth.

    Attributes
    ----------
    photo : str
    true_mm, error_mm, u_mm : float
        Nominal length; measured less nominal; stated standard uncertainty.
    vouched : bool
        False if the result doubts its references or only assumes the lens.
    """

    photo: str
    true_mm: float
    error_mm: float
    u_mm: float
    vouched: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Score:
    """Summary of many readings.

    Attributes
    ----------
    count : int
    rms_mm, rms_percent : float
        Of the error.
    rms_of_u : float
        Of error per standard uncertainty; one is expected.
    coverage : float
        Share of 95 % intervals that hold the nominal length.
    half_width_percent : float
        Mean of half the 95 % interval, relative.
    worst_percent, worst_of_u : float
        Largest error, relative and per standard uncertainty (of other readings).
    """

    count: int
    rms_mm: float
    rms_percent: float
    rms_of_u: float
    coverage: float
    half_width_percent: float
    worst_percent: float
    worst_of_u: float


def summarise(readings: Sequence[Reading]) -> Score:
    """Return the score of readings.

    Parameters
    ----------
    readings : sequence of Reading
        At least one.

    Returns
    -------
    Score
    """
    error = np.array([reading.error_mm for reading in readings])
    true = np.array([reading.true_mm for reading in readings])
    u = np.array([reading.u_mm for reading in readings])
    relative = 100.0 * error / true
    return Score(
        count=len(readings),
        rms_mm=_rms(error),
        rms_percent=_rms(relative),
        rms_of_u=_rms(error / u),
        coverage=float(np.mean(np.abs(error) <= COVERAGE_FACTOR * u)),
        half_width_percent=float(np.mean(100.0 * COVERAGE_FACTOR * u / true)),
        worst_percent=float(np.max(np.abs(relative))),
        worst_of_u=float(np.max(np.abs(error / u))),
    )


def _rms(values: np.ndarray) -> float:
    return float(np.sqrt(np.mean(values**2)))
