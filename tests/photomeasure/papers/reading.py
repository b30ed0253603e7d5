"""Papers read back by other libraries than those that wrote them."""

import csv
import io
from collections.abc import Iterator
from typing import Any

from openpyxl import load_workbook
from pdfminer.high_level import extract_pages
from pdfminer.layout import LTChar, LTCurve, LTImage
from pypdf import PdfReader


def pdf_pages(data: bytes) -> list[str]:
    """Return the text of each page on one line."""
    reader = PdfReader(io.BytesIO(data))
    return [one_line(page.extract_text()) for page in reader.pages]


def pdf_text(data: bytes) -> str:
    """Return the text of all pages on one line."""
    return " ".join(pdf_pages(data))


def one_line(text: str) -> str:
    """Return text with single blanks."""
    return " ".join(text.split())


def squeezed(text: str) -> str:
    """Return text without blanks, which PDF does not keep where lines break."""
    return "".join(text.split())


def marks(data: bytes) -> Iterator[tuple[int, Any, tuple[float, float]]]:
    """Yield page number, everything that is drawn, and the size of its page."""
    for number, page in enumerate(extract_pages(io.BytesIO(data)), start=1):
        waiting: list[Any] = list(page)
        while waiting:
            element = waiting.pop()
            if isinstance(element, LTChar | LTCurve | LTImage):
                yield number, element, (page.width, page.height)
            elif hasattr(element, "__iter__"):
                waiting += list(element)


def table_rows(document: dict[str, Any], key: str) -> list[dict[str, Any]]:
    """Return the rows of all tables of a name in a paper's JSON."""
    tables = (table for table in document["tables"] if table["table"] == key)
    return [row for table in tables for row in table["rows"]]


def csv_rows(data: bytes) -> list[list[str]]:
    """Return the rows of a CSV file."""
    return list(csv.reader(io.StringIO(data.decode("utf-8-sig"), newline="")))


def xlsx_cells(data: bytes) -> list[Any]:
    """Return all cells of all sheets that hold anything."""
    book = load_workbook(io.BytesIO(data))
    rows = (row for sheet in book.worksheets for row in sheet.iter_rows())
    return [cell for row in rows for cell in row if cell.value is not None]
