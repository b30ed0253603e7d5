"""What the references found so far are worth, in one sentence."""

from typing import Final

import numpy as np

from calibration.arrays import FloatArray
from photomeasure.display import Display, said_half, said_length
from photomeasure.job.schema import Role
from photomeasure.lengths import segment_lengths
from photomeasure.results import COVERAGE_FACTOR, MeasuredElevation, MeasuredLine
from photomeasure.tracing import place_on_wall

_TOLD: Final = (Role.EAVES, Role.FASCIA, Role.RAKE, Role.VERGE, Role.GUTTER)
"""What people ask for first."""

_TRIED_MM: Final = 8000.0
"""A usual eaves, to say what a scale is worth before a line is traced."""


def say_scale(entry: MeasuredElevation, display: Display = Display.MM) -> str:
    """Say how well lengths are known.

    Parameters
    ----------
    entry : MeasuredElevation
    display : Display, optional

    Returns
    -------
    str
        Of the longest traced roofline, or of a level line along the wall that nobody
        traced yet.
    """
    line = _longest(entry)
    if line is not None:
        role = str(line.role).replace("_", " ")
        return _sentence(line.length_mm, line.u_mm, role, display)
    tried = _tried(entry)
    if tried is None:
        return "The scale is known; trace a line to see how well."
    return _sentence(*tried, "level wall", display)


def _sentence(length_mm: float, u_mm: float, what: str, display: Display) -> str:
    half = said_half(COVERAGE_FACTOR * u_mm, display)
    return f"{said_length(length_mm, display)} of {what} to about ± {half}."


def _longest(entry: MeasuredElevation) -> MeasuredLine | None:
    told = [line for line in entry.measured if line.role in _TOLD]
    return max(told or entry.measured, key=lambda line: line.length_mm, default=None)


def _tried(entry: MeasuredElevation) -> tuple[float, float] | None:
    """Return length and uncertainty of a level line through the picked references."""
    solution = entry.solution
    picks = np.concatenate([r.picks_px for r in entry.elevation.references])
    seen = solution.camera.back_project(picks, np.zeros(len(picks))).xy_mm
    seen = seen[np.isfinite(seen).all(axis=1)]
    if len(seen) < 2:
        return None
    middle, half = seen.mean(axis=0), _TRIED_MM / 2.0
    half = min(half, float(np.ptp(seen, axis=0).max()) / 2.0)
    ends = np.array(
        [[middle[0] - half, middle[1], 0.0], [middle[0] + half, middle[1], 0.0]]
    )
    return _length(entry, solution.camera.project(ends))


def _length(entry: MeasuredElevation, ends_px: FloatArray) -> tuple[float, float] | None:
    pick_sd = float(np.mean([r.pick_sd_px for r in entry.elevation.references]))
    if not np.isfinite(ends_px).all():
        return None
    placed = place_on_wall(entry.solution, ends_px, pick_sd, "trial line")
    if placed is None:
        return None
    length = segment_lengths(placed)
    return float(length.values[0]), float(length.u[0])
