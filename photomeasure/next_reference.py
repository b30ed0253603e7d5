"""Which one more reference would narrow the widest interval most.

A further observation ``a dx = l`` with variance ``r`` reduces the variance of a
length with gradient ``g`` by ``(g Q a')^2 / (a Q a' + r)``. With results kept as
``factor @ e`` both products are products of factor rows, so a candidate costs a
few multiplications and nothing is adjusted again.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from calibration.arrays import FloatArray
from calibration.camera import CAMERA_UNKNOWNS, OnWall
from calibration.priors import PLUMB_SD_PER_MM
from calibration.references import Courses
from calibration.solution import Solution
from photomeasure.job.build import Elevation
from photomeasure.results import MeasuredLine, NextReference

TAPE_MM: Final = 5000.0
"""A pocket tape along the wall; longer ones need a second person."""

TAPE_SD_MM: Final = 3.0
"""Tape of class II with its ends set by hand. Directive 2004/22/EC, MI-008, allows
1.3 mm at 5 m; setting the ends: common practice, no source."""

TAPED_COURSES: Final = 20
SHEET_MM: Final = (180.0, 260.0)
SHEET_SD_MM: Final = 0.5
OVERHANG_SD_MM: Final = 5.0
"""A soffit's width taped from a safe place. Common practice, no source."""

LEAST_GAIN: Final = 0.05
"""A smaller share of the uncertainty is not worth a walk."""


@dataclass(frozen=True, slots=True, eq=False)
class _Candidate:
    """A reference that a person could take: rows, their variances, and its words."""

    kind: str
    what: str
    rows: FloatArray
    variances: FloatArray


def best_next_reference(
    elevation: Elevation, solution: Solution, lines: Sequence[MeasuredLine]
) -> NextReference | None:
    """Return the one further reference that helps the worst length most.

    Parameters
    ----------
    elevation : Elevation
    solution : Solution
    lines : sequence of MeasuredLine

    Returns
    -------
    NextReference or None
        None if there is no line or nothing helps by more than a twentieth.
    """
    if not lines:
        return None
    worst = max(lines, key=lambda line: line.u_mm)
    own = worst.length.factor[0, : len(solution.inputs)]
    total = worst.u_mm**2
    found = [
        (total - _reduction(own, candidate, solution), candidate)
        for candidate in _candidates(elevation, solution, worst)
    ]
    found.extend(_by_projection(worst))
    variance, best = min(found, key=lambda pair: pair[0], default=(total, None))
    if best is None or variance > (1.0 - LEAST_GAIN) ** 2 * total:
        return None
    return NextReference(
        kind=best.kind,
        what=best.what,
        line=worst.name,
        u_now_mm=worst.u_mm,
        u_then_mm=float(np.sqrt(max(variance, 0.0))),
    )


def _reduction(own: FloatArray, candidate: _Candidate, solution: Solution) -> float:
    """Return how much variance a candidate takes from a length."""
    h = candidate.rows @ solution.factor
    cross = h @ own
    noise = np.diag(candidate.variances)
    return float(cross @ np.linalg.solve(h @ h.T + noise, cross))


def _by_projection(worst: MeasuredLine) -> Iterator[tuple[float, _Candidate]]:
    """Yield what stating the projection would do, if the line's own is a guess."""
    hanging = worst.trace.hanging
    keys = [source.key for source in worst.length.inputs]
    key = f"projection of {worst.name}"
    if hanging.soffit is not None or hanging.sd_mm <= OVERHANG_SD_MM or key not in keys:
        return
    share = float(worst.length.factor[0, keys.index(key)]) ** 2
    kept = share * (OVERHANG_SD_MM / hanging.sd_mm) ** 2
    none = np.zeros((0, 0))
    what = (
        f"Measure how far {worst.name} hangs in front of the wall, from a safe place, or "
        "trace both edges of its soffit."
    )
    yield (
        worst.u_mm**2 - share + kept,
        _Candidate("projection", what, none, np.zeros(0)),
    )


def _candidates(
    elevation: Elevation, solution: Solution, worst: MeasuredLine
) -> Iterator[_Candidate]:
    wall, _ = solution.network.place(solution.adjustment.state, solution.network.picks_px)
    line = worst.coordinates.values.reshape(-1, 2)
    seen = np.concatenate([wall.xy_mm, line])
    low, high = seen.min(axis=0), seen.max(axis=0)
    pick_sd = float(np.mean([r.pick_sd_px for r in elevation.references]))
    sds = (pick_sd, elevation.relief_sd_mm)

    reach = min(TAPE_MM, 0.9 * (high[0] - low[0]))
    middle = (low[0] + high[0]) / 2.0
    along = np.array([[middle - reach / 2, low[1]], [middle + reach / 2, low[1]]])
    yield _tape(
        solution,
        along,
        sds,
        f"Tape a level {reach / 1000:.1f} m along the foot of the wall and pick its ends.",
    )
    yield from _taped_courses(solution)
    yield from _taped_overhang(solution, worst)
    yield _sheet(solution, line, low, sds, worst.name)
    upright = np.array([[low[0], low[1]], [low[0], high[1]]])
    yield _plumb_line(solution, upright, pick_sd)


