"""References of the job file as references of the adjustment."""

from collections import Counter
from collections.abc import Callable
from typing import Any, Final

import numpy as np

from calibration.brick_formats import brick_format
from calibration.errors import BadReference
from calibration.references import (
    CountDirection,
    Courses,
    Distance,
    Level,
    Plumb,
    Points,
    Rectangle,
    Reference,
    ScaleError,
    Straight,
)
from calibration.references.courses import BED_SD_MM, PERPEND_SD_MM
from photomeasure.job.checks import (
    corners_in_order,
    ends_apart,
    picks_inside,
    same_count,
    spread_out,
)
from photomeasure.job.schema import (
    CoursesSpec,
    DistanceSpec,
    ElevationSpec,
    LevelSpec,
    PlumbSpec,
    PointsSpec,
    RectangleSpec,
    StraightSpec,
)

STATED_GAUGE_REL_SD: Final = 0.005
"""Spread of a gauge that is stated without one. Common practice, no source."""

LEAST_SD_MM: Final = 0.01
"""Nothing on a building is known better; keeps a stated zero from being a division."""

CONTRADICTION: Final = 0.12
"""A stated gauge this far from its format means a miscount or another format."""


LEAST_COUNT: Final = 0.5
"""Half a brick: perpends of every other course lie between the full counts."""


def build_references(spec: ElevationSpec, size_px: tuple[int, int]) -> list[Reference]:
    """Return the references of an elevation.

    Parameters
    ----------
    spec : ElevationSpec
    size_px : tuple of int
        Upright photo.

    Returns
    -------
    list of Reference
        In the file's order, names made unique.

    Raises
    ------
    BadReference
        Naming the place in the file.
    """
    names = _unique_names(spec)
    built = []
    for i, (entry, name) in enumerate(zip(spec.references, names, strict=True)):
        where = f"{spec.name}: references[{i}]"
        common = {
            "name": name,
            "pick_sd_px": entry.pick_sd_px or spec.pick_sd_px,
            "projection_mm": entry.projection_mm,
            "projection_sd_mm": float(
                np.hypot(entry.projection_sd_mm or 0.0, spec.wall_relief_sd_mm)
            ),
        }
        built.append(_BUILDERS[type(entry)](entry, where, size_px, common))
    return built


def _unique_names(spec: ElevationSpec) -> list[str]:
    totals = Counter(entry.kind for entry in spec.references)
    given = Counter(entry.name for entry in spec.references if entry.name)
    numbers: Counter[str] = Counter()
    names: list[str] = []
    for i, entry in enumerate(spec.references):
        numbers[entry.kind] += 1
        number = f" {numbers[entry.kind]}" if totals[entry.kind] > 1 else ""
        name = entry.name or f"{entry.kind}{number}"
        if entry.name and given[entry.name] > 1:
            raise BadReference(
                f"{spec.name}: references[{i}].name",
                f"{entry.name!r} names two references",
                "give each its own name",
            )
        while name in names:
            name += "'"
        names.append(name)
    return names


Common = dict[str, Any]
Size = tuple[int, int]


def _points(entry: PointsSpec, where: str, size: Size, common: Common) -> Reference:
    same_count(where, entry.picks, entry.wall_mm, "wall_mm points")
    picks = picks_inside(f"{where}.picks", entry.picks, size)
    spread_out(f"{where}.picks", picks)
    spread_out(f"{where}.wall_mm", np.array(entry.wall_mm))
    return Points(
        picks_px=picks,
        wall_mm=np.array(entry.wall_mm),
        sd_mm=max(entry.sd_mm, LEAST_SD_MM),
        rotated=entry.rotated,
        scale=_scale_error(entry, common["name"]),
        title=entry.name or "the wall points",
        **common,
    )


def _scale_error(entry: PointsSpec, name: str) -> ScaleError | None:
    across, up = entry.axis_scale_sd
    if not (entry.scale_sd or across or up):
        return None
    key = f"print of {entry.scale_of or name}"
    return ScaleError(key=key, sd=entry.scale_sd, across_sd=across, up_sd=up)


def _rectangle(entry: RectangleSpec, where: str, size: Size, common: Common) -> Reference:
    corners = picks_inside(f"{where}.corners", entry.corners, size)
    corners_in_order(f"{where}.corners", corners)
    sides = [f"{side:.0f}" if side else "?" for side in (entry.width_mm, entry.height_mm)]
    return Rectangle(
        picks_px=corners,
        width_mm=entry.width_mm,
        height_mm=entry.height_mm,
        sd_mm=max(entry.sd_mm, LEAST_SD_MM),
        rotated=entry.rotated,
        title=entry.name or f"the {' x '.join(sides)} mm rectangle",
        **common,
    )


