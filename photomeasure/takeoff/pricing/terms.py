"""Rows of a price book that price no item: currency, rates, margin and tax.

Their code begins with ``terms/``. Rates are percent in the price column. Nothing has a
default: what the book does not state is not charged, and the papers say so.
"""

import re
from decimal import Decimal
from typing import Final

from calibration.errors import InputError
from photomeasure.takeoff.pricing.book import MarginBasis, Terms
from photomeasure.takeoff.pricing.cells import Row
from photomeasure.takeoff.pricing.rows import RowReader

TERMS: Final = "terms/"

_CURRENCY: Final = re.compile(r"[A-Z]{3}")

_PERCENT: Final = ("overhead", "tax", *(str(basis) for basis in MarginBasis))
_KNOWN: Final = ("currency", "labour-hour", "invented", *_PERCENT)

_MAX_PERCENT: Final = Decimal(1000)
_MAX_OF_PRICE: Final = Decimal(95)
"""A margin of the whole price has no price."""


class TermsReader:
    """Gathers the terms of a book, row by row.

    Parameters
    ----------
    name : str
        Of the file.
    """

    def __init__(self, name: str) -> None:
        self._name = name
        self._rows: dict[str, int] = {}
        self._rates: dict[str, Decimal] = {}
        self._currency = ""
        self._tax_name = ""

    def take(self, code: str, row: Row, reader: RowReader) -> None:
        """Read one row.

        Parameters
        ----------
        code : str
            Begins with ``terms/``.
        row : Row
        reader : RowReader

        Raises
        ------
        InputError
            If the row is wrong.
        """
        word = code.removeprefix(TERMS)
        if word not in _KNOWN:
            raise self._fault(
                row, "code", f'"{code[:60]}" is no term', f"use {_listed(_KNOWN)}"
            )
        if word in self._rows:
            raise self._fault(
                row,
                "code",
                f'"{code}" is in row {self._rows[word]} too',
                "keep one of them",
            )
        self._rows[word] = row.number
        if word == "currency":
            self._currency = self._currency_of(row, reader)
        elif word != "invented":
            self._rates[word] = self._rate(word, row, reader)
        if word == "tax":
            self._tax_name = reader.text(row, "description")

    def faults(self) -> list[InputError]:
        """Return what is wrong with the terms as a whole."""
        said = []
        if "currency" not in self._rows:
            said.append(
                InputError(
                    self._name,
                    "names no currency",
                    "add a row terms/currency with its three letters as the unit, as GBP",
                )
            )
        if all(str(basis) in self._rows for basis in MarginBasis):
            rows = " and ".join(str(self._rows[str(basis)]) for basis in MarginBasis)
            said.append(
                InputError(
                    f"{self._name}: rows {rows}",
                    "state a margin on cost and one on price",
                    "keep one of them",
                )
            )
        return said

    def terms(self) -> Terms:
        """Return the terms; valid if there were no faults."""
        of_price = str(MarginBasis.PRICE) in self._rates
        basis = MarginBasis.PRICE if of_price else MarginBasis.COST
        return Terms(
            currency=self._currency,
            labour_hour=self._rates.get("labour-hour"),
            overhead=self._share("overhead"),
            margin=self._share(str(basis)),
            margin_basis=basis,
            tax=self._share("tax"),
            tax_name=self._tax_name,
            invented="invented" in self._rows,
        )

    def _share(self, word: str) -> Decimal | None:
        rate = self._rates.get(word)
        return None if rate is None else rate / 100

    def _currency_of(self, row: Row, reader: RowReader) -> str:
        text = reader.text(row, "unit")
        if not _CURRENCY.fullmatch(text):
            raise self._fault(
                row,
                "unit",
                f'"{text[:30]}" is no currency' if text else "is missing",
                "write its three capital letters, as GBP",
            )
        return text

    def _rate(self, word: str, row: Row, reader: RowReader) -> Decimal:
        unit = "h" if word == "labour-hour" else "percent"
        given = reader.text(row, "unit")
        if given.casefold() != unit:
            what = f'"{given[:30]}" is not its unit' if given else "is missing"
            raise self._fault(row, "unit", what, f"write {unit}")
        limit = _MAX_OF_PRICE if word == MarginBasis.PRICE else _MAX_PERCENT
        above = Decimal(0) if word == "labour-hour" else None
        rate = reader.number(row, "price", above=above, limit=limit)
        if rate is None:
            raise self._fault(row, "price", "is missing", "write the rate, or 0 for none")
        return rate

    def _fault(self, row: Row, column: str, what: str, remedy: str) -> InputError:
        return InputError(f"{self._name}: row {row.number}: {column}", what, remedy)


def _listed(words: tuple[str, ...]) -> str:
    return ", ".join(f"{TERMS}{word}" for word in words)
