"""How sure a reading is: refusals with their reasons, readings with their odds."""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from calibration.brick_formats import brick_format
from calibration.brickwork.bonds import Bond, BondFit
from calibration.brickwork.formats import RATIO_SD, RATIO_SD_FOCAL, formats_for
from calibration.brickwork.result import BondName, Reading
from calibration.brickwork.search import Candidate
from calibration.brickwork.survey import Survey
from calibration.errors import NoBrickwork
from calibration.priors import CameraPrior

SURE: Final = 0.95
"""At or above this a reading is used without asking."""

_LEAST_BREAK: Final = 0.10
_LEAST_AGREEMENT: Final = 0.30

PLAINER: Final = (
    "mark the brickwork by hand if there is any, or take the scale from something else"
)

_MARGIN_FLOOR: Final = 0.02


def refuse(candidate: Candidate) -> NoBrickwork | None:
    """Return why a candidate is no brickwork, or None if it may be.

    Parameters
    ----------
    candidate : Candidate

    Returns
    -------
    NoBrickwork or None
    """
    aligned = _of(candidate, Bond.ALIGNED)
    lap = _best_lap(candidate)
    if candidate.folded.break_ < _LEAST_BREAK:
        return NoBrickwork(_NO_BREAK, PLAINER)
    if aligned.agreement > lap.agreement + _MARGIN_FLOOR:
        return NoBrickwork(
            "the upright joints are in line from course to course and break no bond: "
            "tiles, panels or a fence",
            PLAINER,
        )
    if lap.agreement < _LEAST_AGREEMENT:
        return NoBrickwork(_NO_PERPENDS, PLAINER)
    return None


def gather(candidate: Candidate, survey: Survey) -> dict[str, float]:
    """Return the figures that a confidence rests on.

    Parameters
    ----------
    candidate : Candidate
    survey : Survey

    Returns
    -------
    dict of str to float
    """
    lap, aligned = _best_lap(candidate), _of(candidate, Bond.ALIGNED)
    others = [f for f in candidate.bonds if f.bond not in (Bond.ALIGNED, lap.bond)]
    folded, fit = candidate.folded, survey.fit
    return {
        "tiles": float(candidate.tiles),
        "course_px": candidate.course_px,
        "area": candidate.area_courses,
        "break": folded.break_,
        "break_half": folded.break_half / (folded.break_ + 1e-9),
        "agreement": lap.agreement,
        "unit": lap.unit,
        "height": lap.height,
        "lap": lap.agreement - aligned.agreement,
        "margin": lap.agreement - max(other.agreement for other in others),
        "coherence": survey.alignment.coherence,
        "beds": float(len(survey.beds.number)),
        "beds_found": survey.beds.found,
        "perpends": float(len(survey.perpends.number)),
        "perpends_found": survey.perpends.found,
        "bed_sd": fit.bed_sd,
        "perpend_sd": fit.perpend_sd,
        "courses": float(np.ptp(survey.beds.number)),
        "wide": float(np.ptp(survey.beds.uv[:, 0])),
        "thin": folded.thinness,
        "joint": folded.joint_contrast,
    }


def _of(candidate: Candidate, bond: Bond) -> BondFit:
    return next(fit for fit in candidate.bonds if fit.bond is bond)


def _best_lap(candidate: Candidate) -> BondFit:
    return next(fit for fit in candidate.bonds if fit.bond is not Bond.ALIGNED)


@dataclass(frozen=True, slots=True)
class Gate:
    """A figure that has to be on the right side of a bound.

    Attributes
    ----------
    bound : float
        Where the odds are even.
    step : float
        Change of the figure that multiplies the odds by e; negative for figures that
        have to be small.
    """

    bound: float
    step: float

    def chance(self, value: float) -> float:
        """Return the probability that the figure is good enough, 0..1."""
        return float(
            1.0 / (1.0 + np.exp(np.clip(-(value - self.bound) / self.step, -60, 60)))
        )


LEAST: Final = 0.05
"""Below this a reading is not even worth a question."""

GATES: Final[dict[str, Gate]] = {
    "break": Gate(0.17, 0.022),
    "agreement": Gate(0.52, 0.05),
    "lap": Gate(0.06, 0.02),
    "coherence": Gate(0.17, 0.03),
    "perpends_found": Gate(0.30, 0.06),
    "beds_found": Gate(0.45, 0.08),
    "bed_sd": Gate(0.17, -0.015),
    "perpend_sd": Gate(0.24, -0.02),
    "break_half": Gate(0.36, -0.03),
    "area": Gate(45.0, 8.0),
    "courses": Gate(3.0, 0.25),
}
"""Bounds between the walls read rightly and everything else in docs/accuracy.md; the
product of their chances is the confidence."""

