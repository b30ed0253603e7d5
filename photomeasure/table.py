"""A measured job as a table that a person reads on a small screen."""

from collections.abc import Iterator

from calibration.errors import printable
from photomeasure.cautions import ALWAYS, about_photos
from photomeasure.layout import WIDTH, heading, in_columns, marked
from photomeasure.results import (
    COVERAGE_FACTOR,
    Gable,
    MeasuredElevation,
    MeasuredJob,
    MeasuredLine,
    MeasuredSoffit,
    RefusedElevation,
    degrees,
    single,
)
from photomeasure.terminal import folded


def job_table(job: MeasuredJob) -> str:
    """Return a measured job as text.

    Parameters
    ----------
    job : MeasuredJob

    Returns
    -------
    str
        Lengths in millimetres with half-widths of their 95 % intervals.
    """
    blocks = [folded(printable(job.title), WIDTH)] if job.title else []
    for entry in job.elevations:
        if isinstance(entry, RefusedElevation):
            blocks.append([*heading(entry.name), *marked("Not measured: ", entry.sentence)])
        else:
            blocks.append(list(_elevation(entry)))
    blocks.append(list(_together(job)))
    blocks.append([line for text in ALWAYS for line in marked("! ", text)])
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _elevation(entry: MeasuredElevation) -> Iterator[str]:
    yield from heading(entry.name)
    camera = entry.solution.camera
    (yaw, tilt) = (
        round(angle * 180 / 3.141592653589793)
        for angle in (camera.yaw_rad, camera.tilt_rad)
    )
    yield f"seen from {camera.standoff_mm / 1000:.1f} m, {yaw:+d}° round, {tilt:+d}° up"
    yield ""
    rows = [_row(line) for line in entry.measured]
    header = ("line", "role", "length mm", "+- 95 %", "pitch")
    if rows:
        yield from in_columns([header, *rows], "<<>>>")
    else:
        yield "no line was measured"
    for soffit in entry.soffits:
        yield from marked("", _soffit(soffit))
    for gable in entry.gables:
        yield from _gable(gable)
    if entry.cautions:
        yield ""
    for caution in entry.cautions:
        yield from marked("! ", caution)
    if entry.next_reference:
        best = entry.next_reference
        now, then = (COVERAGE_FACTOR * u for u in (best.u_now_mm, best.u_then_mm))
        text = f"{best.what} ({best.line}: from +-{now:.0f} to +-{then:.0f} mm)"
        yield from marked("Next: ", text)


def _soffit(soffit: MeasuredSoffit) -> str:
    (width, width_u), (height, height_u) = single(soffit.overhang), single(soffit.height)
    return (
        f"{soffit.name}: {width:.0f} +- {COVERAGE_FACTOR * width_u:.0f} mm wide, "
        f"{height:.0f} +- {COVERAGE_FACTOR * height_u:.0f} mm above the "
        f"{soffit.height_above}"
    )


def _gable(gable: Gable) -> Iterator[str]:
    span, pitch = single(gable.span), degrees(gable.pitch)
    yield (
        f"gable: span {span[0]:.0f} +- {COVERAGE_FACTOR * span[1]:.0f} mm, pitch "
        f"{pitch[0]:.1f} +- {COVERAGE_FACTOR * pitch[1]:.1f}°"
    )
    for check in gable.checks:
        verdict = "agrees" if check.agrees else "DOES NOT AGREE"
        yield from marked(
            "  ",
            f"{check.name}: traced {check.traced_mm:.0f}, by half span and pitch "
            f"{check.half_span_mm:.0f} mm: {verdict}",
        )


def _row(line: MeasuredLine) -> tuple[str, ...]:
    pitch = f"{degrees(line.pitch)[0]:.1f}°" if line.pitch else "bent"
    return (
        printable(line.name),
        str(line.role).replace("_", " "),
        f"{line.length_mm:.0f}",
        f"{COVERAGE_FACTOR * line.u_mm:.0f}",
        pitch,
    )


def _together(job: MeasuredJob) -> Iterator[str]:
    measured = [e for e in job.elevations if isinstance(e, MeasuredElevation)]
    if not measured or not job.totals:
        return
    yield from heading("all photos together")
    rows = [("", "", "length mm", "+- 95 %")]
    for line in job.combined:
        value, u = single(line.combined)
        verdict = "photos agree" if line.agrees else "PHOTOS DISAGREE"
        text = f"{len(line.elevations)} photos: {verdict}"
        rows.append(
            (printable(line.name), text, f"{value:.0f}", f"{COVERAGE_FACTOR * u:.0f}")
        )
    for total in job.totals:
        value, u = single(total.total)
        lines = f"{total.count} line{'s' if total.count > 1 else ''}"
        role = str(total.role).replace("_", " ")
        rows.append((f"all {role}", lines, f"{value:.0f}", f"{COVERAGE_FACTOR * u:.0f}"))
    yield from in_columns(rows, "<<>>")
    for text in about_photos(job.combined):
        yield from marked("! ", text)
