"""Brickwork of a photo as references of a job, or what to ask about it."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from calibration.arrays import FloatArray
from calibration.brick_formats import BrickFormat, brick_format
from calibration.brickwork.bed_lines import bed_lines
from calibration.brickwork.confidence import SURE
from calibration.brickwork.read import around, read_brickwork
from calibration.brickwork.references import TapedCourses, course_references
from calibration.brickwork.result import Brickwork, Reading
from calibration.errors import BadReference, NoBrickwork
from calibration.photo.pixels import RgbImage
from calibration.priors import CameraPrior
from calibration.references import CountDirection, Courses
from photomeasure.job.references import CONTRADICTION
from photomeasure.job.schema import CoursesSpec
from photomeasure.reading.model import (
    DIGITS,
    Ask,
    FoundReference,
    Question,
    Told,
    Way,
    likely,
)

SOURCE: Final = "brickwork"

TAPE_SD_MM: Final = 3.0
"""As the job file's ``taped_sd_mm``."""

_SAME_GAUGE: Final = 0.04
"""A taped gauge tells formats apart that differ by more: no house drifts so far from
its format. Common practice, no source."""

_WORTH_A_WORD: Final = 0.02
"""Readings less likely than this only confuse."""


@dataclass(frozen=True, slots=True, eq=False)
class Bricks:
    """What brickwork told.

    Attributes
    ----------
    references : tuple of FoundReference
    along : (3,) float64 or None
        Level direction of its wall in the camera frame, to the right; None if unsure.
    formats : tuple of BrickFormat
        That it may be; one if it is settled.
    questions : tuple of Question
    missing : tuple of str
    doubted : tuple of (str, float)
        Where it is unsure: its best readings in words, each with a gauge.
    """

    references: tuple[FoundReference, ...] = ()
    along: FloatArray | None = None
    formats: tuple[BrickFormat, ...] = ()
    questions: tuple[Question, ...] = ()
    missing: tuple[str, ...] = ()
    doubted: tuple[tuple[str, float], ...] = ()

    @property
    def mean_gauge_mm(self) -> float:
        """Gauge that the lengths rest on while the format is open."""
        return float(np.mean([entry.gauge_mm for entry in self.formats]))


def check_told(told: Told) -> TapedCourses | None:
    """Return the taped run, or refuse what contradicts itself.

    Parameters
    ----------
    told : Told

    Returns
    -------
    TapedCourses or None

    Raises
    ------
    BadReference
        If tape and format do not fit together.
    UnknownName
        If there is no such format.
    """
    usual = brick_format(told.brick_format) if told.brick_format else None
    if not told.taped_courses or not told.taped_mm:
        return None
    taped = TapedCourses(told.taped_courses, told.taped_mm, TAPE_SD_MM)
    if usual and abs(taped.gauge_mm / usual.gauge_mm - 1.0) > CONTRADICTION:
        raise BadReference(
            "the taped courses",
            f"{taped.gauge_mm:.1f} mm a course contradicts {usual.name} "
            f"({usual.gauge_mm:.1f} mm)",
            "count again, or leave the format out",
        )
    return taped


def read_bricks(pixels: RgbImage, camera: CameraPrior, told: Told) -> Bricks:
    """Find brickwork and turn it into references.

    Parameters
    ----------
    pixels : (H, W, 3) uint8
    camera : CameraPrior
    told : Told

    Returns
    -------
    Bricks
    """
    taped = check_told(told)
    box = around(told.tap_px, camera.size_px) if told.tap_px else None
    try:
        found = read_brickwork(pixels, camera, box, told.brick_format)
    except NoBrickwork as refusal:
        said = f"No brick courses: {refusal.what}; {refusal.remedy}."
        return Bricks(missing=(said,))
    formats = _formats(found.best, told, taped)
    used = found.best.confidence >= SURE or told.accept
    drawn = bed_lines(found)
    ladders = course_references(found, formats[0], SOURCE, taped)
    # Bed joints and perpends of an open format err together, but a job file has no
    # error that both share: each gets what leaves the scale as open as one alone.
    share = float(np.sqrt(len(ladders)))
    references = tuple(
        FoundReference(
            spec=_spec(courses, formats, told, share),
            source=SOURCE,
            confidence=found.best.confidence,
            said=_said(courses, found),
            drawn_px=drawn if courses.direction is CountDirection.UP else (),
            used=used,
        )
        for courses in ladders
    )
    questions = () if used else (_which_reading(found, told, references),)
    return Bricks(
        references=references,
        along=_along(found) if used else None,
        formats=formats,
        questions=questions,
        doubted=() if used else _doubted(found),
    )


