"""What was read from a photo, for a person and as data."""

from collections import Counter
from collections.abc import Iterator
from typing import Any, Final

from calibration.errors import printable
from photomeasure.job.schema import FORMAT_VERSION, Role
from photomeasure.layout import heading, in_columns, marked
from photomeasure.reading.model import (
    Ask,
    FoundLine,
    FoundReference,
    PhotoReading,
    Question,
    likely,
)
from photomeasure.result_json import job_json
from photomeasure.results import COVERAGE_FACTOR


def reading_text(reading: PhotoReading) -> str:
    """Return what was found, as text; lengths of used lines follow as a table.

    Parameters
    ----------
    reading : PhotoReading

    Returns
    -------
    str
    """
    width, height = reading.size_px
    lines = [*heading(reading.photo.name), f"{width} x {height} px", ""]
    lines += _scale(reading)
    lines += ["", *_offers(reading.lines)] if reading.lines else []
    for mark, said in (
        ("- ", reading.missing),
        ("! ", reading.notes),
        ("? ", tuple(map(asked, reading.questions))),
        ("= ", (reading.refused,) if reading.refused else ()),
    ):
        lines += [""] if said else []
        for sentence in said:
            lines += marked(mark, sentence)
    return "\n".join(lines) + "\n"


_HOW: Final = {
    Ask.COUNT: "Look at the courses that were counted, then run again with --accept.",
    Ask.COUNT_AND_FORMAT: "Look at the courses that were counted, then run again with "
    "--accept and the --format that it is.",
    Ask.FORMAT: "State --format, or tape ten courses (--taped-courses 10 MM).",
    Ask.LINE: "Give the right one its role in the job file and delete the others.",
    Ask.FIT: "",
}


def asked(question: Question) -> str:
    """Return a question with what to do about it at the command line.

    Parameters
    ----------
    question : Question

    Returns
    -------
    str
    """
    return f"{question.said} {_HOW[question.ask]}".strip()


def _scale(reading: PhotoReading) -> Iterator[str]:
    """Yield one paragraph for each thing that gives scale, and a count of edges."""
    for found in reading.references:
        if found.source != "edges":
            sure = likely(found.confidence) + ("" if found.used else ", not used")
            yield from marked(f"{found.spec.name}: ", f"{found.said} ({sure})")
    edges = [found for found in reading.references if found.source == "edges"]
    if edges:
        kinds = Counter(found.spec.kind for found in edges)
        counts = ", ".join(f"{count} {kind}" for kind, count in kinds.items())
        out = "" if edges[0].used else " (not used)"
        yield from marked("edges: ", f"{counts}{out}")
    if not reading.references:
        yield "no references were found"


def _offers(lines: tuple[FoundLine, ...]) -> Iterator[str]:
    rows = [("line", "how likely", "this edge", "", "length mm", "+- 95 %")]
    for line in lines:
        length = ("", "")
        if line.measured:
            half = COVERAGE_FACTOR * line.measured.u_mm
            length = (f"{line.measured.length_mm:.0f}", f"{half:.0f}")
        what = "in the job" if line.used else "offered"
        name = printable(line.spec.name)
        rows.append((name, likely(line.board), likely(line.confidence), what, *length))
    yield from in_columns(rows, "<>><>>")


def job_document(reading: PhotoReading) -> dict[str, Any]:
    """Return the job file of what was read, for a person to correct.

    Parameters
    ----------
    reading : PhotoReading

    Returns
    -------
    dict
        Offered lines have the role ``other`` and names that say what they may be.
    """
    spec = reading.elevation.model_dump(mode="json", exclude_defaults=True)
    spec["references"] = [_with_kind(found) for found in reading.references if found.used]
    return {
        "photomeasure_job": FORMAT_VERSION,
        "title": f"read from {printable(reading.photo.name)}",
        "elevations": [spec],
    }


def _with_kind(found: FoundReference) -> dict[str, Any]:
    """Return a reference in the form of the job file."""
    words: dict[str, Any] = found.spec.model_dump(mode="json", exclude_defaults=True)
    return {"kind": found.spec.kind} | words


def reading_json(reading: PhotoReading) -> dict[str, Any]:
    """Return everything that was read as data.

    Parameters
    ----------
    reading : PhotoReading

    Returns
    -------
    dict
        ``references``, ``proposals``, ``questions``, ``missing``, ``notes`` and
        ``result``, the last as ``photomeasure measure --json`` prints it.
    """
    return {
        "references": [
            {
                "reference": _with_kind(found),
                "source": found.source,
                "confidence": round(found.confidence, 4),
                "said": found.said,
                "used": found.used,
                "drawn": {"lines": [line.round(2).tolist() for line in found.drawn_px]},
            }
            for found in reading.references
        ],
        "proposals": [_proposal(line) for line in reading.lines],
        "questions": [
            {"said": question.said, "ask": str(question.ask)}
            for question in reading.questions
        ],
        "missing": list(reading.missing),
        "notes": list(reading.notes),
        "refused": reading.refused or None,
        "result": job_json(reading.job) if reading.measured else None,
    }


def _proposal(line: FoundLine) -> dict[str, Any]:
    length = line.measured
    return {
        "name": line.spec.name,
        "role": str(line.spec.role),
        "picks": [list(pick) for pick in line.spec.picks],
        "pick_sd_px": line.spec.pick_sd_px,
        "confidence": round(line.confidence, 4),
        "board": round(line.board, 4),
        "said": line.said,
        "used": line.used,
        "needs_projection": line.spec.role is Role.RIDGE,
        "length_mm": round(length.length_mm, 2) if length else None,
        "u_mm": round(length.u_mm, 2) if length else None,
    }
