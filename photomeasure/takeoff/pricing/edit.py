"""Put one price into a firm's book, and leave the rest of the file as it is."""

import csv
import io
from typing import Final

from photomeasure.takeoff.model import Item, Unit
from photomeasure.takeoff.pricing.csv_table import decoded, delimiter_of
from photomeasure.takeoff.pricing.errors import UnreadableBook
from photomeasure.takeoff.pricing.reader import book_from_bytes
from photomeasure.takeoff.pricing.rows import COLUMNS

_ZIP: Final = b"PK\x03\x04"

CURRENCIES: Final = {"uk": "GBP", "usa": "USD"}
"""ISO 4217, of the countries that there are rules for."""


def new_book(country: str) -> bytes:
    """Return a price book without a price.

    Parameters
    ----------
    country : str
        Name of the rules.

    Returns
    -------
    bytes
        CSV with headings and the country's currency.
    """
    currency = CURRENCIES.get(country, "GBP")
    blank = "," * (len(COLUMNS) - 3)
    return f"{','.join(COLUMNS)}\nterms/currency,,{currency}{blank}\n".encode()


def with_price(data: bytes, name: str, item: Item, price: str) -> bytes:
    """Return a price book in which an item has a price.

    Parameters
    ----------
    data : bytes
        A CSV book; rows that are not the item's stay as they are.
    name : str
        Of the file, for messages.
    item : Item
    price : str
        As typed, of one unit; a row that states packs keeps its pack.

    Returns
    -------
    bytes
        A book that can be read.

    Raises
    ------
    UnreadableBook
        If it is a spreadsheet, or no book at all.
    BadPriceBook
        If that is no price.
    """
    if data.startswith(_ZIP):
        raise UnreadableBook(
            name, "is a spreadsheet", "change the price there and send the file again"
        )
    text = decoded(data, name)
    delimiter = delimiter_of(text)
    rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter))
    columns = _columns(rows)
    typed = price.strip().replace(".", ",") if delimiter == ";" else price.strip()
    row = _own_row(rows, columns, item)
    row[columns["price"]] = typed
    stream = io.StringIO(newline="")
    csv.writer(stream, delimiter=delimiter, lineterminator="\n").writerows(rows)
    changed = stream.getvalue().encode()
    book_from_bytes(changed, name)  # refuses what is no price, and what was no book
    return changed


def _columns(rows: list[list[str]]) -> dict[str, int]:
    """Return where each column stands: in the first row that has them all."""
    needed = ("code", "unit", "price")
    for row in rows:
        words = [cell.strip().casefold() for cell in row]
        if all(word in words for word in needed):
            return {word: words.index(word) for word in COLUMNS if word in words}
    raise UnreadableBook("price book", "has no headings", f"head it {', '.join(COLUMNS)}")


def _own_row(rows: list[list[str]], columns: dict[str, int], item: Item) -> list[str]:
    """Return the row of an item, added if there is none."""
    width = max(columns.values()) + 1
    for row in rows:
        if len(row) > columns["code"] and row[columns["code"]].strip() == item.code:
            row.extend([""] * (width - len(row)))
            return row
    row = [""] * width
    facts = {
        "code": item.code,
        "description": item.description,
        "unit": str(item.unit),
        "pack": "1" if item.unit is Unit.EACH else "any",
    }
    for word, fact in facts.items():
        if word in columns:
            row[columns[word]] = fact
    rows.append(row)
    return row
