"""The real lines of a measured job: each once, with its best length."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np

from calibration.errors import InputError, UnknownName
from calibration.uncertain import Input, Uncertain
from photomeasure.gables import RakeEdge, rake_edges
from photomeasure.job.schema import Role
from photomeasure.job.takeoff import LineFacts, TakeoffSpec
from photomeasure.lengths import pitch, segment_lengths
from photomeasure.results import (
    MeasuredElevation,
    MeasuredJob,
    MeasuredLine,
    RefusedElevation,
    RefusedLine,
)
from photomeasure.takeoff.model import Hand, Stop

BOARD_ROLES: Final = (Role.EAVES, Role.FASCIA, Role.RAKE, Role.VERGE)
"""Roles that boards are fixed along."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class RealLine:
    """A line of the house, measured in one photo or several.

    Attributes
    ----------
    label : str
        ``elevation: line``, of several photos the first.
    line : MeasuredLine
        As the first photo shows it.
    elevation : MeasuredElevation
        That photo.
    length : Uncertain
        One value, millimetres: taped, combined over photos, or measured.
    facts : LineFacts
        What the job states of it.
    """

    label: str
    line: MeasuredLine
    elevation: MeasuredElevation
    length: Uncertain
    facts: LineFacts

    @property
    def taped(self) -> bool:
        """Whether the length was taped."""
        return self.facts.taped_mm is not None


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Slope:
    """One sloping edge of a gable as measured.

    Attributes
    ----------
    name : str
        Of its line, with its side if the line has two.
    length : Uncertain
        Foot to top.
    pitch_rad : float
    hand : Hand
        Left if it rises to the right.
    partner : str or None
        The slope it meets at the apex.
    """

    name: str
    length: Uncertain
    pitch_rad: float
    hand: Hand
    partner: str | None


def real_lines(job: MeasuredJob, spec: TakeoffSpec) -> tuple[RealLine, ...]:
    """Return the lines that boards are fixed along, each real line once.

    Parameters
    ----------
    job : MeasuredJob
    spec : TakeoffSpec

    Returns
    -------
    tuple of RealLine
        In the order of the job, without those that the job leaves out.

    Raises
    ------
    UnknownName
        If the job states facts of a line that is not there.
    """
    facts = _facts(job, spec)
    combined = {line.name: line.combined for line in job.combined}
    found: dict[str, RealLine] = {}
    for elevation in _measured(job):
        for line in elevation.measured:
            own = facts.get(line.name, LineFacts(name=line.name))
            if line.role in BOARD_ROLES and not own.leave_out:
                length = combined.get(line.name, line.length)
                entry = RealLine(
                    label=f"{elevation.name}: {line.name}",
                    line=line,
                    elevation=elevation,
                    length=length if own.taped_mm is None else taped(own),
                    facts=own,
                )
                found.setdefault(line.name, entry)
    return tuple(found.values())


def taped(facts: LineFacts) -> Uncertain:
    """Return a taped length: independent of every photograph."""
    source = Input(f"tape {facts.name}", "tape", is_model=False)
    value = np.array([facts.taped_mm or 0.0])
    return Uncertain(value, np.array([[facts.taped_sd_mm]]), (source,))


def slopes(entry: RealLine) -> tuple[Slope, ...]:
    """Return the sloping edges of a rake: one, or two if its apex lies between its ends.

    Parameters
    ----------
    entry : RealLine

    Returns
    -------
    tuple of Slope
        A combined length counts for an unbent rake only.

    Raises
    ------
    InputError
        If one taped length is stated for two slopes.
    """
    edges = rake_edges(entry.line)
    if entry.taped and len(edges) > 1:
        raise InputError(
            f"takeoff.lines: {entry.line.name}",
            "one taped_mm is stated for two slopes",
            "trace each slope as a line of its own and state its length",
        )
    return tuple(_slope(entry, edge, alone=len(edges) == 1) for edge in edges)


def unmeasured(job: MeasuredJob, spec: TakeoffSpec) -> Iterator[Stop]:
    """Yield a stop for each line or elevation that has no length.

    Parameters
    ----------
    job : MeasuredJob
    spec : TakeoffSpec

    Yields
    ------
    Stop
        None for lines that the job leaves out or that another photo measures.
    """
    known = {line.name for entry in _measured(job) for line in entry.measured}
    known |= {facts.name for facts in spec.lines if facts.leave_out}
    for entry in job.elevations:
        if isinstance(entry, RefusedElevation):
            yield Stop(lines=(entry.name,), reason=entry.sentence)
            continue
        for line in entry.lines:
            refused = isinstance(line, RefusedLine) and line.role in BOARD_ROLES
            if isinstance(line, RefusedLine) and refused and line.name not in known:
                yield Stop(lines=(f"{entry.name}: {line.name}",), reason=line.reason)


def _measured(job: MeasuredJob) -> Iterable[MeasuredElevation]:
    return (e for e in job.elevations if isinstance(e, MeasuredElevation))


def _facts(job: MeasuredJob, spec: TakeoffSpec) -> dict[str, LineFacts]:
    """Return the stated facts by line; a name that fits no line is a typing mistake."""
    names = {line.name for entry in _measured(job) for line in entry.lines}
    blind = any(isinstance(entry, RefusedElevation) for entry in job.elevations)
    for i, facts in enumerate(spec.lines):
        if facts.name not in names and not blind:
            raise UnknownName(f"takeoff.lines[{i}].name", facts.name, names)
        if facts.name in [other.name for other in spec.lines[:i]]:
            raise InputError(
                f"takeoff.lines[{i}].name",
                f"{facts.name!r} is there already",
                "state all facts of a line together",
            )
    return {facts.name: facts for facts in spec.lines}


def _slope(entry: RealLine, edge: RakeEdge, *, alone: bool) -> Slope:
    foot_x, _, top_x, _ = edge.coordinates.values
    partner, angle = _gable_of(entry.elevation, edge.name)
    return Slope(
        name=edge.name,
        length=entry.length if alone else segment_lengths(edge.coordinates),
        pitch_rad=float(pitch(edge.coordinates).values[0]) if angle is None else angle,
        hand=Hand.LEFT if top_x > foot_x else Hand.RIGHT,
        partner=partner,
    )


def _gable_of(elevation: MeasuredElevation, name: str) -> tuple[str | None, float | None]:
    """Return the other rake of a rake's gable, and the gable's pitch."""
    for gable in elevation.gables:
        names = [check.name for check in gable.checks]
        if name in names:
            other = next(n for n in names if n != name)
            # Half span and rise assume the apex in the middle; a gable that
            # contradicts that keeps each rake's own slope.
            even = all(check.agrees for check in gable.checks)
            return other, float(gable.pitch.values[0]) if even else None
    return None, None
