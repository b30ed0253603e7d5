"""Small price books for the tests, as text and as spreadsheets."""

import io
from collections.abc import Iterable, Sequence
from typing import Any

from openpyxl import Workbook

from calibration.errors import InputError
from photomeasure.takeoff.pricing.book import PriceBook
from photomeasure.takeoff.pricing.reader import book_from_bytes

HEADER = "code,description,unit,pack,price,hours,waste"
CURRENCY = "terms/currency,pound,GBP,,,,"


def text(*rows: str) -> str:
    """Return a book with these rows: currency in row 2, the first of them in row 3."""
    return "\n".join((HEADER, CURRENCY, *rows)) + "\n"


def book(*rows: str) -> PriceBook:
    """Read a book with these rows."""
    return book_from_bytes(text(*rows).encode(), "book.csv")


def outcome(data: bytes) -> str:
    """Read a book of any bytes; return what is said against it, "" for nothing."""
    try:
        book_from_bytes(data, "b")
    except InputError as error:
        return str(error)
    return ""


def sheet(rows: Iterable[Sequence[Any]]) -> bytes:
    """Return a spreadsheet of rows."""
    workbook = Workbook()
    for row in rows:
        workbook.active.append(list(row))
    return saved(workbook)


def saved(workbook: Workbook) -> bytes:
    """Return a workbook as bytes."""
    stream = io.BytesIO()
    workbook.save(stream)
    return stream.getvalue()