_NO_BREAK = (
    "lines repeat in the photo, but nothing breaks off at them as bricks do at their bed "
    "joints: cladding, a blind, a fence or render"
)
_NO_PERPENDS = (
    "courses repeat, but no regular upright joints between them: rubble, cladding, or "
    "brickwork too small in the photo"
)
_IRREGULAR = "what repeats in the photo is not regular enough for courses of bricks"
_TOO_FEW = "too few bricks are seen to be counted"

_REASONS: Final[dict[str, str]] = {
    "break": _NO_BREAK,
    "agreement": _NO_PERPENDS,
    "lap": _NO_PERPENDS,
    "coherence": _NO_PERPENDS,
    "perpends_found": _NO_PERPENDS,
    "beds_found": _IRREGULAR,
    "bed_sd": _IRREGULAR,
    "perpend_sd": _NO_PERPENDS,
    "break_half": _IRREGULAR,
    "area": _TOO_FEW,
    "courses": _TOO_FEW,
}


def doubt(evidence: dict[str, float]) -> NoBrickwork:
    """Return the refusal that names what speaks most against brickwork.

    Parameters
    ----------
    evidence : dict of str to float
        Of :func:`gather`.

    Returns
    -------
    NoBrickwork
    """
    worst = min(GATES, key=lambda name: GATES[name].chance(evidence[name]))
    return NoBrickwork(_REASONS[worst], PLAINER)


_SHARPNESS: Final = 80.0
"""Odds between two bonds by their agreements: 0.05 apart is 50 to 1."""

_LOOK_ALIKES: Final = 0.5
"""Chance that short units in half bond are bricks: plain tiles, slates and ashlar are
laid so too. Common practice, no source."""

SHORT_UNIT: Final = 2.2
"""Half bond of shorter units, in courses, may be tiles, slates, ashlar, blocks or
header bond: only the user can tell."""

_SHORT_ODDS: Final = 3.0
"""Odds of tiles, slates and header bond together against Flemish or English bond, when
the perpends tell no difference. Common practice, no source."""

_LONGEST_HEADER: Final = 2.1
"""Headers of a brick four courses long, with a margin; no longer ones are laid."""


def judge(
    candidate: Candidate,
    evidence: dict[str, float],
    camera: CameraPrior,
    format_name: str | None,
) -> tuple[Reading, ...]:
    """Return the readings of a wall, the likeliest first; none if it is like no brick.

    Parameters
    ----------
    candidate : Candidate
    evidence : dict of str to float
        Of :func:`gather`.
    camera : CameraPrior
    format_name : str or None
        If the user knows it.

    Returns
    -------
    tuple of Reading
        At most two.
    """
    ratio_sd = RATIO_SD if camera.focal_known else RATIO_SD_FOCAL
    chance = float(np.prod([gate.chance(evidence[name]) for name, gate in GATES.items()]))
    found: list[tuple[float, Reading]] = []
    total = 0.0
    for fit in candidate.bonds:
        weight = float(np.exp(_SHARPNESS * (fit.agreement - evidence["agreement"])))
        if fit.bond is Bond.HALF and fit.unit < SHORT_UNIT:
            weight *= _SHORT_ODDS
        total += weight * (fit.bond is not Bond.ALIGNED)
        for bond, ratio, doubt in _names(fit, told=format_name is not None):
            names = tuple(entry.name for entry in formats_for(ratio, ratio_sd))
            if format_name is not None:
                names = tuple(n for n in names if n == brick_format(format_name).name)
            if names:
                found.append((weight * doubt, Reading(bond, ratio, 1.0, 0.0, names)))
    found.sort(key=lambda entry: -entry[0])
    return tuple(
        replace(reading, confidence=chance * weight / total)
        for weight, reading in found[:2]
    )


def _names(fit: BondFit, *, told: bool) -> list[tuple[BondName, float, float]]:
    """Return what a bricklayer may call a bond, stretcher against gauge, and its chance."""
    if fit.bond is Bond.ALIGNED:
        return []
    sure = 1.0 if told or fit.unit > SHORT_UNIT else _LOOK_ALIKES
    if fit.bond is Bond.FLEMISH:
        return [(BondName.FLEMISH, fit.unit, sure)]
    if fit.bond is Bond.ENGLISH:
        return [(BondName.ENGLISH, fit.unit, sure)]
    if fit.unit > SHORT_UNIT:
        return [(BondName.STRETCHER, fit.unit, sure)]
    names = [(BondName.STRETCHER, fit.unit, sure)]
    if fit.unit < _LONGEST_HEADER:
        names.append((BondName.HEADER, 2.0 * fit.unit, sure))
    return names
