"""How sure a reading is: refusals with their reasons, readings with their odds."""

from dataclasses import replace
from typing import Final

import numpy as np

from calibration.brick_formats import brick_format
from calibration.brickwork.align import Alignment, spare
from calibration.brickwork.bonds import SHORT_UNIT, Bond, BondFit
from calibration.brickwork.formats import RATIO_SD, RATIO_SD_FOCAL, formats_for
from calibration.brickwork.odds import (
    FINE_JOINT,
    GATES,
    chance,
    no_stone,
    no_tiles,
    weakest,
)
from calibration.brickwork.result import BondName, Reading
from calibration.brickwork.search import Candidate
from calibration.brickwork.survey import Survey, bent
from calibration.errors import NoBrickwork
from calibration.priors import CameraPrior

SURE: Final = 0.95
"""At or above this a reading is used without asking."""

_LEAST_BREAK: Final = 0.10
_LEAST_AGREEMENT: Final = 0.30
_PLAIN_BOND: Final = 0.55
"""Where perpends keep a bond so well, courses too small to break off are offered."""

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
    plain_bond = lap.agreement > _PLAIN_BOND
    if candidate.folded.break_ < _LEAST_BREAK and not plain_bond:
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
    half = _of(candidate, Bond.HALF)
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
        "margin": lap.agreement - max((o.agreement for o in others), default=0.0),
        "short": half.agreement if half.unit < SHORT_UNIT else 0.0,
        "spare": spare(candidate.perpends, survey.alignment),
        "coherence": survey.alignment.coherence,
        "phase": _beyond_chance(survey.alignment),
        "beds": float(len(survey.beds.number)),
        "beds_found": survey.beds.found,
        "perpends": float(len(survey.perpends.number)),
        "perpends_found": survey.perpends.found,
        "bed_sd": fit.bed_sd,
        "perpend_sd": fit.perpend_sd,
        "courses": float(np.ptp(survey.beds.number)),
        "below": _below_eye(survey),
        "wide": float(np.ptp(survey.beds.uv[:, 0])),
        "thin": folded.thinness,
        "joint": folded.joint_contrast,
        "broken": candidate.perpends.broken,
        "lean_deg": float(np.degrees(abs(fit.plane.lean_rad))),
        "bed_width": survey.beds.width,
        "perpend_width": survey.perpends.width,
        "light": survey.light,
        "bent": bent(survey.beds.uv[:, 0], survey.beds.number, fit.bed_residual),
    }


_LOWEST: Final = 98.0
"""Per cent of the joints that lie above what counts as the lowest seen."""


def _below_eye(survey: Survey) -> float:
    """Return how many courses are seen below the height of the camera."""
    u, v = survey.beds.uv.T
    level = survey.fit.plane.eye_level(float(np.median(u)))
    return float(np.percentile(v, _LOWEST)) - level


_NO_PHASE: Final = 0.1


def _beyond_chance(alignment: Alignment) -> float:
    """Return the logarithm of a coherence against that of chance: 0 is nothing at all."""
    beyond = alignment.coherence * np.sqrt(alignment.blocks)
    return float(np.log(max(beyond, _NO_PHASE)))


def _of(candidate: Candidate, bond: Bond) -> BondFit:
    return next(fit for fit in candidate.bonds if fit.bond is bond)


def _best_lap(candidate: Candidate) -> BondFit:
    return next(fit for fit in candidate.bonds if fit.bond is not Bond.ALIGNED)


LEAST: Final = 0.05
"""Below this a reading is not even worth a question."""

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

_LEANS = (
    "what repeats in the photo leans away like a roof or the ground, or is seen from too "
    "far aside"
)
_SHORTER = (
    "the upright joints are those of tiles or slates in half bond rather than of bricks"
)

