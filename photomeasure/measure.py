"""Measure a job: the one use case that command line and page share."""

from pathlib import Path
from typing import Final

import numpy as np

from calibration.arrays import FloatArray
from calibration.camera import CAMERA_UNKNOWNS
from calibration.errors import BadReference, InputError, MeasureError
from calibration.references import Points, Rectangle, Soffit
from calibration.solution import Solution
from calibration.uncertain import Uncertain, stack
from photomeasure import cautions
from photomeasure.adjustments import Adjust, adjust_anew
from photomeasure.combine import combine, totals
from photomeasure.gables import find_gables
from photomeasure.job.build import Elevation, build_elevation
from photomeasure.job.load import Job
from photomeasure.job.schema import ElevationSpec
from photomeasure.lengths import measure_line
from photomeasure.next_reference import best_next_reference
from photomeasure.results import (
    MeasuredElevation,
    MeasuredJob,
    MeasuredLine,
    MeasuredSoffit,
    RefusedElevation,
    RefusedLine,
)
from photomeasure.tracing import place_on_wall, place_trace

LOOSE_LENGTH: Final = 0.2
"""Relative standard uncertainty at which a length is no longer a length."""


def measure_job(job: Job, adjust: Adjust = adjust_anew) -> MeasuredJob:
    """Measure every elevation of a job, then what they say together.

    Parameters
    ----------
    job : Job
    adjust : callable, optional
        How references are adjusted; :class:`photomeasure.adjustments.Adjustments`
        remembers.

    Returns
    -------
    MeasuredJob
        Elevations that cannot be measured are kept with their reason.
    """
    elevations = tuple(
        _measured_or_refused(name, entry, job.folder, adjust)
        for name, entry in zip(job.names, job.elevations, strict=True)
    )
    found = [
        (elevation.name, line)
        for elevation in elevations
        if isinstance(elevation, MeasuredElevation)
        for line in elevation.measured
    ]
    combined = combine(found)
    return MeasuredJob(
        title=job.title,
        elevations=elevations,
        combined=combined,
        totals=totals(found, combined),
    )


def _measured_or_refused(
    name: str, entry: ElevationSpec | InputError, folder: Path, adjust: Adjust
) -> MeasuredElevation | RefusedElevation:
    if isinstance(entry, InputError):
        return RefusedElevation(name=name, error=entry)
    try:
        elevation = build_elevation(entry, folder)
        return measure_elevation(elevation, adjust(elevation))
    except MeasureError as error:
        return RefusedElevation(name=name, error=error)


def measure_elevation(
    elevation: Elevation, solution: Solution | None = None
) -> MeasuredElevation:
    """Calibrate one elevation and measure its lines.

    Parameters
    ----------
    elevation : Elevation
    solution : Solution, optional
        Of the same references, if they were adjusted before.

    Returns
    -------
    MeasuredElevation

    Raises
    ------
    EstimationError
        If the references do not fix the geometry.
    """
    if solution is None:
        solution = adjust_anew(elevation)
    origin, above = _frame(solution)
    lines = tuple(
        _line(elevation, solution, index, origin.values)
        for index in range(len(elevation.traces))
    )
    measured = tuple(line for line in lines if isinstance(line, MeasuredLine))
    gables = find_gables(measured)
    return MeasuredElevation(
        elevation=elevation,
        solution=solution,
        lines=lines,
        soffits=_soffits(elevation, solution, origin, above),
        gables=gables,
        next_reference=best_next_reference(elevation, solution, measured),
        cautions=(
            *cautions.disagreements(solution),
            *cautions.unchecked_scale(solution),
            *cautions.about_view(elevation, solution),
            *cautions.about_lines(lines, gables),
        ),
    )


def _frame(solution: Solution) -> tuple[Uncertain, str]:
    """Return the origin of the reported frame, (x, y) in the wall frame, and its name.

    The first reference with coordinates of its own gives the frame; without one the
    origin is the point of the wall level with the camera.
    """
    for reference in solution.network.references:
        if isinstance(reference, (Points, Rectangle)) and not reference.rotated:
            columns = [
                solution.network.column(f"{reference.name}: origin {axis}") for axis in "xy"
            ]
            values = solution.adjustment.state.own[np.array(columns) - CAMERA_UNKNOWNS]
            factor = solution.factor[columns]
            return Uncertain(
                values, factor, solution.inputs
            ), f"origin of {reference.title}"
    none = np.zeros((2, len(solution.inputs)))
    return Uncertain(np.zeros(2), none, solution.inputs), "camera"


def _line(
    elevation: Elevation, solution: Solution, index: int, origin_mm: FloatArray
) -> MeasuredLine | RefusedLine:
    trace = elevation.traces[index]
    where = f"{elevation.name}: lines[{index}]"
    name, role = elevation.line_names[index]
    try:
        if isinstance(trace, BadReference):
            raise trace
        line = measure_line(place_trace(solution, trace, where), origin_mm)
        if line.u_mm > LOOSE_LENGTH * line.length_mm:
            raise BadReference(
                where,
                f"{name!r} is known only to {line.u_mm / line.length_mm:.0%}",
                "pick it larger, or add references nearer to it",
            )
    except BadReference as refusal:
        return RefusedLine(name=name, role=role, reason=str(refusal))
    return line


def _soffits(
    elevation: Elevation, solution: Solution, origin: Uncertain, above: str
) -> tuple[MeasuredSoffit, ...]:
    found = []
    for reference in elevation.references:
        if not isinstance(reference, Soffit):
            continue
        overhang = _own(solution, reference.key("overhang"))
        height = _own(solution, reference.key("height"))
        zero, name = origin[[1]], above
        if reference.name in elevation.ground_px:
            ground = place_on_wall(
                solution,
                elevation.ground_px[reference.name][None],
                reference.pick_sd_px,
                f"ground below {reference.name}",
            )
            if ground is not None:
                zero, name = ground[[1]], "ground"
        found.append(
            MeasuredSoffit(
                name=reference.title,
                overhang=overhang,
                height=stack([height, zero]).linear(np.array([[1.0, -1.0]])),
                height_above=name,
            )
        )
    return tuple(found)


def _own(solution: Solution, key: str) -> Uncertain:
    """Return one own unknown of the adjustment as a result."""
    column = solution.network.column(key)
    value = np.array([solution.value(key)])
    return Uncertain(value, solution.factor[[column]], solution.inputs)