def _distance(entry: DistanceSpec, where: str, size: Size, common: Common) -> Reference:
    ends = picks_inside(f"{where}.ends", entry.ends, size)
    ends_apart(f"{where}.ends", ends)
    return Distance(
        picks_px=ends,
        length_mm=entry.length_mm,
        sd_mm=max(entry.sd_mm, LEAST_SD_MM),
        direction=entry.direction,
        title=entry.name or f"the {entry.length_mm / 1000:g} m tape",
        **common,
    )


def _direction(
    entry: LevelSpec | PlumbSpec, where: str, size: Size, common: Common
) -> Reference:
    ends = picks_inside(f"{where}.ends", entry.ends, size)
    ends_apart(f"{where}.ends", ends)
    sd = None if entry.sd_mm is None else max(entry.sd_mm, LEAST_SD_MM)
    kind = Level if isinstance(entry, LevelSpec) else Plumb
    return kind(
        picks_px=ends, sd_mm=sd, title=entry.name or f"the {entry.kind} line", **common
    )


def _straight(entry: StraightSpec, where: str, size: Size, common: Common) -> Reference:
    picks = picks_inside(f"{where}.picks", entry.picks, size)
    spread_out(f"{where}.picks", picks)
    return Straight(
        picks_px=picks,
        sd_mm=max(entry.sd_mm, LEAST_SD_MM),
        title=entry.name or "the straight edge",
        **common,
    )


def _courses(entry: CoursesSpec, where: str, size: Size, common: Common) -> Reference:
    same_count(where, entry.picks, entry.counts, "counts")
    if max(entry.counts) - min(entry.counts) < LEAST_COUNT:
        raise BadReference(
            f"{where}.counts", "all counts are the same", "count from joint to joint"
        )
    for name in entry.may_be:
        brick_format(name, f"{where}.may_be")
    up = entry.direction is CountDirection.UP
    pitch, pitch_sd, said = _pitch(entry, where)
    scatter = BED_SD_MM if up else PERPEND_SD_MM
    return Courses(
        picks_px=picks_inside(f"{where}.picks", entry.picks, size),
        counts=np.array(entry.counts),
        direction=entry.direction,
        pitch_mm=pitch,
        pitch_sd_mm=pitch_sd,
        sd_mm=max(scatter if entry.sd_mm is None else entry.sd_mm, LEAST_SD_MM),
        pitch_key=f"gauge {entry.direction}: {said}",
        title=entry.name or ("the brick courses" if up else "the perpends"),
        **common,
    )


def _pitch(entry: CoursesSpec, where: str) -> tuple[float, float, str]:
    """Return pitch, its spread and what it rests on: tape before word before format."""
    usual = brick_format(entry.format, f"{where}.format") if entry.format else None
    up = entry.direction is CountDirection.UP
    by_format, rel_sd = None, 0.0
    if usual:
        by_format = usual.gauge_mm if up else usual.stretcher_mm
        rel_sd = usual.gauge_rel_sd if up else usual.stretcher_rel_sd
    if (entry.taped_count is None) != (entry.taped_mm is None):
        raise BadReference(
            where, "has only one of taped_count and taped_mm", "give both or neither"
        )
    if entry.taped_count and entry.taped_mm:
        pitch = entry.taped_mm / entry.taped_count
        sd = entry.taped_sd_mm / entry.taped_count
        said = f"taped {entry.taped_count} in {entry.taped_mm:g} mm"
    elif entry.gauge_mm:
        pitch = entry.gauge_mm
        sd = entry.gauge_sd_mm or STATED_GAUGE_REL_SD * pitch
        said = f"stated {pitch:g} +- {sd:g} mm"
    elif by_format:
        pitch, sd = by_format, entry.gauge_sd_mm or rel_sd * by_format
        said = f"{entry.format} +- {sd:g} mm"
    else:
        raise BadReference(
            where,
            "says neither format nor gauge",
            "name the brick format, give gauge_mm, or tape a run of courses",
        )
    if by_format and abs(pitch / by_format - 1.0) > CONTRADICTION:
        raise BadReference(
            where,
            f"a pitch of {pitch:.1f} mm contradicts {entry.format} ({by_format:.1f} mm)",
            "count again, or leave the format out",
        )
    return pitch, sd, said


_BUILDERS: Final[dict[type, Callable[..., Reference]]] = {
    PointsSpec: _points,
    RectangleSpec: _rectangle,
    DistanceSpec: _distance,
    LevelSpec: _direction,
    PlumbSpec: _direction,
    StraightSpec: _straight,
    CoursesSpec: _courses,
}
