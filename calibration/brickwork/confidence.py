"""How sure a reading is: refusals with their reasons, readings with their odds."""

from typing import Final

import numpy as np

from calibration.brick_formats import FORMATS, brick_format
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
        return NoBrickwork(
            "lines repeat in the photo, but nothing breaks off at them as bricks do at "
            "their bed joints: cladding, a blind, a fence or render",
            PLAINER,
        )
    if aligned.agreement > lap.agreement + _MARGIN_FLOOR:
        return NoBrickwork(
            "the upright joints are in line from course to course and break no bond: "
            "tiles, panels or a fence",
            PLAINER,
        )
    if lap.agreement < _LEAST_AGREEMENT:
        return NoBrickwork(
            "courses repeat, but no regular upright joints between them: rubble, "
            "cladding, or brickwork too small in the photo",
            PLAINER,
        )
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
        "beds_found": len(survey.beds.number) / max(survey.beds.tried, 1),
        "perpends": float(len(survey.perpends.number)),
        "perpends_found": len(survey.perpends.number) / max(survey.perpends.tried, 1),
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


WEIGHTS: Final[dict[str, float]] = {}


def _odds(evidence: dict[str, float]) -> float:
    """Return the logarithm of the odds that the count is right."""
    return 0.0


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
    chance = float(1.0 / (1.0 + np.exp(-_odds(evidence))))
    found = []
    for fit in candidate.bonds:
        for bond, ratio in _names(fit):
            names = [entry.name for entry in formats_for(ratio, ratio_sd)]
            if format_name is not None:
                names = [name for name in names if name == brick_format(format_name).name]
            if names:
                weight = float(np.exp(_SHARPNESS * (fit.agreement - evidence["agreement"])))
                weight *= _USUAL[bond]
                found.append((weight, bond, ratio, tuple(names)))
    total = sum(entry[0] for entry in found)
    found.sort(key=lambda entry: -entry[0])
    return tuple(
        Reading(bond, ratio, 1.0, chance * weight / total, names)
        for weight, bond, ratio, names in found[:2]
    )


_SHARPNESS: Final = 60.0
_USUAL: Final[dict[BondName, float]] = {
    BondName.STRETCHER: 1.0,
    BondName.FLEMISH: 1.0,
    BondName.ENGLISH: 1.0,
    BondName.HEADER: 0.2,
}
_ = FORMATS


def _names(fit: BondFit) -> list[tuple[BondName, float]]:
    """Return what a bricklayer may call a bond, with stretcher against gauge."""
    if fit.bond is Bond.HALF:
        return [(BondName.STRETCHER, fit.unit), (BondName.HEADER, 2.0 * fit.unit)]
    if fit.bond is Bond.FLEMISH:
        return [(BondName.FLEMISH, fit.unit)]
    if fit.bond is Bond.ENGLISH:
        return [(BondName.ENGLISH, fit.unit)]
    return []
