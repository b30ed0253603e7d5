"""All papers of a job as files, in the forms that were asked for."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from calibration.errors import InputError
from photomeasure.annotate import file_name
from photomeasure.papers import texts
from photomeasure.papers.content import Paper
from photomeasure.papers.costing import costing
from photomeasure.papers.csv_file import csv_bytes
from photomeasure.papers.cut_list import cut_list
from photomeasure.papers.dossier import Dossier
from photomeasure.papers.drawing import dxf_bytes
from photomeasure.papers.json_file import json_bytes
from photomeasure.papers.order import order
from photomeasure.papers.quotation import quotation
from photomeasure.papers.take_off import take_off
from photomeasure.papers.wording import half_mm


class Form(StrEnum):
    """How a paper is written."""

    PDF = "pdf"
    XLSX = "xlsx"
    CSV = "csv"
    JSON = "json"


class Which(StrEnum):
    """Papers there are."""

    QUOTATION = "quotation"
    ORDER = "order"
    CUT_LIST = "cut-list"
    TAKE_OFF = "take-off"
    COSTING = "costing"
    DRAWING = "drawing"


NEED_PRICES: Final = frozenset({Which.QUOTATION, Which.COSTING})
"""Made by default only if there is a price book."""

_MAKERS: Final[dict[Which, Callable[[Dossier], Paper]]] = {
    Which.QUOTATION: quotation,
    Which.ORDER: order,
    Which.CUT_LIST: cut_list,
    Which.TAKE_OFF: take_off,
    Which.COSTING: costing,
}


@dataclass(frozen=True, slots=True)
class Produced:
    """Papers as files.

    Attributes
    ----------
    files : dict of str to bytes
        By name.
    refusals : tuple of InputError
        Papers that cannot be made, and why.
    """

    files: dict[str, bytes]
    refusals: tuple[InputError, ...]


def produce(dossier: Dossier, which: Sequence[Which], forms: Sequence[Form]) -> Produced:
    """Make papers.

    Parameters
    ----------
    dossier : Dossier
    which : sequence of Which
    forms : sequence of Form
        Of all papers but drawings, which are DXF.

    Returns
    -------
    Produced
        One paper that cannot be made does not lose the others.
    """
    files: dict[str, bytes] = {}
    refusals: list[InputError] = []
    for entry in dict.fromkeys(which):
        if entry is Which.DRAWING:
            files.update(_drawings(dossier))
            continue
        try:
            paper = paper_of(entry, dossier)
        except InputError as refusal:
            refusals.append(refusal)
            continue
        for form in dict.fromkeys(forms):
            files[f"{paper.key}.{form}"] = _written(paper, dossier, form)
    return Produced(files, tuple(refusals))


def paper_of(which: Which, dossier: Dossier) -> Paper:
    """Return what a paper says, before it is written.

    Parameters
    ----------
    which : Which
        Any but the drawing.
    dossier : Dossier

    Returns
    -------
    Paper

    Raises
    ------
    InputError
        If it cannot be made, as a quotation without prices.
    """
    return _MAKERS[which](dossier)


def _written(paper: Paper, dossier: Dossier, form: Form) -> bytes:
    # PDF and XLSX import their libraries only when they are wanted.
    match form:
        case Form.PDF:
            from photomeasure.papers.pdf.document import pdf_bytes

            return pdf_bytes(paper)
        case Form.XLSX:
            from photomeasure.papers.workbook import xlsx_bytes

            return xlsx_bytes(paper, dossier.date)
        case Form.CSV:
            return csv_bytes(paper)
        case Form.JSON:
            return json_bytes(paper)


def _drawings(dossier: Dossier) -> Iterator[tuple[str, bytes]]:
    for number, entry in enumerate(dossier.elevations, start=1):
        if entry.measured:
            half = half_mm(max(line.u_mm for line in entry.measured))
            name = f"{number:02d}-{file_name(entry.name)}-lines.dxf"
            yield (
                name,
                dxf_bytes(
                    entry,
                    title=dossier.takeoff.title,
                    foot=texts.FOOT.format(half=half),
                    cautions=dossier.cautions,
                ),
            )
