"""A paper as XLSX: one sheet a table, each with what every paper says."""

import datetime as dt
import io
import re
import zipfile
from typing import TYPE_CHECKING, Any, Final

from calibration.errors import printable
from photomeasure.papers.cells import safe_text, safe_value
from photomeasure.papers.content import Column, Kind, Paper, Row, Sheet, Table
from photomeasure.takeoff.pricing import minor_units

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

_PAGE_LETTERS: Final = 110.0
"""Letters across a printed page: a column's share of them is its width."""

_TAB_LETTERS: Final = 26
"""Programs allow 31; equal names get a number."""

_SHEET_CODES: Final = {Sheet.A4: 9, Sheet.LETTER: 1}
"""Numbers of the format for sheets of paper (ECMA-376, from memory)."""

_STAMP: Final = (1980, 1, 1, 0, 0, 0)
"""Time of every part of the file: the earliest a ZIP can say, the same for all."""

_CORE: Final = "docProps/core.xml"


def xlsx_bytes(paper: Paper, date: dt.date) -> bytes:
    """Write a paper.

    Parameters
    ----------
    paper : Paper
    date : date
        Said to be when it was made.

    Returns
    -------
    bytes
        The same for the same paper and date.
    """
    from openpyxl import Workbook

    book = Workbook()
    book.remove(book.active)
    for table in paper.tables:
        _sheet(book.create_sheet(_tab(table.title) or table.key), paper, table)
    if not paper.tables:
        _statements(book.create_sheet(paper.key), paper)
    midnight = dt.datetime.combine(date, dt.time())
    book.properties.title = safe_text(paper.title)
    book.properties.creator = "photomeasure"
    book.properties.created = midnight
    stream = io.BytesIO()
    book.save(stream)
    return _settled(stream.getvalue(), midnight)


def _tab(title: str) -> str:
    """Return a title as the name of a sheet, which may hold few letters and not all."""
    plain = re.sub(r"[^\w ,.-]+", " ", printable(title))
    return plain.strip(" -")[:_TAB_LETTERS].strip()


def _settled(data: bytes, moment: dt.datetime) -> bytes:
    """Return a workbook without the time at which it was written."""
    from openpyxl.packaging.core import DocumentProperties
    from openpyxl.xml.functions import fromstring, tostring

    settled = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(data)) as old,
        zipfile.ZipFile(settled, "w", zipfile.ZIP_DEFLATED) as new,
    ):
        for part in old.infolist():
            content = old.read(part)
            if part.filename == _CORE:
                properties = DocumentProperties.from_tree(fromstring(content))
                properties.modified = moment
                content = tostring(properties.to_tree())
            entry = zipfile.ZipInfo(part.filename, _STAMP)
            entry.compress_type = zipfile.ZIP_DEFLATED
            new.writestr(entry, content)
    return settled.getvalue()


def _statements(sheet: "Worksheet", paper: Paper) -> None:
    """Write title, head and what every paper says."""
    from openpyxl.styles import Font

    sheet.append([safe_text(paper.title)])
    sheet["A1"].font = Font(bold=True, size=14)
    for label, text in paper.head:
        sheet.append([safe_text(f"{label}: {text}")])
    for sentence in (paper.measured, paper.check):
        sheet.append([safe_text(sentence)])
        sheet.cell(sheet.max_row, 1).font = Font(bold=True)
    for alert in paper.alerts:
        for sentence in alert.sentences:
            sheet.append([safe_text(f"{alert.heading}: {sentence}")])
            sheet.cell(sheet.max_row, 1).font = Font(bold=True, color="B00000")


def _sheet(sheet: "Worksheet", paper: Paper, table: Table) -> None:
    from openpyxl.styles import Alignment, Font, PatternFill
    from openpyxl.utils import get_column_letter

    _statements(sheet, paper)
    sheet.append([])
    shown = [i for i, c in enumerate(table.columns) if c.kind is not Kind.SKETCH]
    sheet.append([safe_text(table.columns[i].heading) for i in shown])
    head = sheet.max_row
    for cell in sheet[head]:
        cell.font = Font(bold=True)
        cell.fill = PatternFill("solid", fgColor="E8E4DA")
        cell.alignment = Alignment(wrap_text=True, vertical="top")
    for place, i in enumerate(shown, start=1):
        width = max(8.0, table.columns[i].width * _PAGE_LETTERS)
        sheet.column_dimensions[get_column_letter(place)].width = width
    for row in table.rows:
        _row(sheet, row, [(i, table.columns[i]) for i in shown], paper.currency)
    sheet.freeze_panes = f"A{head + 1}"
    sheet.print_title_rows = f"{head}:{head}"
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.paperSize = _SHEET_CODES[paper.sheet]
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    sheet.append([])
    for caution in paper.cautions:
        sheet.append([safe_text(caution)])


def _row(
    sheet: "Worksheet", row: Row, columns: list[tuple[int, Column]], currency: str
) -> None:
    from openpyxl.styles import Alignment, Font

    number = sheet.max_row + 1
    for place, (i, column) in enumerate(columns, start=1):
        value: Any = safe_value(row.cells[i])
        cell = sheet.cell(number, place)
        if value != "":
            cell.value = value
        if isinstance(value, str):
            cell.data_type = "s"  # whatever it looks like
        elif column.kind is Kind.MONEY:
            decimals = minor_units(currency)
            cell.number_format = "#,##0." + "0" * decimals if decimals else "#,##0"
        cell.font = Font(bold=row.strong)
        cell.alignment = Alignment(wrap_text=True, vertical="top")