def _place(solution: Solution, ends_mm: FloatArray) -> OnWall:
    camera = solution.camera
    points = np.c_[ends_mm, np.zeros(len(ends_mm))]
    return camera.back_project(camera.project(points), np.zeros(len(ends_mm)))


def _difference(
    solution: Solution, ends_mm: FloatArray, unit: FloatArray, pick_sd: float
) -> tuple[FloatArray, float, float]:
    """Return row, pick variance and relief slope of ``unit . (b - a)``."""
    wall = _place(solution, ends_mm)
    row = np.zeros(solution.network.size)
    row[:CAMERA_UNKNOWNS] = unit @ (wall.wrt_camera[1] - wall.wrt_camera[0])
    picks = np.concatenate([unit @ wall.wrt_px[0], unit @ wall.wrt_px[1]])
    relief = float(unit @ (wall.wrt_z[1] - wall.wrt_z[0]))
    return row, pick_sd**2 * float(picks @ picks), relief


def _tape(
    solution: Solution, ends_mm: FloatArray, sds: tuple[float, float], what: str
) -> _Candidate:
    """Return a tape along the wall; ``sds`` are those of picks (px) and relief (mm)."""
    pick_sd, relief_sd = sds
    along = ends_mm[1] - ends_mm[0]
    row, picks, relief = _difference(solution, ends_mm, along / np.hypot(*along), pick_sd)
    variance = picks + TAPE_SD_MM**2 + (relief * relief_sd) ** 2
    return _Candidate("distance", what, row[None], np.array([variance]))


def _plumb_line(solution: Solution, ends_mm: FloatArray, pick_sd: float) -> _Candidate:
    row, picks, _ = _difference(solution, ends_mm, np.array([1.0, 0.0]), pick_sd)
    height = float(ends_mm[1, 1] - ends_mm[0, 1])
    variance = picks + (PLUMB_SD_PER_MM * height) ** 2
    what = "Pick a plumb edge (quoin, downpipe, jamb) over the full height of the wall."
    return _Candidate("plumb", what, row[None], np.array([variance]))


def _sheet(
    solution: Solution,
    line: FloatArray,
    low: FloatArray,
    sds: tuple[float, float],
    name: str,
) -> _Candidate:
    """Return a sheet near a line; ``sds`` as for a tape."""
    pick_sd, relief_sd = sds
    centre = np.array([line[:, 0].mean(), max(line[:, 1].min() - 500.0, low[1])])
    rows, variances = [], []
    for axis, size in enumerate(SHEET_MM):
        step = np.eye(2)[axis] * size / 2.0
        ends = np.array([centre - step, centre + step])
        row, picks, relief = _difference(solution, ends, np.eye(2)[axis], pick_sd)
        rows.append(row)
        variances.append(picks + SHEET_SD_MM**2 + (relief * relief_sd) ** 2)
    what = (
        f"Fix a printed sheet of known size to the wall near {name} where that is safe, "
        "from a window for instance, and take the photo again."
    )
    return _Candidate("rectangle", what, np.array(rows), np.array(variances))


def _taped_courses(solution: Solution) -> Iterator[_Candidate]:
    for reference in solution.network.references:
        if isinstance(reference, Courses):
            row = np.zeros((1, solution.network.size))
            row[0, solution.network.column(reference.pitch_key)] = 1.0
            what = f"Tape a run of {TAPED_COURSES} courses of {reference.title}."
            variance = np.array([(TAPE_SD_MM / TAPED_COURSES) ** 2])
            yield _Candidate("courses", what, row, variance)


def _taped_overhang(solution: Solution, worst: MeasuredLine) -> Iterator[_Candidate]:
    soffit = worst.trace.hanging.soffit
    if soffit is not None:
        row = np.zeros((1, solution.network.size))
        row[0, solution.network.column(f"{soffit}: overhang")] = 1.0
        what = f"Measure the width of {soffit} from a safe place and state it."
        yield _Candidate("projection", what, row, np.array([OVERHANG_SD_MM**2]))