_REASONS: Final[dict[str, str]] = {
    "break": _NO_BREAK,
    "agreement": _NO_PERPENDS,
    "lap": _NO_PERPENDS,
    "phase": _NO_PERPENDS,
    "perpends_found": _NO_PERPENDS,
    "beds_found": _IRREGULAR,
    "bed_sd": _IRREGULAR,
    "perpend_sd": _NO_PERPENDS,
    "break_half": _IRREGULAR,
    "courses": _TOO_FEW,
    "lean_deg": _LEANS,
    "spare": _SHORTER,
    "bent": _IRREGULAR,
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
    return NoBrickwork(_REASONS[weakest(evidence)], PLAINER)


_SHARPNESS: Final = 80.0
"""Odds between two bonds by their agreements: 0.05 apart is 50 to 1."""

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
    told = None if format_name is None else brick_format(format_name).name
    sure = chance(evidence, told=told is not None)
    found: list[tuple[float, Reading]] = []
    total = 0.0
    for fit in candidate.bonds:
        weight = _weight(fit, evidence)
        ways = _ways(fit, evidence, ratio_sd, told)
        if told is not None and not ways:
            weight *= _AGAINST_TOLD
        total += weight
        found += [(weight * brick, reading) for brick, reading in ways]
    found.sort(key=lambda entry: -entry[0])
    return tuple(
        replace(reading, confidence=sure * _counted(found, place) / total)
        for place, (_, reading) in enumerate(found[:2])
    )


_AGAINST_TOLD: Final = 0.05
"""Odds that a bond is there which no brick of the format that the user told has: people
know their brick, and one in twenty takes it for another. Common practice, no source."""


def _weight(fit: BondFit, evidence: dict[str, float]) -> float:
    """Return the odds of a bond against the best one, look-alikes of it included."""
    if fit.bond is Bond.ALIGNED:
        return 0.0
    weight = float(np.exp(_SHARPNESS * (fit.agreement - evidence["agreement"])))
    if fit.bond is not Bond.HALF or fit.unit >= SHORT_UNIT:
        return weight
    weight *= _SHORT_ODDS
    if evidence["unit"] < SHORT_UNIT:
        return weight
    # a longer bond is best, and nothing stands where short units would have joints
    return weight * (1.0 - GATES["spare"].chance(evidence["spare"]))


_SAME_RATIO: Final = 0.02
"""Two bonds whose stretchers are as long give the same counts: Flemish or English."""


def _counted(found: list[tuple[float, Reading]], place: int) -> float:
    """Return the weight of a reading, the best with all that count as it does."""
    weight, best = found[place]
    if place:
        return weight
    near = _SAME_RATIO * best.ratio
    return float(sum(w for w, other in found if abs(other.ratio - best.ratio) < near))


def _ways(
    fit: BondFit, evidence: dict[str, float], ratio_sd: float, told: str | None
) -> list[tuple[float, Reading]]:
    """Return how a bond may be understood, each with its chance to be of bricks."""
    ways = []
    for bond, ratio in _names(fit):
        names = tuple(entry.name for entry in formats_for(ratio, ratio_sd))
        if told is not None:
            names = tuple(name for name in names if name == told)
        if names:
            ways.append(Reading(bond, ratio, 1.0, 0.0, names))
    if told is not None:
        return [(1.0, way) for way in ways]
    mixed, light = fit.bond is not Bond.HALF, evidence["light"]
    short = not mixed and fit.unit <= SHORT_UNIT
    seen = evidence["courses"], evidence["below"]
    bricks = no_stone(*seen, light, short=short, mixed=mixed)
    if len(ways) < _BOTH:
        bricks *= no_tiles(light) if short else 1.0
        return [(bricks, way) for way in ways]
    bricks *= no_tiles(_ANY_SHADE)
    header = 0.5 * FINE_JOINT.chance(evidence["bed_width"])
    return [
        (bricks * (header if way.bond is BondName.HEADER else 1.0 - header), way)
        for way in ways
    ]


_BOTH: Final = 2
"""Half bond of two to one may be either stretchers or headers."""

_ANY_SHADE: Final = 0.0
"""Glazed tiles two to one have light grout."""


def _names(fit: BondFit) -> list[tuple[BondName, float]]:
    """Return what a bricklayer may call a bond, with stretcher against gauge."""
    if fit.bond is Bond.ALIGNED:
        return []
    if fit.bond is Bond.FLEMISH:
        return [(BondName.FLEMISH, fit.unit)]
    if fit.bond is Bond.ENGLISH:
        return [(BondName.ENGLISH, fit.unit)]
    names = [(BondName.STRETCHER, fit.unit)]
    if fit.unit < _LONGEST_HEADER:
        names.append((BondName.HEADER, 2.0 * fit.unit))
    return names
