"""Everything found, adjusted together: what does not fit is left out, and said."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

import numpy as np

from calibration.errors import MeasureError
from photomeasure.job.build import build_elevation
from photomeasure.job.schema import ElevationSpec, Role
from photomeasure.measure import measure_elevation
from photomeasure.reading import edges
from photomeasure.reading.model import FoundLine, FoundReference, FoundSoffit
from photomeasure.results import MeasuredElevation, MeasuredLine, single

LEVEL_RAD: Final = float(np.radians(1.5))
"""An eaves that comes out steeper than this and than its uncertainty is none of this
wall: boards are set level to a few millimetres. Common practice, no source."""

_SDS: Final = 3.0
LEAST_OVERHANG_MM, MOST_OVERHANG_MM = 30.0, 900.0
"""Soffits of houses; common practice, no source."""

READINGS: Final = 2
"""Of what is unsure, as many are offered to a person."""

WORTH_ASKING: Final = 0.1
"""A line that is wrong nine times in ten is more in the way than it helps."""

EDGES_LEFT_OUT: Final = (
    "The level and plumb edges do not fit the brickwork or the sheet and were left out: "
    "they may belong to something else that leans."
)
NO_SCALE: Final = (
    "Nothing of known size was found, so there are no lengths: tape a distance, give the "
    "corners of a door, or put a marker sheet on the wall."
)
UNSURE_SCALE: Final = (
    "What may be brickwork is not sure enough to carry the scale, so there are no "
    "lengths: answer the question about it, or tape a distance."
)


@dataclass(frozen=True, slots=True, eq=False)
class Settled:
    """What is left when everything has been adjusted.

    Attributes
    ----------
    references : tuple of FoundReference
    lines : tuple of FoundLine
        With their lengths.
    soffits : tuple of FoundSoffit
    elevation : ElevationSpec
    measured : MeasuredElevation or None
    notes : tuple of str
    refused : str
    """

    references: tuple[FoundReference, ...]
    lines: tuple[FoundLine, ...]
    soffits: tuple[FoundSoffit, ...]
    elevation: ElevationSpec
    measured: MeasuredElevation | None
    notes: tuple[str, ...]
    refused: str


def settle(
    base: ElevationSpec,
    references: tuple[FoundReference, ...],
    lines: tuple[FoundLine, ...],
    soffits: tuple[FoundSoffit, ...],
    folder: Path,
) -> Settled:
    """Adjust what was found, leave out what contradicts it, and measure.

    Parameters
    ----------
    base : ElevationSpec
        Name, photo and camera.
    references, lines, soffits : tuples
        As found.
    folder : Path
        Where the photo's name starts.

    Returns
    -------
    Settled
    """
    if not any(found.used and _sized(found) for found in references):
        spec = _kept(base, references, lines, soffits)
        reason = UNSURE_SCALE if any(map(_sized, references)) else NO_SCALE
        return Settled(references, lines, soffits, spec, None, (), reason)
    notes: list[str] = []
    trial = _measured(_tried(base, references, lines, soffits), folder)
    if not _fits(trial):
        fewer = tuple(_unused_edge(found) for found in references)
        other = _measured(_tried(base, fewer, lines, soffits), folder)
        if _fits(other):
            references, trial = fewer, other
            notes.append(EDGES_LEFT_OUT)
    if isinstance(trial, MeasureError):
        spec = _kept(base, references, lines, soffits)
        return Settled(references, lines, soffits, spec, None, tuple(notes), str(trial))
    lines, soffits, why = _plausible(trial, lines, soffits)
    spec = _kept(base, references, lines, soffits)
    used = tuple(line for line in lines if line.used)
    same = trial.solution if not why else None
    final = measure_elevation(
        build_elevation(_tried(base, references, used, soffits), folder), same
    )
    said = (*notes, *why)
    return Settled(
        references, _with_lengths(trial, final, lines), soffits, spec, final, said, ""
    )


def _sized(found: FoundReference) -> bool:
    return found.source != edges.SOURCE


def _unused_edge(found: FoundReference) -> FoundReference:
    return replace(found, used=False) if found.source == edges.SOURCE else found


def _fits(trial: MeasuredElevation | MeasureError) -> bool:
    return isinstance(trial, MeasuredElevation) and trial.solution.reliability.passed


def _tried(
    base: ElevationSpec,
    references: Iterable[FoundReference],
    lines: Iterable[FoundLine],
    soffits: Iterable[FoundSoffit],
) -> ElevationSpec:
    """Return an elevation with all lines, offered ones too, as what they seem to be."""
    return base.model_copy(
        update={
            "references": [found.spec for found in references if found.used],
            "lines": [f.spec for f in lines if f.spec.role is not Role.RIDGE],
            "soffits": [found.spec for found in soffits if found.used],
        }
    )


def _kept(
    base: ElevationSpec,
    references: Iterable[FoundReference],
    lines: Iterable[FoundLine],
    soffits: Iterable[FoundSoffit],
) -> ElevationSpec:
    """Return what a job file gets.

    Of a kind of which no line is used, the two likeliest as ``other`` if they are worth a
    question: they count for nothing until a person gives one its role.
    """
    lines = tuple(lines)
    tried = _tried(base, references, (), soffits)
    kept = [
        found.spec if found.used else found.spec.model_copy(update={"role": Role.OTHER})
        for found in lines
        if found.used or in_doubt(found, lines)
    ]
    return tried.model_copy(update={"lines": kept})


def in_doubt(found: FoundLine, lines: Sequence[FoundLine]) -> bool:
    """Tell whether a line is worth a question: one of the two best of an unsettled kind."""
    alike = [line for line in lines if line.kind == found.kind]
    settled = found.spec.role is Role.RIDGE or any(line.used for line in alike)
    return not settled and alike[0].board >= WORTH_ASKING and found in alike[:READINGS]


def _measured(spec: ElevationSpec, folder: Path) -> MeasuredElevation | MeasureError:
    """Measure, or return why that is impossible."""
    try:
        return measure_elevation(build_elevation(spec, folder))
    except MeasureError as refusal:
        return refusal


def _plausible(
    trial: MeasuredElevation,
    lines: tuple[FoundLine, ...],
    soffits: tuple[FoundSoffit, ...],
) -> tuple[tuple[FoundLine, ...], tuple[FoundSoffit, ...], tuple[str, ...]]:
    """Return lines and soffits without those that cannot be, and why."""
    why = []
    sloped = {line.name for line in trial.measured if _too_steep(line)}
    kept = []
    for line in lines:
        out = line.used and line.spec.name in sloped
        kept.append(replace(line, used=False) if out else line)
        if out:
            why.append(f"{line.spec.name} is not level on this wall and was left out.")
    widths = {soffit.name: single(soffit.overhang)[0] for soffit in trial.soffits}
    left = []
    for soffit in soffits:
        name = soffit.spec.name
        width = widths.get(name)
        odd = width is not None and not LEAST_OVERHANG_MM < width < MOST_OVERHANG_MM
        # A soffit without its line has nothing to tell.
        alone = any(line.spec.name in soffit.spec.lines and not line.used for line in kept)
        if soffit.used and odd:
            why.append(f"{name} would be {width:.0f} mm wide and was left out.")
        left.append(replace(soffit, used=soffit.used and not odd and not alone))
    return tuple(kept), tuple(left), tuple(why)


def _too_steep(line: MeasuredLine) -> bool:
    if line.role is not Role.EAVES or line.pitch is None:
        return False
    pitch, u = single(line.pitch)
    # Angles run to 180 degrees for a line picked from right to left.
    off = abs((pitch + np.pi / 2.0) % np.pi - np.pi / 2.0)
    return bool(off > LEVEL_RAD + _SDS * u)


def _with_lengths(
    trial: MeasuredElevation, final: MeasuredElevation, lines: tuple[FoundLine, ...]
) -> tuple[FoundLine, ...]:
    """Return the lines with their lengths, used ones from the final measuring."""
    lengths = {line.name: line for line in (*trial.measured, *final.measured)}
    return tuple(replace(line, measured=lengths.get(line.spec.name)) for line in lines)
