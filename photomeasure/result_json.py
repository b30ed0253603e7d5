"""A measured job as JSON, version 1 of the result format."""

from collections.abc import Sequence
from typing import Any, Final

import numpy as np

from calibration.errors import EstimationError
from calibration.reliability import ReferenceReport
from calibration.snooping import Finding
from calibration.solution import Solution
from calibration.uncertain import Uncertain
from photomeasure.cautions import ALWAYS, about_photos
from photomeasure.results import (
    CombinedLine,
    Gable,
    MeasuredElevation,
    MeasuredJob,
    MeasuredLine,
    NextReference,
    RefusedElevation,
    RefusedLine,
    RoleTotal,
    degrees,
    interval95,
    single,
)

RESULT_VERSION: Final = 1

_DIGITS: Final = 3
"""Micrometres: below every uncertainty, and the same digits on every machine."""

Json = dict[str, Any]


def job_json(job: MeasuredJob) -> Json:
    """Return a measured job as plain JSON data.

    Parameters
    ----------
    job : MeasuredJob

    Returns
    -------
    dict
        Only finite numbers, strings, booleans, null, lists and dicts.
    """
    return {
        "photomeasure_result": RESULT_VERSION,
        "title": job.title,
        "elevations": [
            _refused(entry) if isinstance(entry, RefusedElevation) else _elevation(entry)
            for entry in job.elevations
        ],
        "combined": [_combined(line) for line in job.combined],
        "totals": [_total(total) for total in job.totals],
        "cautions": [*about_photos(job.combined), *ALWAYS],
    }


def _refused(entry: RefusedElevation) -> Json:
    cause = "references" if isinstance(entry.error, EstimationError) else "input"
    return {"name": entry.name, "error": {"cause": cause, "message": entry.sentence}}


def _elevation(entry: MeasuredElevation) -> Json:
    return {
        "name": entry.name,
        "size_px": list(entry.elevation.size_px),
        "camera": _camera(entry.solution),
        "adjustment": _adjustment(entry.solution),
        "lines": [_line(line) for line in entry.lines],
        "soffits": [
            {
                "name": soffit.name,
                **_quantity("overhang_mm", soffit.overhang, u_key="u_mm"),
                **_quantity("height_mm", soffit.height, u_key="height_u_mm"),
                "height_above": soffit.height_above,
            }
            for soffit in entry.soffits
        ],
        "gables": [_gable(gable) for gable in entry.gables],
        "best_next_reference": _next(entry.next_reference),
        "cautions": list(entry.cautions),
    }


def _camera(solution: Solution) -> Json:
    camera = solution.camera
    relative = float(np.sqrt(solution.factor[0] @ solution.factor[0]))
    return {
        "focal_px": _round(camera.focal_px),
        "focal_sd_px": _round(camera.focal_px * relative),
        "centre_px": [_round(value) for value in camera.centre_px],
        "distortion_k1": round(camera.k1, 6),
        "distortion_k2": round(camera.k2, 6),
        "tilt_deg": _round(np.degrees(camera.tilt_rad)),
        "yaw_deg": _round(np.degrees(camera.yaw_rad)),
        "roll_deg": _round(np.degrees(camera.roll_rad)),
        "standoff_mm": _round(camera.standoff_mm),
    }


def _adjustment(solution: Solution) -> Json:
    reliability = solution.reliability
    return {
        "variance_factor": round(reliability.variance_factor, 4),
        "degrees_of_freedom": reliability.degrees_of_freedom,
        "global_test_passed": reliability.passed,
        "widened_by": round(solution.inflation, 3),
        "references": [_report(report) for report in reliability.references],
    }


def _report(report: ReferenceReport) -> Json:
    return {
        "name": report.name,
        "kind": report.kind,
        "redundancy": round(report.redundancy, 4),
        "standardised_residual": round(report.worst.w, 3) if report.worst else None,
        "suspect": report.suspect,
        "worst": _finding(report.worst),
        "size": _finding(report.size),
    }


