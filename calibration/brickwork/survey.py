"""A candidate measured joint by joint, and brought to a result."""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from calibration.arrays import FloatArray
from calibration.brickwork.align import Alignment, align, spare
from calibration.brickwork.bonds import SHORT_UNIT, Bond, BondFit
from calibration.brickwork.joints import Joints
from calibration.brickwork.measure import fine_raster, measure_joints
from calibration.brickwork.raster import Level
from calibration.brickwork.result import Brickwork, Picks, Reading
from calibration.brickwork.search import Candidate
from calibration.brickwork.strip import PIXELS_A_COURSE
from calibration.brickwork.wallplane import PlaneFit, fit_plane

_FEWEST_BEDS = 8


@dataclass(frozen=True, slots=True, eq=False)
class Survey:
    """All joints of a candidate.

    Attributes
    ----------
    bond : BondFit
        By which the perpends were looked for.
    alignment : Alignment
    beds, perpends : Joints
    bed_px, perpend_px : (N, 2), (M, 2) float64
        Their places in the photo.
    fit : PlaneFit
        Plane and lens by all of them.
    light : float
        One where joints are lighter than the units, minus one where they are darker,
        zero where only changes of lightness were looked at.
    """

    bond: BondFit
    alignment: Alignment
    beds: Joints
    perpends: Joints
    bed_px: FloatArray
    perpend_px: FloatArray
    fit: PlaneFit
    light: float


_PATCH: Final = (8.0, 6.0)
"""Length and courses of a part of a wall; walls stray from a lattice over longer ways."""

_PATCH_PICKS: Final = 6
_PATCH_OFF: Final = 0.1
"""Courses; parts of right walls lie 0.02 to 0.05 off, 2 to 4 mm."""


def bent(along: FloatArray, number: FloatArray, residual: FloatArray) -> float:
    """Return the share of a wall's parts that lie off its lattice as a whole.

    Where a far part was counted one course wrong, plane and lens bend to fit it, and what
    lies between is off by up to half a course.

    Parameters
    ----------
    along : (N,) float64
        Of the bed joints' picks, courses.
    number : (N,) float64
        Their counts.
    residual : (N,) float64
        Off the lattice, courses.

    Returns
    -------
    float
        0..1; 0 if no part has picks enough.
    """
    cell = np.floor(np.c_[along, number] / _PATCH).astype(np.intp)
    _, part, count = np.unique(cell, axis=0, return_inverse=True, return_counts=True)
    off = [
        abs(float(np.median(residual[part.ravel() == n]))) > _PATCH_OFF
        for n in np.flatnonzero(count >= _PATCH_PICKS)
    ]
    return float(np.mean(off)) if off else 0.0


_DISPROVED: Final = 0.3
"""Bonds have 0.00 to 0.10 of their response where no perpend may be; half bond of half
their stretcher has 0.5 to 1."""


def without_disproved(candidate: Candidate) -> Candidate:
    """Return a candidate without longer bonds that have joints where none may be.

    Half bond of short units, headers as well as tiles, fits Flemish or English bond of
    twice their length nearly as well, in noise even better.

    Parameters
    ----------
    candidate : Candidate

    Returns
    -------
    Candidate
    """
    best = next(fit for fit in candidate.bonds if fit.bond is not Bond.ALIGNED)
    half = next(fit for fit in candidate.bonds if fit.bond is Bond.HALF)
    if best is half or half.unit >= SHORT_UNIT:
        return candidate
    if spare(candidate.perpends, align(candidate.perpends, best)) < _DISPROVED:
        return candidate
    left = [fit for fit in candidate.bonds if fit is half or fit.bond is Bond.ALIGNED]
    return replace(candidate, bonds=left)


def survey_joints(candidate: Candidate, levels: tuple[Level, ...]) -> Survey | None:
    """Measure all joints of a candidate.

    Parameters
    ----------
    candidate : Candidate
    levels : tuple of Level

    Returns
    -------
    Survey or None
        None if there are too few joints for a plane.
    """
    flat, down = candidate.flat, candidate.folded.joint_row / PIXELS_A_COURSE
    plane = candidate.plane.mapped(
        np.array([[1.0, 0.0, 0.0], [0.0, 1.0, -down], [0.0, 0.0, 1.0]])
    )
    bond = next(fit for fit in candidate.bonds if fit.bond is not Bond.ALIGNED)
    alignment = align(candidate.perpends, bond)
    height, width = flat.image.shape
    top = flat.v0 - down
    box = (
        flat.u0,
        top,
        flat.u0 + width / PIXELS_A_COURSE,
        top + height / PIXELS_A_COURSE,
    )
    raster = fine_raster(plane, levels, box, flat.inside, candidate.course_px)
    origin = np.array([flat.u0, flat.v0])
    beds, perpends = measure_joints(raster, alignment, origin, candidate.reach)
    if len(beds.number) < _FEWEST_BEDS or np.ptp(beds.number) < 2:
        return None
    bed_px, perpend_px = plane.pixels(beds.uv), plane.pixels(perpends.uv)
    u = perpends.number * alignment.length
    fit = fit_plane(plane, bed_px, beds.number, perpend_px, u)
    if fit is None:
        return None
    light = 0.0 if levels[0].slopes else candidate.folded.joint_sign
    return Survey(bond, alignment, beds, perpends, bed_px, perpend_px, fit, light)


def brickwork_of(
    candidate: Candidate,
    survey: Survey,
    readings: tuple[Reading, ...],
    evidence: dict[str, float],
) -> Brickwork:
    """Return what was measured, counted upwards and in stretchers.

    Parameters
    ----------
    candidate : Candidate
    survey : Survey
    readings : tuple of Reading
    evidence : dict of str to float

    Returns
    -------
    Brickwork
    """
    beds, perpends, fit = survey.beds, survey.perpends, survey.fit
    lowest = float(beds.number.max())
    stretchers = perpends.number * survey.alignment.length / readings[0].ratio
    size = candidate.course_px
    return Brickwork(
        plane=fit.plane,
        readings=readings,
        beds=Picks(
            survey.bed_px,
            lowest - beds.number,
            (lowest - beds.course).astype(np.intp),
            fit.bed_residual,
            fit.bed_sd * size,
            fit.bed_sd,
        ),
        perpends=Picks(
            survey.perpend_px,
            stretchers,
            (lowest - perpends.course - 1.0).astype(np.intp),
            fit.perpend_residual,
            fit.perpend_sd * size,
            fit.perpend_sd,
        ),
        course_px=size,
        courses=int(np.ptp(beds.number)),
        stretchers=int(np.ptp(stretchers)) if len(stretchers) else 0,
        evidence=evidence,
    )
