"""Lengths of an elevation as it is on the screen, and what it leaves open."""

from pathlib import Path
from typing import Any, Final

from pydantic import ValidationError

from calibration.errors import MeasureError
from photomeasure.display import Display
from photomeasure.job.build import build_elevation
from photomeasure.job.complaints import complaint
from photomeasure.job.schema import ElevationSpec
from photomeasure.job.takeoff import TakeoffSpec
from photomeasure.measure import measure_elevation
from photomeasure.open_questions import open_format, open_print, with_print_size
from photomeasure.results import RefusedElevation
from photomeasure.sheets.printed import PrintSize
from ui.server import answers
from ui.server.failures import BadRequest
from ui.server.office import Office, Opened

Json = dict[str, Any]

_COUNTRIES: Final = {
    "uk": "United Kingdom",
    "ireland": "Ireland",
    "usa": "United States",
}
"""As the list of brick formats calls the countries of the take-off's rules."""


def measure_answer(office: Office, opened: Opened, body: Json) -> Json:
    """Measure an elevation as it is on the screen, saved or not.

    Parameters
    ----------
    office : Office
    opened : Opened
    body : dict
        ``seq``, ``elevation`` and perhaps ``unit``.

    Returns
    -------
    dict
        ``ok`` false with a sentence if nothing can be measured yet.
    """
    seq = body.get("seq")
    try:
        spec = ElevationSpec.model_validate(body.get("elevation"))
    except ValidationError as error:
        return {"seq": seq, **_nothing(str(complaint(error, "this elevation")))}
    told = {"seq": seq, "questions": _questions(spec, opened)}
    try:
        built = build_elevation(office.readable(opened, spec), Path())
        entry = measure_elevation(built, office.adjustments.of(built))
    except MeasureError as error:
        refusal = RefusedElevation(name=spec.name, error=error)
        return {**_nothing(refusal.sentence), **told}
    return {**answers.measured_answer(entry, spec, display_of(body)), **told}


def _nothing(message: str) -> Json:
    return {
        "ok": False,
        "message": message,
        "lines": [],
        "soffits": [],
        "cautions": [],
        "scale": {"said": message, "best_next": None, "gain": None},
        "references": [],
        "questions": [],
    }


def _questions(spec: ElevationSpec, opened: Opened) -> list[Json]:
    """Return what an elevation leaves open, for a person to settle."""
    told: list[Json] = []
    bricks = open_format(spec, country_of(opened))
    if bricks is not None:
        places, formats = list(bricks.references), list(bricks.formats)
        told.append({"ask": "format", "references": places, "formats": formats})
    sheets = open_print(spec)
    if sheets is not None:
        told.append({"ask": "print", "references": list(sheets.references)})
    return told


def country_of(opened: Opened) -> str:
    """Return the country of the job's take-off, stated or usual, in words."""
    takeoff = opened.document.get("takeoff")
    stated = takeoff.get("country") if isinstance(takeoff, dict) else None
    return _COUNTRIES.get(str(stated or TakeoffSpec().country), "")


def print_size_answer(opened: Opened, body: Json) -> Json:
    """Return the references of an elevation whose sheets were measured with a ruler.

    Parameters
    ----------
    opened : Opened
        The job.
    body : dict
        ``elevation``, ``line_a_mm`` and ``line_b_mm``; either reading may be null.

    Returns
    -------
    dict

    Raises
    ------
    InputError
    """
    try:
        spec = ElevationSpec.model_validate(body.get("elevation"))
    except ValidationError as error:
        raise complaint(error, f"an elevation of {opened.title!r}") from None
    line_a, line_b = (_reading(body, key) for key in ("line_a_mm", "line_b_mm"))
    measured = with_print_size(spec, PrintSize(line_a_mm=line_a, line_b_mm=line_b))
    return {"references": answers.written(measured)["references"]}


def _reading(body: Json, key: str) -> float | None:
    value = body.get(key)
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise BadRequest(f"gives a {key} that is no number")
    return float(value)


def display_of(body: Json) -> Display:
    """Return the units that a request wants lengths to be said in."""
    return Display.FEET if body.get("unit") == Display.FEET else Display.MM