def _finding(finding: Finding | None) -> Json | None:
    """Return a test: sizes in per cent, picks and lines in millimetres."""
    if finding is None:
        return None
    gain, unit = (100.0, "percent") if finding.what == "size" else (1.0, "mm")
    found = finding.smallest_found
    return {
        "of": finding.what,
        "pick": finding.pick,
        "standardised_residual": round(finding.w, 3),
        "redundancy": round(finding.checked, 4),
        f"estimated_error_{unit}": _round(gain * finding.excess),
        f"smallest_error_found_{unit}": _round(gain * found)
        if np.isfinite(found)
        else None,
    }


def _line(line: MeasuredLine | RefusedLine) -> Json:
    if isinstance(line, RefusedLine):
        return {"name": line.name, "role": line.role, "refused": line.reason}
    pitch = degrees(line.pitch) if line.pitch else None
    hanging = line.trace.hanging
    shared, own = float(line.length.u_model()[0]), line.u_mm
    return {
        "name": line.name,
        "role": line.role,
        **_quantity("length_mm", line.length, u_key="u_mm"),
        "u_model_mm": _round(shared),
        "u_sampling_mm": _round(float(np.sqrt(max(own**2 - shared**2, 0.0)))),
        "interval95_mm": _interval(line.length),
        "pitch_deg": _round(pitch[0]) if pitch else None,
        "pitch_u_deg": _round(pitch[1]) if pitch else None,
        "segments_mm": [_round(value) for value in line.segments.values],
        "points_mm": [[_round(value) for value in point] for point in line.points_mm],
        "projection": {
            "from": "soffit"
            if hanging.soffit
            else "assumed"
            if hanging.assumed
            else "stated",
            "mm": _round(float(line.points_mm[0, 2])),
        },
        "budget_mm": {
            label: _round(part)
            for label, part in line.length.budget().items()
            if part >= 0.05 * line.u_mm
        },
    }


def _gable(gable: Gable) -> Json:
    pitch, pitch_u = degrees(gable.pitch)
    return {
        **_quantity("span_mm", gable.span, u_key="span_u_mm"),
        "pitch_deg": _round(pitch),
        "pitch_u_deg": _round(pitch_u),
        "rakes": [
            {
                "name": check.name,
                "traced_mm": _round(check.traced_mm),
                "half_span_and_pitch_mm": _round(check.half_span_mm),
                **_quantity("difference_mm", check.difference, u_key="difference_u_mm"),
                "agrees": check.agrees,
            }
            for check in gable.checks
        ],
    }


def _next(reference: NextReference | None) -> Json | None:
    if reference is None:
        return None
    return {
        "kind": reference.kind,
        "what": reference.what,
        "line": reference.line,
        "u_now_mm": _round(reference.u_now_mm),
        "u_then_mm": _round(reference.u_then_mm),
    }


def _combined(line: CombinedLine) -> Json:
    return {
        "name": line.name,
        "role": line.role,
        **_quantity("length_mm", line.combined, u_key="u_mm"),
        "interval95_mm": _interval(line.combined),
        "photos": [
            {
                "elevation": elevation,
                **_quantity("length_mm", line.lengths[[i]], u_key="u_mm"),
            }
            for i, elevation in enumerate(line.elevations)
        ],
        "zeta_score": _round(line.score),
        "agrees": line.agrees,
    }


def _total(total: RoleTotal) -> Json:
    return {
        "role": total.role,
        "lines": total.count,
        **_quantity("length_mm", total.total, u_key="u_mm"),
        "interval95_mm": _interval(total.total),
    }


def _quantity(key: str, results: Uncertain, *, u_key: str) -> Json:
    value, u = single(results)
    return {key: _round(value), u_key: _round(u)}


def _interval(results: Uncertain) -> Sequence[float]:
    return [_round(end) for end in interval95(*single(results))]


def _round(value: float) -> float:
    return round(float(value), _DIGITS)
