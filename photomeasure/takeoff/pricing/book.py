"""A price book as data: prices by code, and the firm's own terms."""

from dataclasses import dataclass, field
from decimal import Decimal
from difflib import get_close_matches
from enum import StrEnum
from typing import Final

from photomeasure.takeoff.model import Unit

ANY: Final = "*"
"""A segment of a book's code that stands for any one segment."""

_LOOKED_AT: Final = 2000
"""Codes compared with one that is missing: the comparison is slow."""


class MarginBasis(StrEnum):
    """What the margin is a share of: 25 % on cost is 20 % on price."""

    COST = "margin-on-cost"
    PRICE = "margin-on-price"


@dataclass(frozen=True, slots=True, kw_only=True)
class Price:
    """One row of the book.

    Attributes
    ----------
    code : str
        Segments between slashes; ``*`` stands for any one of them.
    description : str
    unit : Unit
        Of ``pack`` and of ``hours``.
    pack : Decimal or None
        How much of the unit one pack holds, > 0; None for what is sold in any amount.
    price : Decimal or None
        Of one pack, or of one unit, before tax, > 0; None for work that is paid by
        ``hours`` alone, and for what is ``included``.
    hours : Decimal or None
        Labour for one unit.
    waste : Decimal
        Share added before rounding up to packs, >= 0.
    included : bool
        Whether the book says that it costs nothing of its own.
    row : int
        In the file, from 1.
    """

    code: str
    description: str
    unit: Unit
    pack: Decimal | None
    price: Decimal | None
    hours: Decimal | None = None
    waste: Decimal = Decimal(0)
    included: bool = False
    row: int = 0

    @property
    def stars(self) -> tuple[bool, ...]:
        """Which segments stand for anything."""
        return tuple(segment == ANY for segment in self.code.split("/"))

    def covers(self, code: str) -> bool:
        """Whether an item's code is of this row."""
        own, other = self.code.split("/"), code.split("/")
        return len(own) == len(other) and all(
            a in (ANY, b) for a, b in zip(own, other, strict=True)
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """What is not the price of an item. None is what the book does not state.

    Attributes
    ----------
    currency : str
        ISO 4217 code.
    labour_hour : Decimal or None
        Price of one hour of the ``hours`` column.
    overhead : Decimal or None
        Share of the cost.
    margin : Decimal or None
        Share of cost and overhead, or of the price before tax.
    margin_basis : MarginBasis
    tax : Decimal or None
        Share of the price before tax.
    tax_name : str
        As printed.
    invented : bool
        Whether the book says of itself that its prices are invented.
    """

    currency: str
    labour_hour: Decimal | None = None
    overhead: Decimal | None = None
    margin: Decimal | None = None
    margin_basis: MarginBasis = MarginBasis.COST
    tax: Decimal | None = None
    tax_name: str = ""
    invented: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceBook:
    """A firm's prices.

    Attributes
    ----------
    name : str
        Of the file.
    terms : Terms
    prices : tuple of Price
        No two with the same code.
    """

    name: str
    terms: Terms
    prices: tuple[Price, ...]
    _by_code: dict[str, Price] = field(init=False, repr=False, compare=False)
    _starred: tuple[Price, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        by_code = {price.code: price for price in self.prices}
        object.__setattr__(self, "_by_code", by_code)
        starred = tuple(price for price in self.prices if any(price.stars))
        object.__setattr__(self, "_starred", starred)

    def find(self, code: str) -> Price | None:
        """Return the row of an item's code.

        Parameters
        ----------
        code : str

        Returns
        -------
        Price or None
            The row with the fewest stars; of equals the one whose stars come last.
        """
        exact = self._by_code.get(code)
        if exact is not None:
            return exact
        covering = (price for price in self._starred if price.covers(code))
        return min(covering, key=lambda p: (sum(p.stars), p.stars), default=None)

    def nearest(self, code: str) -> str | None:
        """Return the code of the book that looks most like one that it lacks."""
        kind = code.split("/", maxsplit=1)[0]
        alike = [own for own in self._by_code if own.split("/", maxsplit=1)[0] == kind]
        near = get_close_matches(code, alike or list(self._by_code)[:_LOOKED_AT], 1, 0.75)
        return near[0] if near else None
