"""How much one job may hold: what a machine of two cores measures in reasonable time.

Lengths keep their dependence on every pick, so memory grows with the picks of the
lines times those of the references.
"""

from collections.abc import Iterable
from typing import Final

from calibration.errors import InputError
from photomeasure.job.schema import (
    MAX_PICKS,
    CoursesSpec,
    ElevationSpec,
    PointsSpec,
    RectangleSpec,
    Role,
    StraightSpec,
)

MAX_PAIRS: Final = 2_500_000
"""Picks of lines times picks of references: 80 MB for coordinates alone."""

MAX_RAKES: Final = 100
"""Every two rakes are tried as a gable."""

MAX_JOB_PICKS: Final = 250_000
"""Half a gigabyte of derivatives."""


def refuse_too_much(spec: ElevationSpec) -> None:
    """Refuse an elevation that would take minutes or exhaust the memory.

    Parameters
    ----------
    spec : ElevationSpec

    Raises
    ------
    InputError
        With the count and the limit.
    """
    referring, tracing = _reference_picks(spec), _line_picks(spec)
    if referring > MAX_PICKS:
        raise InputError(
            f"{spec.name}: references",
            f"hold {referring} picks, more than {MAX_PICKS} together",
            "leave most of them out",
        )
    if referring * tracing > MAX_PAIRS:
        raise InputError(
            f"{spec.name}: references",
            f"hold {referring} picks, too many beside {tracing} picks of lines",
            "leave most of them out",
        )
    if sum(line.role is Role.RAKE for line in spec.lines) > MAX_RAKES:
        raise InputError(
            f"{spec.name}: lines", f"hold more than {MAX_RAKES} rakes", "remove copies"
        )


def refuse_long_job(specs: Iterable[ElevationSpec], where: str) -> None:
    """Refuse a job whose elevations together are too much.

    Parameters
    ----------
    specs : iterable of ElevationSpec
    where : str
        Name of the file.

    Raises
    ------
    InputError
        With the count and the limit.
    """
    picks = sum(_reference_picks(spec) + _line_picks(spec) for spec in specs)
    if picks > MAX_JOB_PICKS:
        raise InputError(
            f"{where}: elevations",
            f"hold {picks} picks, more than {MAX_JOB_PICKS} together",
            "split the job into several files",
        )


def _reference_picks(spec: ElevationSpec) -> int:
    total = sum(len(s.wall_edge) + len(s.outer_edge) for s in spec.soffits)
    for entry in spec.references:
        if isinstance(entry, PointsSpec | StraightSpec | CoursesSpec):
            total += len(entry.picks)
        else:
            total += len(entry.corners if isinstance(entry, RectangleSpec) else entry.ends)
    return total


def _line_picks(spec: ElevationSpec) -> int:
    return sum(len(line.picks) for line in spec.lines)
