"""What a measured job is made of."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np

from calibration.arrays import FloatArray
from calibration.errors import EstimationError, InputError, MeasureError, printable
from calibration.solution import Solution
from calibration.uncertain import Uncertain
from photomeasure.job.build import Elevation, Trace
from photomeasure.job.schema import Role

COVERAGE_FACTOR: Final = 1.959963984540054
"""Normal quantile of a 95 % interval: a-priori spreads, so no t distribution."""


def interval95(value: float, u: float) -> tuple[float, float]:
    """Return the 95 % interval of a value with standard uncertainty ``u``.

    Examples
    --------
    >>> low, high = interval95(1000.0, 10.0)
    >>> round(low, 1), round(high, 1)
    (980.4, 1019.6)
    """
    half = COVERAGE_FACTOR * u
    return value - half, value + half


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class MeasuredLine:
    """A line with its length.

    Attributes
    ----------
    trace : Trace
        What was picked.
    length : Uncertain
        One value, millimetres along the line.
    segments : Uncertain
        Length of each segment.
    pitch : Uncertain or None
        Angle above the level, radians; None for a bent line.
    points_mm : (N, 3) float64
        In the elevation's reported frame.
    coordinates : Uncertain
        ``x_0, y_0, ...`` in the wall frame of the adjustment.
    """

    trace: Trace
    length: Uncertain
    segments: Uncertain
    pitch: Uncertain | None
    points_mm: FloatArray
    coordinates: Uncertain

    @property
    def name(self) -> str:
        """Name of the line."""
        return self.trace.name

    @property
    def role(self) -> Role:
        """What the line is."""
        return self.trace.role

    @property
    def length_mm(self) -> float:
        """Best estimate."""
        return float(self.length.values[0])

    @property
    def u_mm(self) -> float:
        """Standard uncertainty."""
        return float(self.length.u[0])


@dataclass(frozen=True, slots=True, kw_only=True)
class RefusedLine:
    """A line that has no length, with the reason."""

    name: str
    role: Role
    reason: str


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class MeasuredSoffit:
    """A soffit's width and height.

    Attributes
    ----------
    name : str
    overhang : Uncertain
        One value, millimetres.
    height : Uncertain
        One value, millimetres above ``height_above``.
    height_above : str
        What the height counts from.
    """

    name: str
    overhang: Uncertain
    height: Uncertain
    height_above: str


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class RakeCheck:
    """One rake by its traced edge and by half span and pitch.

    Attributes
    ----------
    name : str
    traced_mm, half_span_mm : float
        The two lengths.
    difference : Uncertain
        Traced less half-span length.
    """

    name: str
    traced_mm: float
    half_span_mm: float
    difference: Uncertain

    @property
    def score(self) -> float:
        """Difference per standard uncertainty (zeta score)."""
        u = float(self.difference.u[0])
        return float(self.difference.values[0]) / u if u else 0.0

    @property
    def agrees(self) -> bool:
        """Whether the two lengths agree within their uncertainty."""
        return abs(self.score) <= AGREEMENT


AGREEMENT: Final = 2.0
"""Largest zeta score of values that agree (ISO 13528, as quoted by NIST Dataplot)."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Gable:
    """Two rakes that meet.

    Attributes
    ----------
    span : Uncertain
        Level distance between the feet.
    pitch : Uncertain
        Of half span and rise, radians.
    checks : tuple of RakeCheck
        One a rake.
    """

    span: Uncertain
    pitch: Uncertain
    checks: tuple[RakeCheck, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class NextReference:
    """The one further reference that helps most.

    Attributes
    ----------
    kind : str
        Kind of reference.
    what : str
        What to do, in words.
    line : str
        The line with the widest interval.
    u_now_mm, u_then_mm : float
        Its standard uncertainty before and after.
    """

    kind: str
    what: str
    line: str
    u_now_mm: float
    u_then_mm: float


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class MeasuredElevation:
    """An elevation with its lengths."""

    elevation: Elevation
    solution: Solution
    lines: tuple[MeasuredLine | RefusedLine, ...]
    soffits: tuple[MeasuredSoffit, ...]
    gables: tuple[Gable, ...]
    next_reference: NextReference | None
    cautions: tuple[str, ...]

    @property
    def name(self) -> str:
        """Name of the elevation."""
        return self.elevation.name

    @property
    def measured(self) -> tuple[MeasuredLine, ...]:
        """The lines that have a length."""
        return tuple(line for line in self.lines if isinstance(line, MeasuredLine))


@dataclass(frozen=True, slots=True, kw_only=True)
class RefusedElevation:
    """An elevation that has no lengths, with the reason."""

    name: str
    error: MeasureError

    @property
    def sentence(self) -> str:
        """What is wrong, beginning with the elevation's name."""
        text = str(self.error)
        # An input error names its place itself.
        own = isinstance(self.error, InputError)
        return text if own else printable(f"{self.name}: references: {text}")


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class CombinedLine:
    """One real line measured in several photos.

    Attributes
    ----------
    name : str
    role : Role
    elevations : tuple of str
    lengths : Uncertain
        One value for each elevation.
    combined : Uncertain
        One value; widened if the photos disagree.
    score : float
        Largest zeta score of a pair of photos.
    """

    name: str
    role: Role
    elevations: tuple[str, ...]
    lengths: Uncertain
    combined: Uncertain
    score: float

    @property
    def agrees(self) -> bool:
        """Whether the photos agree."""
        return self.score <= AGREEMENT


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class RoleTotal:
    """All lines of one role together, each real line once."""

    role: Role
    count: int
    total: Uncertain


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class MeasuredJob:
    """A measured job."""

    title: str
    elevations: tuple[MeasuredElevation | RefusedElevation, ...]
    combined: tuple[CombinedLine, ...]
    totals: tuple[RoleTotal, ...]

    def refusals(self) -> Iterator[tuple[str, bool]]:
        """Yield the sentence of each refusal, and whether references were too few."""
        for entry in self.elevations:
            if isinstance(entry, RefusedElevation):
                yield entry.sentence, isinstance(entry.error, EstimationError)
            else:
                lines = (line for line in entry.lines if isinstance(line, RefusedLine))
                yield from ((line.reason, False) for line in lines)


def single(results: Uncertain, row: int = 0) -> tuple[float, float]:
    """Return value and standard uncertainty of one result."""
    return float(results.values[row]), float(results.u[row])


def degrees(results: Uncertain) -> tuple[float, float]:
    """Return value and standard uncertainty of an angle in degrees."""
    value, u = single(results)
    return float(np.degrees(value)), float(np.degrees(u))
