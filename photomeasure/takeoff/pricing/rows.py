"""One row of a price book, checked."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Final

from calibration.errors import InputError
from photomeasure.takeoff.model import Unit
from photomeasure.takeoff.pricing.book import Price
from photomeasure.takeoff.pricing.cells import BadCell, Cell, Row
from photomeasure.takeoff.pricing.numbers import number_of

NEEDED: Final = ("code", "description", "unit", "pack", "price")
INCLUDED: Final = "included"
"""In place of a price: costs nothing of its own, on purpose."""

ANY_AMOUNT: Final = "any"
"""In place of a pack: sold in any amount, as hours and metres of scaffold are."""

COLUMNS: Final = (*NEEDED, "hours", "waste")
"""Headings; other columns are the firm's own and not read."""

MAX_WASTE: Final = Decimal(100)
"""Percent: who wastes more than he fits has mistaken the column."""

MAX_HOURS: Final = Decimal(1000)
"""For one unit."""


class RowReader:
    """Reads cells of a row by their heading.

    Parameters
    ----------
    name : str
        Of the file.
    columns : mapping of str to int
        Where each heading stands.
    decimal_comma : bool
        Whether the file writes decimal commas.
    """

    def __init__(
        self, name: str, columns: Mapping[str, int], *, decimal_comma: bool
    ) -> None:
        self._name = name
        self._columns = columns
        self._comma = decimal_comma

    def price(self, code: str, row: Row) -> Price:
        """Return the price of a row.

        Parameters
        ----------
        code : str
            As checked.
        row : Row

        Returns
        -------
        Price

        Raises
        ------
        InputError
            For the first cell that is wrong.
        """
        hours = self.number(row, "hours", above=Decimal(0), limit=MAX_HOURS)
        included = self.text(row, "price").casefold() == INCLUDED
        price = None if included else self.number(row, "price", above=Decimal(0))
        if price is None and hours is None and not included:
            remedy = f"write it, or {INCLUDED} if nothing is charged for it on purpose"
            raise self._fault(row, "price", "is missing", remedy)
        any_amount = self.text(row, "pack").casefold() == ANY_AMOUNT
        pack = None if any_amount else self.number(row, "pack", above=Decimal(0))
        if pack is None and not any_amount and (price is not None or included):
            remedy = f"write how much of the unit one price buys, or {ANY_AMOUNT}"
            raise self._fault(row, "pack", "is missing", remedy)
        waste = self.number(row, "waste", above=None, limit=MAX_WASTE)
        return Price(
            code=code,
            description=self.text(row, "description"),
            unit=self.unit(row),
            pack=pack,
            price=price,
            hours=hours,
            waste=(waste or Decimal(0)) / 100,
            included=included,
            row=row.number,
        )

    def text(self, row: Row, column: str) -> str:
        """Return the text of a cell; a number is the text that it shows."""
        cell = self._cell(row, column)
        if isinstance(cell, BadCell):
            raise self._fault(row, column, cell.what, cell.remedy)
        return cell if isinstance(cell, str) else f"{cell:f}"

    def unit(self, row: Row) -> Unit:
        """Return the unit of a row."""
        text = self.text(row, "unit")
        allowed = [str(unit) for unit in Unit]
        if text.casefold() not in allowed:
            what = f'"{text[:30]}" is no unit' if text else "is missing"
            raise self._fault(row, "unit", what, f"use one of {', '.join(allowed)}")
        return Unit(text.casefold())

    def number(
        self, row: Row, column: str, *, above: Decimal | None, limit: Decimal | None = None
    ) -> Decimal | None:
        """Return the number of a cell, None if it is empty.

        Parameters
        ----------
        row : Row
        column : str
        above : Decimal or None
            What it must exceed; None for at least zero.
        limit : Decimal, optional
            What it must not exceed.

        Returns
        -------
        Decimal or None

        Raises
        ------
        InputError
            If it is no such number.
        """
        cell = self._cell(row, column)
        if cell == "":
            return None
        read = number_of(cell, decimal_comma=self._comma)
        if isinstance(read, BadCell):
            raise self._fault(row, column, read.what, read.remedy)
        if read < 0:
            raise self._fault(row, column, f"{read:f} is negative", "write what it costs")
        if above is not None and read <= above:
            remedy = f"write a number above it, or {INCLUDED} for what costs nothing"
            raise self._fault(row, column, f"is {read:f}", remedy)
        if limit is not None and read > limit:
            raise self._fault(row, column, f"is {read:f}", f"write at most {limit:f}")
        return read

    def _cell(self, row: Row, column: str) -> Cell:
        place = self._columns.get(column)
        if place is None or place >= len(row.cells):
            return ""
        return row.cells[place]

    def _fault(self, row: Row, column: str, what: str, remedy: str) -> InputError:
        return InputError(f"{self._name}: row {row.number}: {column}", what, remedy)
