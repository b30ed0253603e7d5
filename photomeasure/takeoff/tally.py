"""Counting one item over many lines, keeping the sum that leads to it."""

import re
from dataclasses import dataclass, field
from decimal import ROUND_CEILING, Decimal
from typing import Final

from photomeasure.takeoff.model import Item, Quantity, Section, Unit

CENTIMETRE: Final = Decimal("0.01")
"""Metres and cubic metres are rounded up to two places: below what is bought."""


def slug(text: str) -> str:
    """Return words as part of an item's code.

    Examples
    --------
    >>> slug("Fascia board, 18 mm")
    'fascia-board-18-mm'
    """
    words = re.sub(r"\W+", "-", text.casefold()).strip("-")
    return words or "unnamed"


def metres(length_mm: float) -> Decimal:
    """Return millimetres as metres, rounded up to centimetres.

    Examples
    --------
    >>> metres(2531.0)
    Decimal('2.54')
    """
    return rounded(Decimal(str(round(length_mm, 3))) / 1000)


def rounded(amount: Decimal | float) -> Decimal:
    """Return an amount rounded up to two places."""
    exact = amount if isinstance(amount, Decimal) else Decimal(str(round(amount, 9)))
    return exact.quantize(CENTIMETRE, ROUND_CEILING)


def item(code: str, description: str, unit: Unit, section: Section) -> Item:
    """Return an item, fields in order."""
    return Item(code=code, description=description, unit=unit, section=section)


@dataclass(slots=True)
class Tally:
    """One item being counted.

    Attributes
    ----------
    item : Item
    rules : tuple of str
        Keys of the rules that lead to it.
    """

    item: Item
    rules: tuple[str, ...] = ()
    _amount: Decimal = Decimal(0)
    _lines: list[str] = field(default_factory=list)
    _sums: list[str] = field(default_factory=list)

    def add(self, amount: Decimal | int, line: str, working: str) -> None:
        """Count something, with the line it belongs to and the sum in words."""
        if amount <= 0:
            return
        self._amount += amount
        if line and line not in self._lines:
            self._lines.append(line)
        self._sums.append(f"{line}: {working}" if line else working)

    @property
    def amount(self) -> Decimal:
        """Count so far."""
        return self._amount

    def quantities(self) -> tuple[Quantity, ...]:
        """Return the quantity, or nothing if nothing was counted."""
        if self._amount <= 0:
            return ()
        total = "" if len(self._sums) == 1 else f"; together {self._amount:f}"
        return (
            Quantity(
                item=self.item,
                amount=self._amount,
                lines=tuple(self._lines),
                rules=self.rules,
                working="; ".join(self._sums) + total,
            ),
        )