def _worth_telling(found: Brickwork) -> tuple[Reading, ...]:
    """Return the best two readings, or the one if the other is out of the question."""
    second = (r for r in found.readings[1:2] if r.confidence >= _WORTH_A_WORD)
    return (found.best, *second)


def _doubted(found: Brickwork) -> tuple[tuple[str, float], ...]:
    ways = []
    for reading in _worth_telling(found):
        entry = brick_format(reading.formats[0])
        ways.append((f"{reading.bond} bond of {entry.name}", entry.gauge_mm))
    return tuple(ways)


def as_if(found: FoundReference, entry: BrickFormat) -> FoundReference:
    """Return a reference as it would be used if the brick were of a format."""
    if not isinstance(found.spec, CoursesSpec):
        return found
    words: dict[str, object] = {
        "format": entry.name,
        "gauge_mm": None,
        "gauge_sd_mm": None,
        "may_be": [],
    }
    return replace(found, spec=found.spec.model_copy(update=words), used=True)


def _formats(
    best: Reading, told: Told, taped: TapedCourses | None
) -> tuple[BrickFormat, ...]:
    """Return what the brick may be: as told, as taped, or by the ratio of its sides."""
    if told.brick_format:
        return (brick_format(told.brick_format),)
    entries = tuple(brick_format(name) for name in best.formats)
    if taped is None:
        return entries
    near = [e for e in entries if abs(taped.gauge_mm / e.gauge_mm - 1.0) < _SAME_GAUGE]
    return tuple(near) or entries


def _spec(
    courses: Courses, formats: tuple[BrickFormat, ...], told: Told, share: float
) -> CoursesSpec:
    up = courses.direction is CountDirection.UP
    words: dict[str, object] = {
        "kind": "courses",
        "name": "bed joints" if up else "perpends",
        "direction": str(courses.direction),
        "picks": np.round(courses.picks_px, DIGITS).tolist(),
        "counts": np.round(courses.counts, 1).tolist(),
        "pick_sd_px": courses.pick_sd_px,
        "sd_mm": round(courses.sd_mm, 2),
    }
    if told.brick_format:
        words["format"] = told.brick_format
    if up and told.taped_courses and told.taped_mm:
        words |= {"taped_count": told.taped_courses, "taped_mm": told.taped_mm}
    elif not told.brick_format:
        words |= _open_pitch(formats, share, up=up)
    return CoursesSpec.model_validate(words)


def _open_pitch(
    formats: tuple[BrickFormat, ...], share: float, *, up: bool
) -> dict[str, object]:
    """Return mean and spread of a pitch while any of the formats may be the right one.

    They are taken as anywhere between the extremes, so that each lies in the interval: a
    rectangular distribution (JCGM 100:2008, 4.3.7).
    """
    pitch = np.array([f.gauge_mm if up else f.stretcher_mm for f in formats])
    own = np.array([f.gauge_rel_sd if up else f.stretcher_rel_sd for f in formats])
    mean = float(pitch.mean())
    apart = max(float(pitch.std()), float(np.abs(pitch - mean).max()) / np.sqrt(3.0))
    spread = share * float(np.hypot(apart, np.sqrt(np.mean((pitch * own) ** 2))))
    return {
        "gauge_mm": round(mean, 2),
        "gauge_sd_mm": round(spread, 2),
        "may_be": [entry.name for entry in formats],
    }


def _said(courses: Courses, found: Brickwork) -> str:
    if courses.direction is CountDirection.UP:
        return (
            f"{found.courses} courses counted, {found.course_px:.0f} px each, "
            f"{found.best.bond} bond"
        )
    return f"{found.stretchers} stretchers counted, {found.best.ratio:.2f} courses long"


