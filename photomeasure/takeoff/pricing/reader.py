"""Read a firm's price book: CSV or XLSX, every mistake told with its row."""

import re
from collections.abc import Mapping
from importlib.resources import files
from pathlib import Path
from typing import Final

from calibration.errors import InputError
from photomeasure.takeoff.pricing.book import Price, PriceBook
from photomeasure.takeoff.pricing.cells import MAX_BYTES, Row, Table
from photomeasure.takeoff.pricing.csv_table import read_csv
from photomeasure.takeoff.pricing.errors import BadPriceBook, UnreadableBook
from photomeasure.takeoff.pricing.rows import COLUMNS, NEEDED, RowReader
from photomeasure.takeoff.pricing.terms import TERMS, TermsReader
from photomeasure.takeoff.pricing.xlsx_table import read_xlsx

EXAMPLE: Final = "example-invented-prices.csv"
"""Shipped to show the format. Every price in it is invented."""

_ZIP: Final = b"PK\x03\x04"
_OLD: Final = b"\xd0\xcf\x11\xe0"
"""What an old or a protected spreadsheet begins with."""

_CODE: Final = re.compile(r"[^\s/*]+|\*")


def read_book(path: Path) -> PriceBook:
    """Read a price book.

    Parameters
    ----------
    path : Path
        CSV or XLSX; what it holds decides, not what it is called.

    Returns
    -------
    PriceBook

    Raises
    ------
    UnreadableBook
        If the file as a whole cannot be used.
    BadPriceBook
        If rows are wrong: all of them at once.
    """
    return book_from_bytes(_bytes(path), path.name)


def example_book() -> PriceBook:
    """Return the example of invented prices.

    Returns
    -------
    PriceBook
        Says of itself that it is invented.
    """
    resource = files("photomeasure.takeoff.pricing") / EXAMPLE
    return book_from_bytes(resource.read_bytes(), EXAMPLE)


def book_from_bytes(data: bytes, name: str) -> PriceBook:
    """Read the bytes of a price book.

    Parameters
    ----------
    data : bytes
    name : str
        Of the file, for messages.

    Returns
    -------
    PriceBook

    Raises
    ------
    UnreadableBook
        If the file as a whole cannot be used.
    BadPriceBook
        If rows are wrong.
    """
    if len(data) > MAX_BYTES:
        raise UnreadableBook(
            name, f"is larger than {MAX_BYTES // 10**6} MB", "leave out what is not used"
        )
    if data.startswith(_OLD):
        raise UnreadableBook(
            name, "is an old or a protected spreadsheet", "save it as XLSX or CSV UTF-8"
        )
    table = read_xlsx(data, name) if data.startswith(_ZIP) else read_csv(data, name)
    return _book(table, name)


def _bytes(path: Path) -> bytes:
    try:
        with path.open("rb") as stream:
            return stream.read(MAX_BYTES + 1)
    except (OSError, ValueError) as error:  # ValueError: a zero byte in the name
        reason = getattr(error, "strerror", None) or "no name of a file"
        raise UnreadableBook(
            str(path), f"cannot be read ({reason})", "give a CSV or XLSX file"
        ) from None


def _book(table: Table, name: str) -> PriceBook:
    rows = [row for row in table.rows if not row.blank and not row.comment]
    if not rows:
        raise UnreadableBook(name, "is empty", f"start it with {', '.join(COLUMNS)}")
    columns = _columns(rows[0], name)
    faults: list[InputError] = []
    prices: dict[str, Price] = {}
    terms = TermsReader(name)
    reader = RowReader(name, columns, decimal_comma=table.decimal_comma)
    for row in rows[1:]:
        try:
            code = _code(reader.text(row, "code"), name, row)
            if code.startswith(TERMS):
                terms.take(code, row, reader)
            else:
                _refuse_twice(code, prices, name, row)
                prices[code] = reader.price(code, row)
        except InputError as fault:
            faults.append(fault)
    faults += terms.faults()
    if faults:
        raise BadPriceBook(name, faults)
    if not prices:
        raise UnreadableBook(name, "holds no price", "add a row for each item")
    return PriceBook(name=name, terms=terms.terms(), prices=tuple(prices.values()))


def _columns(header: Row, name: str) -> Mapping[str, int]:
    """Return where each column stands, by its heading."""
    where: dict[str, int] = {}
    for place, cell in enumerate(header.cells):
        word = cell.casefold() if isinstance(cell, str) else ""
        if word in COLUMNS and word in where:
            raise UnreadableBook(
                f"{name}: row {header.number}", f'has "{word}" twice', "keep one of them"
            )
        where[word] = place
    missing = [word for word in NEEDED if word not in where]
    if missing:
        raise UnreadableBook(
            f"{name}: row {header.number}",
            f"lacks the heading{'s' if len(missing) > 1 else ''} {', '.join(missing)}",
            f"head the columns {', '.join(COLUMNS)}",
        )
    return {word: where[word] for word in COLUMNS if word in where}


def _code(text: str, name: str, row: Row) -> str:
    code = text.casefold()
    if not all(_CODE.fullmatch(segment) for segment in code.split("/")):
        raise InputError(
            f"{name}: row {row.number}: code",
            f'"{text[:60]}" is no code' if text else "is missing",
            "write words without blanks between slashes, or * for any one of them",
        )
    return code


def _refuse_twice(code: str, prices: Mapping[str, Price], name: str, row: Row) -> None:
    if code in prices:
        raise InputError(
            f"{name}: row {row.number}: code",
            f'"{code}" has a price in row {prices[code].row} already',
            "keep one of them",
        )
