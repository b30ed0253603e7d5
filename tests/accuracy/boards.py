"""Measure the rest of a board from a part of it, on real photographs.

``python -m tests.accuracy.boards`` prints the tables of docs/accuracy.md. Each job is
a job document that goes the way of a user's: checked, calibrated, measured.
"""

import sys
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from calibration.camera import CameraUnknown
from calibration.solution import Solution
from photomeasure.job.load import job_from_document
from photomeasure.measure import measure_job
from photomeasure.results import MeasuredElevation, RefusedElevation, RefusedLine
from tests.accuracy.board_jobs import (
    BY_HAND,
    CORNER_SD_PX,
    LIMITS,
    PARTS,
    VARIANTS,
    Corner,
    Variant,
    job,
    true_length_mm,
    whole_board,
)
from tests.accuracy.chessboards import (
    FOLDER,
    NAMES,
    WIDE_WINDOW_PX,
    WINDOW_PX,
    corner_noise_px,
    find_board,
)
from tests.accuracy.score import Reading, Score, summarise

Case = tuple[str, Corner]

ALL_CASES: Final = tuple((name, part) for name in NAMES for part in PARTS)
"""Every photo with every quarter as reference."""

ONE_EACH: Final = tuple((name, PARTS[i % len(PARTS)]) for i, name in enumerate(NAMES))
"""Every photo once, the quarters in turn."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lens:
    """The lens that one job found.

    Attributes
    ----------
    photo : str
    focal_px, focal_sd_px : float
    radial : tuple of float
        k1 and k2.
    radial_covariance : (2, 2) float64
    """

    photo: str
    focal_px: float
    focal_sd_px: float
    radial: tuple[float, float]
    radial_covariance: np.ndarray

    def displacement(self, radius: float) -> tuple[float, float]:
        """Return the relative radial displacement at a radius, and its sd."""
        powers = np.array([radius**2, radius**4])
        variance = powers @ self.radial_covariance @ powers
        return float(powers @ np.array(self.radial)), float(np.sqrt(variance))


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What a variant gave on many photos.

    Attributes
    ----------
    jobs : int
    readings : tuple of Reading
    lenses : tuple of Lens
    refused : dict of str to int
        Reasons of refused photos and lines.
    doubted : int
        Measured jobs whose references were said to disagree.
    warned : int
        Measured jobs whose lens was said to be an assumption.
    """

    jobs: int
    readings: tuple[Reading, ...]
    lenses: tuple[Lens, ...]
    refused: dict[str, int]
    doubted: int
    warned: int

    @property
    def vouched(self) -> tuple[Reading, ...]:
        """Readings of results that doubt nothing."""
        return tuple(reading for reading in self.readings if reading.vouched)

    @property
    def score(self) -> Score:
        """Summary of the readings."""
        return summarise(self.readings)

    def by_photo(self) -> dict[str, Score]:
        """Return the summary of each photo's readings."""
        names = dict.fromkeys(reading.photo for reading in self.readings)
        return {
            name: summarise([r for r in self.readings if r.photo == name]) for name in names
        }


def measured(document: dict[str, Any]) -> MeasuredElevation | RefusedElevation:
    """Measure a job document of one elevation."""
    (elevation,) = measure_job(job_from_document(document, FOLDER)).elevations
    return elevation


def run(
    variant: Variant, cases: Sequence[Case] = ONE_EACH, window_px: int = WINDOW_PX
) -> Outcome:
    """Measure boards as a variant says.

    Parameters
    ----------
    variant : Variant
    cases : sequence of (name, part)
    window_px : int
        Of the corner search.

    Returns
    -------
    Outcome
        Seeded by photo and part, whatever the other cases.
    """
    readings: list[Reading] = []
    lenses: list[Lens] = []
    refused: Counter[str] = Counter()
    doubted = warned = 0
    for name, part in cases:
        seed = len(PARTS) * NAMES.index(name) + PARTS.index(part)
        elevation = measured(job(find_board(name, window_px), variant, part, seed))
        if isinstance(elevation, RefusedElevation):
            refused[type(elevation.error).__name__] += 1
            continue
        refused["line"] += sum(isinstance(line, RefusedLine) for line in elevation.lines)
        readings += _readings(name, elevation)
        lenses.append(_lens(name, elevation.solution))
        doubted += is_doubted(elevation)
        warned += is_warned(elevation)
    return Outcome(
        jobs=len(cases),
        readings=tuple(readings),
        lenses=tuple(lenses),
        refused={reason: count for reason, count in refused.items() if count},
        doubted=doubted,
        warned=warned,
    )


