"""What a person has to know beside the numbers, in words they can act on."""

from collections.abc import Sequence
from typing import Final

import numpy as np

from calibration.camera import CameraUnknown
from calibration.priors import usual_k1_sd
from calibration.references import Courses
from calibration.reliability import ReferenceReport
from calibration.snooping import UNCHECKED, Finding
from calibration.solution import Solution
from photomeasure.job.build import Elevation
from photomeasure.results import (
    CombinedLine,
    Gable,
    MeasuredLine,
    RefusedLine,
)

ALWAYS: Final = (
    "Lengths are measured from photographs: tape each one before you cut.",
    "Work at height, overhead lines, traffic and boards that may hold asbestos can "
    "kill: follow local rules and leave licensed work to those who hold the licence.",
)
"""Printed with every result."""

OBLIQUE_RAD: Final = float(np.radians(50.0))
"""A wall seen more obliquely shows its far end too small to pick well."""

_PLURAL: Final = ("courses", "points")
"""Kinds whose usual titles are plural: the brick courses, the wall points."""

_UNSEEN_LENS: Final = 0.8
"""Share of its prior's spread that the distortion keeps when the references are silent."""

_SAME_W: Final = 0.4
"""Standardised residuals this close cannot say which of two references is wrong."""


def disagreements(solution: Solution) -> tuple[str, ...]:
    """Return what the references say against each other.

    Parameters
    ----------
    solution : Solution

    Returns
    -------
    tuple of str
        Empty if they agree.
    """
    reliability = solution.reliability
    suspects = reliability.suspects
    said = [_accusation(solution, report) for report in suspects]
    if len(suspects) > 1 and _equally_guilty(suspects[0], suspects[1]):
        said.append(
            f"Which of {suspects[0].title} and {suspects[1].title} is wrong cannot be "
            "told from these references: check both, or add a third size."
        )
    if not reliability.passed:
        said.append(
            "The references do not fit together as well as their uncertainties state "
            f"(variance factor {reliability.variance_factor:.1f}), so every interval was "
            f"widened {solution.inflation:.1f} times."
        )
    return tuple(said)


def _equally_guilty(a: ReferenceReport, b: ReferenceReport) -> bool:
    if a.worst is None or b.worst is None:
        return False
    both_sizes = a.worst.what == b.worst.what == "size"
    return both_sizes and abs(abs(a.worst.w) - abs(b.worst.w)) < _SAME_W


def _accusation(solution: Solution, report: ReferenceReport) -> str:
    finding = report.worst
    if finding is None:
        return ""
    if finding.what == "size":
        more = "more" if finding.excess > 0.0 else "less"
        says = "say" if report.kind in _PLURAL else "says"
        rest = _others(solution, report)
        text = f"{report.title} {says} {abs(finding.excess):.1%} {more} than {rest}"
    elif finding.what == "pick" and finding.pick is not None:
        text = _wrong_pick(solution, report, finding)
    else:
        text = f"{report.title} is {abs(finding.estimate):.0f} mm out of true"
    return (
        f"{text[:1].upper()}{text[1:]} (standardised residual {finding.w:+.1f}): check it."
    )


def _wrong_pick(solution: Solution, report: ReferenceReport, finding: Finding) -> str:
    place = (finding.pick or 0) + 1
    off = abs(finding.estimate)
    text = f"pick {place} of {report.title} is {off:.0f} mm off its place"
    reference = next(r for r in solution.network.references if r.name == report.name)
    if isinstance(reference, Courses):
        courses = off / reference.pitch_mm
        if abs(courses - round(courses)) < 0.2 and round(courses) >= 1:
            text += f", as if miscounted by {round(courses)}"
    return text


def _others(solution: Solution, report: ReferenceReport) -> str:
    """Name the other reference that states a size, if there is just one."""
    titles = {
        other.title
        for other in solution.reliability.references
        if other.size is not None and other.name != report.name
    }
    return titles.pop() if len(titles) == 1 else "the other references"


def unchecked_scale(solution: Solution) -> tuple[str, ...]:
    """Say so if no second size checks the scale."""
    sizes = [report for report in solution.reliability.references if report.size]
    if any(report.size and report.size.checked > UNCHECKED for report in sizes):
        return ()
    stating = [report.title for report in sizes]
    named = " and ".join(stating) if stating else "one reference"
    return (
        f"Nothing checks the scale: a mistake in {named} would go unnoticed. Add a "
        "second size.",
    )


def about_view(elevation: Elevation, solution: Solution) -> tuple[str, ...]:
    """Return doubts about the photo and how it was taken."""
    said = list(elevation.advice)
    if abs(solution.camera.yaw_rad) > OBLIQUE_RAD:
        said.append(
            f"The wall is seen {np.degrees(abs(solution.camera.yaw_rad)):.0f}° from the "
            "side: a photo from further round would measure better."
        )
    if _lens_unseen(solution):
        said.append(
            "The lens was taken for a phone's, which bends a photo's corners by 1 or 2 %; "
            "little here checks that. Pick three points or more along a long straight "
            "edge near the rim, an eaves or a quoin."
        )
    if solution.network.swing_rad is not None:
        said.append(
            "Nothing in the picture says what is level, so pitches and heights lean on "
            "how the camera was held."
        )
    return tuple(said)


def _lens_unseen(solution: Solution) -> bool:
    """Return whether neither photo nor job nor references say anything of the lens."""
    prior = solution.network.camera
    freed = prior.k1_sd > 2.0 * usual_k1_sd(prior)
    if prior.focal_known or prior.lens_stated or prior.k1 != 0.0 or freed:
        return False
    root = solution.adjustment.cofactor_root[CameraUnknown.K1]
    return float(np.linalg.norm(root)) > _UNSEEN_LENS * usual_k1_sd(prior)


def about_lines(
    lines: Sequence[MeasuredLine | RefusedLine], gables: Sequence[Gable]
) -> tuple[str, ...]:
    """Return doubts about single lines."""
    said = [
        f"{line.name}: nobody said how far it hangs in front of the wall, so "
        f"{line.trace.hanging.mean_mm:.0f} mm "
        f"+- {line.trace.hanging.sd_mm:.0f} was assumed: trace the soffit or state it."
        for line in lines
        if isinstance(line, MeasuredLine) and line.trace.hanging.assumed
    ]
    said += [
        f"No length for {line.reason}" for line in lines if isinstance(line, RefusedLine)
    ]
    for gable in gables:
        said += [
            f"{check.name} is {check.traced_mm:.0f} mm along its edge but "
            f"{check.half_span_mm:.0f} mm by half span and pitch: the apex is off the "
            "middle or a pick is wrong."
            for check in gable.checks
            if not check.agrees
        ]
    return tuple(said)


def about_photos(combined: Sequence[CombinedLine]) -> tuple[str, ...]:
    """Return lines on which the photos disagree."""
    return tuple(
        f"{line.name}: the photos disagree ({', '.join(line.elevations)}); the interval "
        "was widened to hold both."
        for line in combined
        if not line.agrees
    )
