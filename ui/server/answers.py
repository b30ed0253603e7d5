"""What the drawing module is told, as plain data."""

from typing import Any
from urllib.parse import quote

from pydantic import BaseModel

from calibration.brick_formats import FORMATS
from calibration.reliability import ReferenceReport
from photomeasure.cautions import ALWAYS
from photomeasure.display import Display, said, said_half
from photomeasure.job.roles import RUNS_AWAY, USUAL_PROJECTION
from photomeasure.job.schema import ElevationSpec, Role
from photomeasure.previews import TILE_PX, Pyramid, preview_size
from photomeasure.results import (
    COVERAGE_FACTOR,
    MeasuredElevation,
    MeasuredLine,
    RefusedLine,
    interval95,
    single,
)
from photomeasure.scale import say_scale
from ui.panels.plainly import plainly
from ui.texts import said as text

Json = dict[str, Any]

_DIGITS = 3
"""Micrometres, as in the result file."""


def written(spec: BaseModel) -> Json:
    """Return a part of a job file as the file has it."""
    return spec.model_dump(mode="json", exclude_none=True)


def photo_answer(job_id: str, sha256: str, size_px: tuple[int, int]) -> Json:
    """Return where the pictures of a photo are."""
    base = f"/work-on/{job_id}/photos/{sha256}"
    pyramid = Pyramid(size_px)
    return {
        "size_px": list(size_px),
        "preview": f"{base}/preview.jpg",
        "preview_size_px": list(preview_size(size_px)),
        "thumb": f"{base}/thumb.jpg",
        "tiles": {
            "size": TILE_PX,
            "levels": pyramid.levels,
            "url": f"{base}/tiles/{{level}}/{{column}}/{{row}}.jpg",
        },
    }


def wall_url(job_id: str, elevation: str, number: int) -> str:
    """Return where the rectified view of an elevation is."""
    return f"/work-on/{job_id}/wall/{quote(elevation, safe='')}.jpg?revision={number}"


def rules_answer() -> Json:
    """Return the closed lists that a person chooses from while drawing."""
    return {
        "roles": [
            {
                "role": str(role),
                "usual_projection_mm": usual.mean_mm if usual else None,
                "on_wall": bool(usual and usual.on_wall),
                "measurable": role not in RUNS_AWAY,
            }
            for role in Role
            for usual in (USUAL_PROJECTION[role],)
        ],
        "formats": [
            {
                "name": entry.name,
                "country": entry.country,
                "gauge_mm": entry.gauge_mm,
                "stretcher_mm": entry.stretcher_mm,
            }
            for entry in FORMATS.values()
        ],
    }


def measured_answer(
    entry: MeasuredElevation, spec: ElevationSpec, display: Display
) -> Json:
    """Return the lengths of an elevation while it is drawn.

    Parameters
    ----------
    entry : MeasuredElevation
    spec : ElevationSpec
        What it was measured from; references answer in its order.
    display : Display

    Returns
    -------
    dict
    """
    best = entry.next_reference
    return {
        "ok": True,
        "lines": [_line(line, display) for line in entry.lines],
        "soffits": [
            {
                "name": soffit.name,
                "overhang_mm": _round(single(soffit.overhang)[0]),
                "u_mm": _round(single(soffit.overhang)[1]),
                "said": said(*single(soffit.overhang), display),
                "height_said": said(*single(soffit.height), display),
                "height_above": soffit.height_above,
            }
            for soffit in entry.soffits
        ],
        "cautions": [plainly(caution) for caution in (*entry.cautions, *ALWAYS)],
        "scale": {
            "said": say_scale(entry, display),
            "best_next": best.what if best else None,
            "gain": _gain(entry, display),
        },
        "references": [
            _reference(index, report)
            for index, report in enumerate(
                entry.solution.reliability.references[: len(spec.references)]
            )
        ],
    }


def _gain(entry: MeasuredElevation, display: Display) -> str | None:
    """Return what the best next reference would bring, in words."""
    best = entry.next_reference
    if best is None:
        return None
    now, then = (
        said_half(COVERAGE_FACTOR * u, display) for u in (best.u_now_mm, best.u_then_mm)
    )
    return f"{best.line}: from ± {now} to ± {then}"


def _line(line: MeasuredLine | RefusedLine, display: Display) -> Json:
    if isinstance(line, RefusedLine):
        return {"name": line.name, "role": str(line.role), "refused": plainly(line.reason)}
    return {
        "name": line.name,
        "role": str(line.role),
        "length_mm": _round(line.length_mm),
        "u_mm": _round(line.u_mm),
        "interval95_mm": [_round(end) for end in interval95(line.length_mm, line.u_mm)],
        "said": said(line.length_mm, line.u_mm, display),
        "assumed": line.trace.hanging.assumed,
    }


def _reference(index: int, report: ReferenceReport) -> Json:
    if report.suspect:
        words = text("references", "suspect")
    elif report.worst is None:
        words = text("references", "alone")
    else:
        words = text("references", "fits")
    return {
        "index": index,
        "name": report.name,
        "suspect": report.suspect,
        "said": words,
    }


def _round(value: float) -> float:
    return round(float(value), _DIGITS)