def is_doubted(elevation: MeasuredElevation) -> bool:
    """Return whether the result says that its references disagree."""
    reliability = elevation.solution.reliability
    return bool(reliability.suspects) or not reliability.passed


def is_warned(elevation: MeasuredElevation) -> bool:
    """Return whether the result says that its lens is an assumption."""
    return any("lens was taken" in said for said in elevation.cautions)


def _readings(name: str, elevation: MeasuredElevation) -> Iterable[Reading]:
    vouched = not is_doubted(elevation) and not is_warned(elevation)
    for line in elevation.measured:
        true = true_length_mm(line.name)
        yield Reading(
            photo=name,
            true_mm=true,
            error_mm=line.length_mm - true,
            u_mm=line.u_mm,
            vouched=vouched,
        )


def _lens(name: str, solution: Solution) -> Lens:
    camera = solution.camera
    factor = solution.factor[[CameraUnknown.LOG_FOCAL, CameraUnknown.K1, CameraUnknown.K2]]
    covariance = factor @ factor.T
    return Lens(
        photo=name,
        focal_px=camera.focal_px,
        focal_sd_px=float(camera.focal_px * np.sqrt(covariance[0, 0])),
        radial=(camera.k1, camera.k2),
        radial_covariance=covariance[1:, 1:],
    )


HEAD: Final = (
    "| job | lengths | rms error, mm | % | rms error / u | covered, % | "
    "of those vouched for, % | half-width, % | worst, % | refused photos + lines | "
    "doubted, warned of |\n"
    "|---|---|---|---|---|---|---|---|---|---|---|"
)


def table(variants: Sequence[Variant], cases: Sequence[Case]) -> Iterable[str]:
    """Yield the rows of a table in Markdown."""
    yield HEAD
    for variant in variants:
        outcome = run(variant, cases)
        s = outcome.score
        lines = outcome.refused.pop("line", 0)
        photos = sum(outcome.refused.values())
        kept = outcome.vouched
        vouched = f"{100 * summarise(kept).coverage:.1f}" if kept else "none"
        yield (
            f"| {variant.title} | {s.count} | {s.rms_mm:.2f} | {s.rms_percent:.2f} | "
            f"{s.rms_of_u:.2f} | {100 * s.coverage:.1f} | {vouched} | "
            f"{s.half_width_percent:.2f} | {s.worst_percent:.1f} | {photos} + {lines} | "
            f"{outcome.doubted}, {outcome.warned} of {outcome.jobs} |"
        )


def photo_table(cases: Sequence[Case]) -> Iterable[str]:
    """Yield coverage and misfit of each photo: errors of one photo are common."""
    outcomes = [run(variant, cases).by_photo() for variant in VARIANTS]
    yield "| photo | " + " | ".join(v.title for v in VARIANTS) + " |"
    yield "|---" * (1 + len(VARIANTS)) + "|"
    for name in NAMES:
        cells = (
            f"{100 * scores[name].coverage:.0f} %, {scores[name].rms_of_u:.2f}"
            for scores in outcomes
        )
        yield f"| {name} | " + " | ".join(cells) + " |"


def wide_windows() -> Iterable[str]:
    """Yield what left02 gives with either window, all corners as reference."""
    for window in (WINDOW_PX, WIDE_WINDOW_PX):
        elevation = measured(whole_board(find_board("left02", window)))
        reliability = elevation.solution.reliability
        yield (
            f"left02, window {window} px: variance factor "
            f"{reliability.variance_factor:.2f}, passed {reliability.passed}; "
            + " ".join(elevation.cautions[:1] if is_doubted(elevation) else ())
        )


def main() -> None:
    """Print everything that docs/accuracy.md says of the boards."""
    noise = np.median([corner_noise_px(find_board(name)) for name in NAMES])
    say = sys.stdout.write
    say(f"scatter of a corner {noise:.3f} px, stated {CORNER_SD_PX} px\n\n")
    for rows in (table((*VARIANTS, *BY_HAND, *LIMITS), ALL_CASES), photo_table(ALL_CASES)):
        for row in rows:
            say(row + "\n")
            sys.stdout.flush()
        say("\n")
    say("\n".join(wide_windows()) + "\n")


if __name__ == "__main__":
    main()