def _which_reading(
    found: Brickwork, told: Told, references: tuple[FoundReference, ...]
) -> Question:
    """Ask whether it is brickwork at all, and how it is laid: its best two readings."""
    readings = _worth_telling(found)
    said = [
        f"{reading.bond} bond with stretchers {reading.ratio:.2f} courses long "
        f"({likely(reading.confidence)}: {', '.join(reading.formats[:4])})"
        for reading in readings
    ]
    text = (
        f"Is this brickwork of {found.courses} courses? It looks like "
        f"{', or '.join(said)}, which is not sure enough to carry the scale."
    )
    ways = tuple(
        _way(reading, told, references if reading is found.best else _beds(references))
        for reading in readings
    )
    return Question(text, Ask.COUNT if told.brick_format else Ask.COUNT_AND_FORMAT, ways)


def _beds(references: tuple[FoundReference, ...]) -> tuple[FoundReference, ...]:
    up = CountDirection.UP
    return tuple(
        found
        for found in references
        if isinstance(found.spec, CoursesSpec) and found.spec.direction is up
    )


def _way(reading: Reading, told: Told, references: tuple[FoundReference, ...]) -> Way:
    """Return references as one reading has them.

    Perpends are counted by the first reading; of another, only the bed joints hold.
    """
    entry = brick_format(told.brick_format or reading.formats[0])
    specs = tuple(as_if(found, entry).spec for found in references)
    return Way(said=f"{reading.bond} bond of {entry.name}", references=specs)


def _along(found: Brickwork) -> FloatArray:
    """Return the level direction of the wall, camera frame, to the right."""
    ray = np.linalg.inv(found.plane.H_count_from_ideal) @ np.array([1.0, 0.0, 0.0])
    unit: FloatArray = ray / np.linalg.norm(ray) * (1.0 if ray[0] >= 0.0 else -1.0)
    return unit


def format_question(
    bricks: Bricks, longest: tuple[str, float] | None, told: Told
) -> tuple[Question, ...]:
    """Ask for the format if it is open: the scale hangs on it.

    Parameters
    ----------
    bricks : Bricks
    longest : tuple of str and float or None
        Name and length in millimetres of a line, at the mean gauge.
    told : Told

    Returns
    -------
    tuple of Question
        Empty if the format is settled.
    """
    if told.brick_format or told.taped_mm or bricks.along is None:
        return ()
    names = ", ".join(entry.name for entry in bricks.formats)
    text = f"Which brick is it? Its shape fits {names}"
    if longest:
        name, length = longest
        ways = [
            f"{length * entry.gauge_mm / bricks.mean_gauge_mm / 1000:.2f} m with "
            f"{entry.name}"
            for entry in bricks.formats[:2]
        ]
        text += f"; {name} would be about {' or '.join(ways)}"
    answers = tuple(format_way(bricks.references, entry) for entry in bricks.formats[:2])
    return (Question(f"{text}.", Ask.FORMAT, answers),)


def format_way(references: Iterable[FoundReference], entry: BrickFormat) -> Way:
    """Return the answer that the bricks among some references are of a format."""
    bricks = (found for found in references if isinstance(found.spec, CoursesSpec))
    specs = tuple(as_if(found, entry).spec for found in bricks)
    return Way(said=entry.name, references=specs)


def if_it_is(bricks: Bricks, likely: tuple[str, float] | None) -> tuple[Question, ...]:
    """Say what a line would measure by each reading of brickwork that is unsure.

    Parameters
    ----------
    bricks : Bricks
    likely : tuple of str and float or None
        Name and length in millimetres of a line, by the first reading.

    Returns
    -------
    tuple of Question
        Empty if there is no such line, or no doubt.
    """
    if not bricks.doubted or likely is None:
        return ()
    name, length = likely
    first = bricks.doubted[0][1]
    ways = [
        f"{length * gauge / first / 1000:.1f} m by {how}" for how, gauge in bricks.doubted
    ]
    text = f"Does this fit the house: {name} about {', or '.join(ways)}?"
    return (Question(text, Ask.FIT),)
