"""Counting one item over many lines, keeping the sum that leads to it."""

import re
from collections.abc import Iterable
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


def in_percent(chance: float) -> str:
    """Return a chance as a person says it; draws cannot tell 0 from a little.

    Examples
    --------
    >>> in_percent(0.41), in_percent(0.004), in_percent(0.0), in_percent(1.0)
    ('41 %', '0.4 %', 'less than 0.1 %', 'more than 99.9 %')
    """
    if chance < 0.001:
        return "less than 0.1 %"
    if chance > 0.999:
        return "more than 99.9 %"
    places = 0 if 0.01 <= chance <= 0.99 else 1
    return f"{100 * chance:.{places}f} %"


def in_range(least: float, most: float) -> str:
    """Return a chance that is known to lie between two.

    Examples
    --------
    >>> in_range(0.41, 0.412), in_range(0.02, 0.37), in_range(0.0, 0.07)
    ('41 %', '2 % to 37 %', 'at most 7 %')
    """
    low, high = in_percent(least), in_percent(most)
    if low == high:
        return high
    return f"at most {high}" if least < 0.001 else f"{low} to {high}"


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

    def add(
        self, amount: Decimal | int, lines: str | tuple[str, ...], working: str
    ) -> None:
        """Count something, with the line or lines it belongs to and the sum in words."""
        if amount <= 0:
            return
        self._amount += amount
        several = (lines,) if isinstance(lines, str) else lines
        self._lines += [line for line in several if line and line not in self._lines]
        alone = several[0] if len(several) == 1 else ""
        self._sums.append(f"{alone}: {working}" if alone else working)

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


def merged(quantities: Iterable[Quantity]) -> tuple[Quantity, ...]:
    """Return quantities with each item once: parts of the work may need the same.

    Parameters
    ----------
    quantities : iterable of Quantity

    Returns
    -------
    tuple of Quantity
        Each at the place of its first; sums in words one after the other.
    """
    found: dict[Item, list[Quantity]] = {}
    for quantity in quantities:
        found.setdefault(quantity.item, []).append(quantity)
    return tuple(_one(same) for same in found.values())


def _one(same: list[Quantity]) -> Quantity:
    if len(same) == 1:
        return same[0]
    amount = sum((quantity.amount for quantity in same), Decimal(0))
    sums = (quantity.working.partition("; together ")[0] for quantity in same)
    return Quantity(
        item=same[0].item,
        amount=amount,
        lines=tuple(dict.fromkeys(line for q in same for line in q.lines)),
        rules=tuple(dict.fromkeys(key for q in same for key in q.rules)),
        working=f"{'; '.join(sums)}; together {amount:f}",
    )
