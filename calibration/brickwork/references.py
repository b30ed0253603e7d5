"""Brickwork as references of the adjustment: few picks, one gauge, honest scatter."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from calibration.arrays import FloatArray, IntArray
from calibration.brick_formats import BrickFormat
from calibration.brickwork.result import Brickwork, Picks
from calibration.references.courses import CountDirection, Courses

LADDERS: Final = 6
RUNGS: Final = 12
"""Picks kept: six ladders of twelve. Neighbours on one course share its error, so more
would only look more certain."""

PICK_SD_PX: Final = 0.25
"""Of one measured joint in the photo: measured on rendered walls (docs/accuracy.md)."""

LEAST_SD_MM: Final = 1.0
"""No wall is more regular. Common practice, no source."""

_OUTLIER: Final = 3.5
_WORST_CORRELATION: Final = 0.8
_FEWEST: Final = 4


@dataclass(frozen=True, slots=True)
class TapedCourses:
    """A run of courses measured with a tape, e.g. ten courses: 752 mm.

    Attributes
    ----------
    courses : int
        How many, > 0.
    length_mm, sd_mm : float
        From joint to joint, and its standard uncertainty.
    """

    courses: int
    length_mm: float
    sd_mm: float

    @property
    def gauge_mm(self) -> float:
        """Mean height of a course."""
        return self.length_mm / self.courses

    @property
    def gauge_sd_mm(self) -> float:
        """Its uncertainty: tape, and one joint's scatter at either end."""
        return float(np.hypot(self.sd_mm, np.sqrt(2.0) * LEAST_SD_MM)) / self.courses


def course_references(
    brickwork: Brickwork,
    entry: BrickFormat,
    key: str,
    taped: TapedCourses | None = None,
    pick_sd_px: float = PICK_SD_PX,
) -> tuple[Courses, ...]:
    """Return what the adjustment takes of a wall.

    Parameters
    ----------
    brickwork : Brickwork
        Read with the best reading.
    entry : BrickFormat
        As chosen or confirmed by the user.
    key : str
        Of the wall: references of one wall share their gauge by it.
    taped : TapedCourses, optional
        Narrows the gauge; the stretcher stays what the format says.
    pick_sd_px : float
        Of one pick.

    Returns
    -------
    tuple of Courses
        Bed joints, and perpends if enough were seen.
    """
    gauge = entry.gauge_mm if taped is None else taped.gauge_mm
    spread = entry.gauge_rel_sd * gauge if taped is None else taped.gauge_sd_mm
    found = [
        _courses(
            brickwork.beds,
            CountDirection.UP,
            gauge,
            spread,
            f"{key}: gauge",
            pick_sd_px,
            gauge,
        )
    ]
    if len(brickwork.perpends.number) >= _FEWEST:
        pitch = entry.stretcher_mm
        found.append(
            _courses(
                brickwork.perpends,
                CountDirection.ALONG,
                pitch,
                entry.stretcher_rel_sd * pitch,
                f"{key}: stretcher",
                pick_sd_px,
                gauge,
            )
        )
    return tuple(found)


def _courses(  # noqa: PLR0913, PLR0917  (one call each for beds and perpends)
    picks: Picks,
    direction: CountDirection,
    pitch_mm: float,
    pitch_sd_mm: float,
    key: str,
    pick_sd_px: float,
    gauge_mm: float,
) -> Courses:
    kept = thinned(picks, direction)
    sd_mm = max(LEAST_SD_MM, scatter(picks.residual[kept], picks.number[kept]) * gauge_mm)
    what = "bed joints" if direction is CountDirection.UP else "perpends"
    return Courses(
        name=f"{key} {what}",
        title=f"the {what} found in the photo",
        picks_px=picks.px[kept],
        pick_sd_px=pick_sd_px,
        counts=picks.number[kept] - float(np.round(picks.number[kept].min())),
        direction=direction,
        pitch_mm=pitch_mm,
        pitch_sd_mm=pitch_sd_mm,
        sd_mm=sd_mm,
        pitch_key=key,
    )


def thinned(picks: Picks, direction: CountDirection) -> IntArray:
    """Return the indices of picks spread evenly over the wall.

    Parameters
    ----------
    picks : Picks
    direction : CountDirection

    Returns
    -------
    (n,) int
        At most ``LADDERS * RUNGS``, outliers left out.
    """
    spread = picks.sd * _OUTLIER
    good = np.flatnonzero(np.abs(picks.residual) < max(spread, 1e-6))
    number = picks.number[good]
    across = (
        picks.px[good, 0]
        if direction is CountDirection.UP
        else picks.course[good].astype(np.float64)
    )
    rung = _cells(number, RUNGS)
    ladder = _cells(across, LADDERS)
    off = np.abs(rung - np.round(rung)) + np.abs(ladder - np.round(ladder))
    cell = np.round(rung).astype(int) * LADDERS + np.round(ladder).astype(int)
    order = np.lexsort((off, cell))
    first = np.r_[True, np.diff(cell[order]) != 0]
    return np.sort(good[order[first]])


def _cells(values: FloatArray, count: int) -> FloatArray:
    """Return values scaled so that whole numbers 0..count-1 are evenly spread."""
    span = float(np.ptp(values))
    if span == 0.0:
        return np.zeros(len(values))
    return np.asarray((values - values.min()) / span * (count - 1))


def scatter(residual: FloatArray, number: FloatArray) -> float:
    """Return a standard deviation that counts for as many picks as there are.

    Waves of a wall move neighbouring joints together; with correlation r between
    neighbours, n picks are worth ``n (1 - r) / (1 + r)``.

    Parameters
    ----------
    residual : (N,) float64
        Any unit.
    number : (N,) float64
        Counts; equal and neighbouring counts are neighbours.

    Returns
    -------
    float
        In the unit of the residuals.
    """
    order = np.argsort(number, kind="stable")
    r = residual[order] - residual.mean()
    power = float(r @ r) + 1e-12
    rho = float(np.clip(r[:-1] @ r[1:] / power, 0.0, _WORST_CORRELATION))
    sd = float(np.sqrt(power / max(len(r) - 1, 1)))
    return sd * float(np.sqrt((1.0 + rho) / (1.0 - rho)))
