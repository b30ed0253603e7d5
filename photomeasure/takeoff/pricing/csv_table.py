"""Read a CSV file of any spreadsheet: comma, semicolon or tab, with or without a mark."""

import csv
import io
from codecs import BOM_UTF8, BOM_UTF16_BE, BOM_UTF16_LE
from typing import Final

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

_DELIMITERS: Final = (";", "\t", ",")
"""A header line that holds none of the first two is written with commas."""


def read_csv(data: bytes, name: str) -> Table:
    """Read the bytes of a CSV file.

    Parameters
    ----------
    data : bytes
    name : str
        Of the file, for messages.

    Returns
    -------
    Table

    Raises
    ------
    UnreadableBook
        If it is no text, or no table.
    """
    text = decoded(data, name)
    delimiter = delimiter_of(text)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    rows: list[Row] = []
    try:
        for cells in reader:
            if len(rows) == MAX_ROWS:
                raise UnreadableBook(
                    name, f"has more than {MAX_ROWS} rows", "leave out what is not used"
                )
            kept = tuple(_cell(cell) for cell in cells[:MAX_COLUMNS])
            rows.append(Row(reader.line_num, kept))
    except csv.Error as error:
        raise UnreadableBook(
            f"{name}: row {reader.line_num}",
            f"is no row of a table ({error})",
            "look for an unfinished quotation mark",
        ) from None
    return Table(tuple(rows), decimal_comma=delimiter == ";")


def decoded(data: bytes, name: str) -> str:
    """Return the text of a CSV file, or refuse one that is none."""
    if data.startswith((BOM_UTF16_LE, BOM_UTF16_BE)):
        encoding, mark = "utf-16", 0
    else:
        encoding, mark = "utf-8", len(BOM_UTF8) if data.startswith(BOM_UTF8) else 0
    try:
        text = data[mark:].decode(encoding)
    except UnicodeDecodeError as error:
        row = data[: mark + error.start].count(b"\n") + 1
        raise UnreadableBook(
            f"{name}: row {row}",
            "is not written in UTF-8",
            'save the file as "CSV UTF-8" or as XLSX',
        ) from None
    if "\0" in text:
        raise UnreadableBook(name, "is no text", "give a CSV or XLSX file")
    return text


def delimiter_of(text: str) -> str:
    """Return what stands between the cells of a CSV text."""
    lines = (line for line in text.splitlines() if line.strip(' ,;\t"'))
    header = next((line for line in lines if not line.lstrip('"').startswith("#")), "")
    return next((d for d in _DELIMITERS if d in header), ",")


def _cell(text: str) -> Cell:
    kept = text.strip()
    if len(kept) > MAX_CELL:
        return BadCell(f"holds {len(kept)} letters", f"shorten it to {MAX_CELL}")
    return kept
