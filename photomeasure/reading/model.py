"""What is read from a photo: references, lines, questions; and what a person told."""

from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import Path
from typing import Final

from calibration.arrays import FloatArray
from photomeasure.job.schema import ElevationSpec, LineSpec, ReferenceSpec, SoffitSpec
from photomeasure.results import MeasuredElevation, MeasuredJob, MeasuredLine
from photomeasure.sheets.printed import PrintSize

LIKELY: Final = 0.8
"""A line whose board is at least this likely is measured as what it seems; others are only
offered. Of 469 lines of drawn houses that were so likely ten lay on no board of their role;
at 0.5 it were eighteen of 488 (`tests.accuracy.rooflines`)."""

DIGITS: Final = 3
"""Of pixels in a job file: finer than any edge is known."""


def likely(chance: float) -> str:
    """Return a chance as a person reads it.

    Never certain, nor finer than claims were proven.

    Examples
    --------
    >>> likely(0.431), likely(0.9999), likely(0.0)
    ('43 %', '99 %', '1 %')
    """
    return f"{100 * min(max(chance, 0.01), 0.99):.0f} %"


class Ask(StrEnum):
    """What a person has to tell; how to tell it is for command and page to say."""

    COUNT = "count"
    COUNT_AND_FORMAT = "count_and_format"
    FORMAT = "format"
    LINE = "line"
    FIT = "fit"


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One answer to a question, and what it makes of the job.

    Attributes
    ----------
    said : str
        A few words for it.
    references : tuple of ReferenceSpec
        They take the place of those of the same name.
    line : str
        Name of a found line that has the role it seems to have; empty for none.
    """

    said: str
    references: tuple[ReferenceSpec, ...] = ()
    line: str = ""


@dataclass(frozen=True, slots=True)
class Question:
    """What only a person can tell.

    Attributes
    ----------
    said : str
        The question, and what is known of the answer.
    ask : Ask
    ways : tuple of Way
        The likeliest answers, best first.
    """

    said: str
    ask: Ask
    ways: tuple[Way, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What a person says beside the photo; all of it may be left out.

    Attributes
    ----------
    brick_format : str or None
        Name of a brick format.
    taped_courses, taped_mm : int and float, or None
        A run of courses and what the tape read.
    tap_px : tuple of float or None
        A place on the brickwork.
    print_size : PrintSize
        What a ruler says of the check lines of marker sheets.
    accept : bool
        Use brickwork that is not sure: a person has looked at the count.
    """

    brick_format: str | None = None
    taped_courses: int | None = None
    taped_mm: float | None = None
    tap_px: tuple[float, float] | None = None
    print_size: PrintSize = field(default_factory=PrintSize)
    accept: bool = False


NOTHING_TOLD: Final = Told()


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class FoundReference:
    """A reference read from the photo.

    Attributes
    ----------
    spec : ReferenceSpec
        As a job file has it.
    source : str
        What it was read from: ``brickwork``, ``edges`` or ``sheet``.
    confidence : float
        That it is what it says, 0..1.
    said : str
        One sentence for a person.
    drawn_px : tuple of (N, 2) float64
        Lines that show it in the photo.
    used : bool
        Whether the lengths rest on it.
    """

    spec: ReferenceSpec
    source: str
    confidence: float
    said: str
    drawn_px: tuple[FloatArray, ...]
    used: bool


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class FoundLine:
    """A line of the roofline that the photo seems to show.

    Attributes
    ----------
    spec : LineSpec
        As a job file has it, with the role it seems to have.
    confidence : float
        That it is the edge of its role.
    board : float
        That it lies on a board of its role, whichever edge of it: its spread holds the
        doubt about the edge.
    said : str
    used : bool
        Whether it is measured as that; others are offered.
    measured : MeasuredLine or None
        Its length, if the photo has a scale.
    """

    spec: LineSpec
    confidence: float
    board: float
    said: str
    used: bool
    measured: MeasuredLine | None = None

    @property
    def kind(self) -> str:
        """What it may be: the name without its place among the choices."""
        return self.spec.name.split(",", maxsplit=1)[0]


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundSoffit:
    """A soffit that gives the projection of the eaves at its outer edge.

    Attributes
    ----------
    spec : SoffitSpec
    confidence : float
    used : bool
    """

    spec: SoffitSpec
    confidence: float
    used: bool


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class PhotoReading:
    """Everything that was read from a photo.

    Attributes
    ----------
    photo : Path
    size_px : tuple of int
        Upright.
    references : tuple of FoundReference
    lines : tuple of FoundLine
        By role, the likeliest first.
    soffits : tuple of FoundSoffit
    questions : tuple of Question
    missing : tuple of str
        What could not be found, each with what to do.
    notes : tuple of str
        What was left out, and why.
    elevation : ElevationSpec
        What is used, as a job file has it; unsure lines have the role ``other``.
    measured : MeasuredElevation or None
        Its lengths; None if the photo has no scale.
    refused : str
        Why there are no lengths; empty if there are.
    """

    photo: Path
    size_px: tuple[int, int]
    references: tuple[FoundReference, ...]
    lines: tuple[FoundLine, ...]
    soffits: tuple[FoundSoffit, ...]
    questions: tuple[Question, ...]
    missing: tuple[str, ...]
    notes: tuple[str, ...]
    elevation: ElevationSpec
    measured: MeasuredElevation | None
    refused: str

    @property
    def job(self) -> MeasuredJob:
        """The lines that are used, measured, as a job of one elevation or none."""
        entries = (self.measured,) if self.measured else ()
        return MeasuredJob(title="", elevations=entries, combined=(), totals=())
