"""Read the first sheet of an XLSX file without trusting it.

The file is a ZIP of XML: before anything is parsed, the sizes are limited and documents
that declare entities are refused. Formulas count by the value that the spreadsheet
program saved with them; one that was never calculated is refused.
"""

import datetime as dt
import io
import warnings
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from decimal import Decimal
from typing import Any, Final
from xml.etree.ElementTree import ParseError

from photomeasure.takeoff.pricing.cells import (
    MAX_CELL,
    MAX_COLUMNS,
    MAX_ROWS,
    BadCell,
    Cell,
    Row,
    Table,
)
from photomeasure.takeoff.pricing.errors import UnreadableBook

MAX_UNPACKED: Final = 60_000_000
"""Bytes of all parts together: twenty thousand rows take a tenth of it."""

MAX_PARTS: Final = 500
"""Files within the file."""

_CHUNK: Final = 1 << 16

_DIGITS: Final = 12
"""Significant digits of a spreadsheet's binary number: 11.000000000000002 is 11."""


def read_xlsx(data: bytes, name: str) -> Table:
    """Read the bytes of an XLSX file.

    Parameters
    ----------
    data : bytes
    name : str
        Of the file, for messages.

    Returns
    -------
    Table
        The first sheet that is not hidden.

    Raises
    ------
    UnreadableBook
        If it is damaged, protected, too large or tries tricks.
    """
    with _damage_told(name):
        _refuse_bombs(data, name)
        written = _rows(data, name, values=False)
        saved = _rows(data, name, values=True)
        # Both are the same sheet, so they have the same rows.
        pairs = zip(written, saved, strict=True)
        rows = tuple(
            Row(number, tuple(_cell(a, b) for a, b in zip(*both, strict=True)))
            for number, both in enumerate(pairs, start=1)
        )
    if len(rows) > MAX_ROWS:
        raise UnreadableBook(
            name, f"has more than {MAX_ROWS} rows", "leave out what is not used"
        )
    return Table(rows)


@contextmanager
def _damage_told(name: str) -> Iterator[None]:
    """Turn what a damaged file does to the libraries into one sentence."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of styles and extensions, which are unused
            yield
    except UnreadableBook:
        raise
    except (
        zipfile.BadZipFile,
        zlib.error,
        ParseError,
        ArithmeticError,
        AttributeError,
        EOFError,
        LookupError,
        NotImplementedError,
        OSError,
        RuntimeError,
        TypeError,
        ValueError,
    ):
        # The library checks no structure: each kind of damage ends in another of these.
        raise UnreadableBook(
            name, "is damaged or protected", "save it anew as XLSX without a password"
        ) from None


def _refuse_bombs(data: bytes, name: str) -> None:
    """Refuse files that unpack to too much, and XML that declares entities."""
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        parts = archive.infolist()
        if len(parts) > MAX_PARTS or sum(p.file_size for p in parts) > MAX_UNPACKED:
            raise UnreadableBook(
                name, "unpacks to more than a price book can hold", "save it anew"
            )
        # A part gives no more bytes than it states, so the sum above holds.
        for part in parts:
            if _declares_entities(archive, part):
                raise UnreadableBook(
                    name, f"declares entities in {part.filename}", "save it anew"
                )


def _declares_entities(archive: zipfile.ZipFile, part: zipfile.ZipInfo) -> bool:
    """Whether a part is a document with a type declaration, in whatever encoding."""
    before = b""
    with archive.open(part) as stream:
        while chunk := stream.read(_CHUNK):
            seen = (before + chunk).replace(b"\0", b"").upper()
            if b"<!DOCTYPE" in seen or b"<!ENTITY" in seen:
                return True
            before = chunk[-32:]
    return False


def _rows(data: bytes, name: str, *, values: bool) -> list[list[Any]]:
    from openpyxl import load_workbook

    book = load_workbook(
        io.BytesIO(data), read_only=True, data_only=values, keep_links=False
    )
    try:
        sheets = [s for s in book.worksheets if s.sheet_state == "visible"]
        if not sheets:
            raise UnreadableBook(name, "has no sheet", "put the prices in its first sheet")
        sheets[0].reset_dimensions()  # what the file states of its size may be untrue
        limit = MAX_ROWS + 1
        rows = sheets[0].iter_rows(max_row=limit, max_col=MAX_COLUMNS)
        return [[(cell.value, cell.data_type) for cell in row] for row in rows]
    finally:
        book.close()


def _cell(written: tuple[Any, str], saved: tuple[Any, str]) -> Cell:
    """Return one cell from what is written in it and the value saved with it."""
    formula = written[1] == "f"
    value, kind = saved
    if formula and value is None:
        return BadCell(
            "holds a formula that was never calculated",
            "open the file in a spreadsheet program and save it, or write the value",
        )
    if kind == "e":
        return BadCell(f"shows the error {value}", "correct the formula")
    return _value(value)


def _value(value: Any) -> Cell:  # noqa: ANN401 - whatever a spreadsheet holds
    if value is None:
        return ""
    if isinstance(value, bool):
        return BadCell("holds true or false", "write a number or text")
    if isinstance(value, dt.date | dt.time | dt.timedelta):
        return BadCell("became a date", "format the cell as text and write it again")
    if isinstance(value, int | float):
        return Decimal(f"{value:.{_DIGITS}g}")
    text = str(value).strip()
    if len(text) > MAX_CELL:
        return BadCell(f"holds {len(text)} letters", f"shorten it to {MAX_CELL}")
    return text
