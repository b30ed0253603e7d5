"""Measured houses made by hand: lengths as given, one scale error and own pick errors."""

from collections.abc import Mapping
from types import SimpleNamespace
from typing import Any

import numpy as np

from calibration.uncertain import Input, Uncertain
from photomeasure.combine import combine, totals
from photomeasure.gables import find_gables
from photomeasure.job.build import Hanging, Trace
from photomeasure.job.schema import Role
from photomeasure.job.takeoff import TakeoffSpec
from photomeasure.lengths import measure_line
from photomeasure.results import (
    MeasuredElevation,
    MeasuredJob,
    MeasuredLine,
    MeasuredSoffit,
)
from photomeasure.tracing import Traced

SCALE_SD = 0.004
"""Relative scale error that all lines of a photo share."""

PICK_MM = 2.0


def line(
    name: str,
    role: Role,
    points: list[tuple[float, float]],
    *,
    scale_sd: float = SCALE_SD,
    pick_mm: float = PICK_MM,
    photo: str = "front",
    soffit: str | None = None,
) -> MeasuredLine:
    """Return a line whose coordinates share the scale of their photo."""
    values = np.array(points, dtype=np.float64).ravel()
    own = [Input(f"{photo} {name} {i}", "picks", False) for i in range(len(values))]
    scale = Input(f"{photo} scale", "scale", True)
    factor = np.c_[scale_sd * values, pick_mm * np.eye(len(values))]
    trace = Trace(
        name=name,
        role=role,
        picks_px=np.zeros((len(points), 2)),
        pick_sd_px=1.0,
        hanging=Hanging(
            mean_mm=300.0, sd_mm=0.0, relief_sd_mm=0.0, assumed=False, soffit=soffit
        ),
    )
    coordinates = Uncertain(values, factor, (scale, *own))
    return measure_line(Traced(trace, coordinates, 300.0), np.zeros(2))


def eaves(name: str, length_mm: float, **options: Any) -> MeasuredLine:
    """Return a level eaves."""
    return line(name, Role.EAVES, [(0.0, 5000.0), (length_mm, 5000.0)], **options)


def depth(depth_mm: float, **options: Any) -> MeasuredLine:
    """Return a measured fascia depth."""
    ends = [(0.0, 5000.0), (0.0, 5000.0 + depth_mm)]
    return line("depth", Role.FASCIA_DEPTH, ends, **options)


def rakes(
    span_mm: float, rise_mm: float, prefix: str = "", **options: Any
) -> tuple[MeasuredLine, ...]:
    """Return the two rakes of a gable."""
    apex = (span_mm / 2, 5000.0 + rise_mm)
    return (
        line(f"{prefix}left rake", Role.RAKE, [(0.0, 5000.0), apex], **options),
        line(f"{prefix}right rake", Role.RAKE, [(span_mm, 5000.0), apex], **options),
    )


def soffit(name: str, overhang_mm: float, height_mm: float = 5000.0) -> MeasuredSoffit:
    """Return a traced soffit with a ground pick, 4 mm sure."""
    source = (Input(f"{name} overhang", "picks", False),)
    one = np.array([[4.0]])
    return MeasuredSoffit(
        name=name,
        overhang=Uncertain(np.array([overhang_mm]), one, source),
        height=Uncertain(np.array([height_mm]), one, source),
        height_above="ground",
    )


def elevation(
    name: str, lines: tuple[Any, ...], soffits: tuple[MeasuredSoffit, ...] = ()
) -> MeasuredElevation:
    """Return a measured elevation; nothing reads its calibration here."""
    measured = tuple(entry for entry in lines if isinstance(entry, MeasuredLine))
    nothing: Any = SimpleNamespace(name=name)
    return MeasuredElevation(
        elevation=nothing,
        solution=nothing,
        lines=lines,
        soffits=soffits,
        gables=find_gables(measured),
        next_reference=None,
        cautions=(),
    )


def measured(*elevations: MeasuredElevation, title: str = "invented") -> MeasuredJob:
    """Return a measured job."""
    found = [(entry.name, each) for entry in elevations for each in entry.measured]
    combined = combine(found)
    return MeasuredJob(
        title=title,
        elevations=elevations,
        combined=combined,
        totals=totals(found, combined),
    )


SOUND = {"year_built": 2005, "soffit_look": "plastic"}
"""Facts of a house that nothing stops."""


def spec(**words: Any) -> TakeoffSpec:
    """Return the takeoff block of a house that nothing stops."""
    return TakeoffSpec.model_validate({**SOUND, **words})


def ends(**lines: tuple[str, str]) -> list[Mapping[str, str]]:
    """Return the ends of lines, underscores in their names read as blanks."""
    return [
        {"name": name.replace("_", " "), "start": start, "end": end}
        for name, (start, end) in lines.items()
    ]


def gabled(front_mm: float = 9200.0, scale: float = 1.0) -> MeasuredJob:
    """Return a house of two eaves and one gable, 8 m span, 3 m rise."""
    front = (
        eaves("front eaves", front_mm * scale, soffit="front soffit"),
        depth(208.0),
    )
    rear = (
        eaves("rear eaves", (front_mm - 700.0) * scale, photo="rear"),
        depth(208.0, photo="rear"),
    )
    side = rakes(8000.0 * scale, 3000.0 * scale, photo="side")
    return measured(
        elevation("front", front, (soffit("front soffit", 290.0),)),
        elevation("rear", rear, (soffit("rear soffit", 290.0),)),
        elevation("side", side),
    )


GABLED = {
    "lines": ends(
        front_eaves=("box end", "external corner"), rear_eaves=("external corner", "gable")
    ),
    "roof": {"barge_depth_mm": 220, "rafter_centres_mm": 600},
}
