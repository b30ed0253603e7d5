"""From a photo to counted courses: search, look, measure, and say how sure."""

from collections.abc import Iterator
from typing import Final

import numpy as np
from numpy.typing import NDArray

from calibration.arrays import FloatArray
from calibration.brick_formats import brick_format as known_format
from calibration.brickwork.bonds import Bond
from calibration.brickwork.confidence import LEAST, SURE, doubt, gather, judge, refuse
from calibration.brickwork.raster import Level, edges, grey, pyramid
from calibration.brickwork.result import Brickwork
from calibration.brickwork.search import Candidate, Region, candidates
from calibration.brickwork.survey import (
    brickwork_of,
    survey_joints,
    without_disproved,
)
from calibration.brickwork.wallplane import View
from calibration.errors import NoBrickwork
from calibration.priors import CameraPrior

FIRST_AREA_PX: Final = 1.1e6
SECOND_AREA_PX: Final = 4.2e6
"""The search begins on small copies of the photo and takes larger ones only if it has
to: courses of 5 pixels are lost on a copy."""

_LOOKS: Final = 4
"""Candidates looked at on each round."""

_SMALLEST_SIDE_PX: Final = 64

_TAP: Final = 0.12
"""Half-width of the neighbourhood of a tap, of the photo's longer side."""

_DECISIVE_BREAK: Final = 0.25
_DECISIVE_AGREEMENT: Final = 0.75

CLOSER: Final = "go closer, or stand where more of the plain brickwork is seen"


def read_brickwork(
    pixels: NDArray[np.uint8],
    camera: CameraPrior,
    box_px: tuple[float, float, float, float] | None = None,
    brick_format: str | None = None,
) -> Brickwork:
    """Find the brickwork of a photo and count its courses.

    Parameters
    ----------
    pixels : (H, W, 3) or (H, W) uint8
        Upright photo, RGB or grey.
    camera : CameraPrior
        What is known of the camera.
    box_px : tuple of float, optional
        Left, top, right, bottom of a rough region of brickwork; see :func:`around`
        for a tap.
    brick_format : str, optional
        Name of the format if the user knows it.

    Returns
    -------
    Brickwork
        With its confidence; below :data:`~calibration.brickwork.confidence.SURE`
        it is to be shown as a question.

    Raises
    ------
    NoBrickwork
        If nothing in the photo can be counted, with the reason.
    UnknownName
        If there is no such format.
    """
    best: Brickwork | None = None
    reason = NoBrickwork("nothing in the photo repeats like courses", CLOSER)
    for outcome in outcomes(pixels, camera, box_px, brick_format):
        if isinstance(outcome, NoBrickwork):
            reason = outcome
        elif best is None or outcome.best.confidence > best.best.confidence:
            best = outcome
        if best is not None and best.best.confidence >= SURE:
            return best
    if best is None:
        raise reason
    return best


def outcomes(
    pixels: NDArray[np.uint8],
    camera: CameraPrior,
    box_px: tuple[float, float, float, float] | None = None,
    brick_format: str | None = None,
) -> Iterator[Brickwork | NoBrickwork]:
    """Yield what comes of each wall that is looked at, the likeliest first.

    Parameters
    ----------
    pixels, camera, box_px, brick_format
        As of :func:`read_brickwork`.

    Yields
    ------
    Brickwork or NoBrickwork
        The refusal says why a candidate is none.
    """
    if brick_format is not None:
        known_format(brick_format)
    view = view_of(camera)
    region = None if box_px is None else Region(box_px)
    for levels, search in rounds(pyramid(grey(pixels), _SMALLEST_SIDE_PX)):
        found, refused = ranked(view, levels, search, region)
        if refused is not None:
            yield refused
        for candidate in found[:2]:
            yield _read(candidate, levels, camera, brick_format)


def view_of(camera: CameraPrior) -> View:
    """Return the camera as the brickwork sees it."""
    return View(
        focal_px=camera.focal_px,
        centre_px=camera.centre_px,
        k1=camera.k1,
        k2=camera.k2,
        k1_sd=camera.k1_sd,
    )


def around(
    tap_px: tuple[float, float], size_px: FloatArray
) -> tuple[float, float, float, float]:
    """Return the box to look in about a tap."""
    reach = _TAP * float(np.max(size_px))
    x, y = tap_px
    return x - reach, y - reach, x + reach, y + reach


def rounds(
    levels: tuple[Level, ...],
) -> Iterator[tuple[tuple[Level, ...], list[Level]]]:
    """Yield pyramids and the levels of them to search, the quick ones first.

    Parameters
    ----------
    levels : tuple of Level

    Yields
    ------
    tuple of Level
        The pyramid to look at.
    list of Level
        What of it to search.
    """
    small = [level for level in levels if level.image.size <= FIRST_AREA_PX]
    middle = [
        level for level in levels if FIRST_AREA_PX < level.image.size <= SECOND_AREA_PX
    ]
    large = [level for level in levels if level.image.size > SECOND_AREA_PX]
    yield levels, small
    if middle:
        yield levels, middle
    lines = edges((*middle, *small))
    yield lines, [level for level in lines if level.image.size <= FIRST_AREA_PX]
    if middle:
        yield lines, list(lines[: len(middle)])
    if large:
        yield levels, large


def ranked(
    view: View, levels: tuple[Level, ...], search: list[Level], region: Region | None
) -> tuple[list[Candidate], NoBrickwork | None]:
    """Return candidates, the best first, and a refusal; stop early at one that is plain.

    Parameters
    ----------
    view : View
    levels : tuple of Level
    search : list of Level
    region : Region or None

    Returns
    -------
    list of Candidate
    NoBrickwork or None
        Why something else that repeats is no wall.
    """
    found: list[Candidate] = []
    refused = None
    for candidate in candidates(view, levels, search, region):
        if isinstance(candidate, NoBrickwork):
            refused = candidate
            continue
        found.append(candidate)
        bond = candidate.bonds[0]
        plain = (
            candidate.folded.break_ > _DECISIVE_BREAK
            and bond.bond is not Bond.ALIGNED
            and bond.agreement > _DECISIVE_AGREEMENT
        )
        if plain or len(found) == _LOOKS:
            break
    return sorted(found, key=lambda candidate: -candidate.merit), refused


def _read(
    candidate: Candidate,
    levels: tuple[Level, ...],
    camera: CameraPrior,
    brick_format: str | None,
) -> Brickwork | NoBrickwork:
    """Measure a candidate, or say why it is no brickwork."""
    refusal = refuse(candidate)
    if refusal is not None:
        return refusal
    candidate = without_disproved(candidate)
    survey = survey_joints(candidate, levels)
    if survey is None:
        return NoBrickwork("what repeats in the photo has no joints to measure", CLOSER)
    evidence = gather(candidate, survey)
    readings = judge(candidate, evidence, camera, brick_format)
    if not readings:
        return NoBrickwork(
            f"the units are {candidate.bonds[0].unit:.1f} times as long as high, like "
            "no brick or block",
            CLOSER,
        )
    if readings[0].confidence < LEAST:
        return doubt(evidence)
    return brickwork_of(candidate, survey, readings, evidence)
