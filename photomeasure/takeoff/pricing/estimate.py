"""Price a take-off: packs, labour, overhead, margin and tax, every sum exact."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from photomeasure.takeoff.model import Item, Quantity, Section, Takeoff
from photomeasure.takeoff.pricing.book import MarginBasis, Price, PriceBook, Terms
from photomeasure.takeoff.pricing.money import EXACT, rounded

NO_ROW: Final = "no row in the price book"


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """Why there is no price for an item.

    Attributes
    ----------
    item : Item
    reason : str
    remedy : str
    """

    item: Item
    reason: str
    remedy: str

    @property
    def sentence(self) -> str:
        """What is missing and what to do, for a person."""
        return f"{self.item.code}: {self.reason}; {self.remedy}."


@dataclass(frozen=True, slots=True, kw_only=True)
class Charge:
    """One item of the whole job with its price.

    Attributes
    ----------
    item : Item
    quantities : tuple of Quantity
        All of this item; packs are rounded up once for the job, not for each line.
    amount : Decimal
        Sum of the quantities.
    price : Price or None
        Row of the book.
    packs : int or None
        Number to buy; None without a row, for what is sold in any amount, and for work
        paid by the hour alone.
    goods : Decimal or None
        Packs, or the amount with its waste, times price, rounded.
    labour : Decimal or None
        Hours times rate, rounded; None if the row states no hours.
    gap : Gap or None
        Why the cost is not known.
    """

    item: Item
    quantities: tuple[Quantity, ...]
    amount: Decimal
    price: Price | None = None
    packs: int | None = None
    goods: Decimal | None = None
    labour: Decimal | None = None
    gap: Gap | None = None

    @property
    def hours(self) -> Decimal | None:
        """Labour of the amount."""
        if self.price is None or self.price.hours is None:
            return None
        return EXACT.multiply(self.amount, self.price.hours)

    @property
    def cost(self) -> Decimal | None:
        """Goods and labour, None if either is not known."""
        if self.gap is not None:
            return None
        return sum((p for p in (self.goods, self.labour) if p is not None), Decimal(0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Totals:
    """What the job costs and what is asked for it; each the sum of those before it.

    Attributes
    ----------
    cost : Decimal
        Sum of the charges.
    overhead, margin : Decimal
    net : Decimal
        Cost, overhead and margin.
    tax : Decimal or None
        None if the book states no rate.
    total : Decimal
        Net and tax.
    """

    cost: Decimal
    overhead: Decimal
    margin: Decimal
    net: Decimal
    tax: Decimal | None
    total: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """A priced take-off.

    Attributes
    ----------
    terms : Terms or None
        None if there is no price book.
    charges : tuple of Charge
        One an item, in the order of the take-off.
    priced_so_far : Decimal
        Sum of the known costs; the cost of the job only if nothing is missing.
    totals : Totals or None
        None if anything is missing.
    """

    terms: Terms | None
    charges: tuple[Charge, ...]
    priced_so_far: Decimal
    totals: Totals | None

    @property
    def gaps(self) -> tuple[Gap, ...]:
        """What is missing."""
        return tuple(charge.gap for charge in self.charges if charge.gap is not None)


def estimate(takeoff: Takeoff, book: PriceBook) -> Estimate:
    """Price a take-off.

    Parameters
    ----------
    takeoff : Takeoff
    book : PriceBook

    Returns
    -------
    Estimate
        Without totals if any price is missing, or if there is nothing to price.
    """
    charges = tuple(_charge(*group, book) for group in _grouped(takeoff.quantities))
    known = (charge.cost for charge in charges)
    so_far = sum((cost for cost in known if cost is not None), Decimal(0))
    complete = bool(charges) and all(charge.gap is None for charge in charges)
    return Estimate(
        terms=book.terms,
        charges=charges,
        priced_so_far=so_far,
        totals=_totals(so_far, book.terms) if complete else None,
    )


def estimate_without_prices(takeoff: Takeoff) -> Estimate:
    """Return the items of a take-off when there is no price book.

    Parameters
    ----------
    takeoff : Takeoff

    Returns
    -------
    Estimate
        Every item, none with packs or a price.
    """
    charges = tuple(
        Charge(item=item, quantities=parts, amount=_sum(parts), gap=_no_row(item, None))
        for item, parts in _grouped(takeoff.quantities)
    )
    return Estimate(terms=None, charges=charges, priced_so_far=Decimal(0), totals=None)


def _grouped(
    quantities: Iterable[Quantity],
) -> tuple[tuple[Item, tuple[Quantity, ...]], ...]:
    """Return each item with all its quantities, in the order of the work."""
    groups: dict[tuple[str, str], list[Quantity]] = {}
    for quantity in quantities:
        item = quantity.item
        groups.setdefault((item.code, item.unit), []).append(quantity)
    order = list(Section)
    parts = sorted(groups.values(), key=lambda group: order.index(group[0].item.section))
    return tuple((group[0].item, tuple(group)) for group in parts)


def _sum(quantities: tuple[Quantity, ...]) -> Decimal:
    return sum((quantity.amount for quantity in quantities), Decimal(0))


def _charge(item: Item, quantities: tuple[Quantity, ...], book: PriceBook) -> Charge:
    amount, price = _sum(quantities), book.find(item.code)
    if price is None or price.unit is not item.unit:
        why = _no_row(item, book) if price is None else _other_unit(item, price)
        return Charge(item=item, quantities=quantities, amount=amount, gap=why)
    currency = book.terms.currency
    packs = goods = labour = None
    gap: Gap | None = None
    if price.price is not None or price.included:
        wanted = EXACT.multiply(amount, 1 + price.waste)
        packs = _packs(wanted, price.pack) if price.pack is not None else None
        bought = wanted if packs is None else packs
        goods = rounded(EXACT.multiply(bought, price.price or Decimal(0)), currency)
    if price.hours is not None and book.terms.labour_hour is not None:
        hours = EXACT.multiply(amount, price.hours)
        labour = rounded(EXACT.multiply(hours, book.terms.labour_hour), currency)
    elif price.hours is not None:
        gap = Gap(
            item=item,
            reason=f"row {price.row} states hours and the book has no price of an hour",
            remedy="add a row terms/labour-hour",
        )
    return Charge(
        item=item,
        quantities=quantities,
        amount=amount,
        price=price,
        packs=packs,
        goods=goods,
        labour=labour,
        gap=gap,
    )


def _packs(wanted: Decimal, pack: Decimal) -> int:
    """Return how many packs hold an amount."""
    whole, rest = EXACT.divmod(wanted, pack)
    return int(whole) + (1 if rest else 0)


def _no_row(item: Item, book: PriceBook | None) -> Gap:
    near = book.nearest(item.code) if book else None
    remedy = f"add one (the nearest is {near})" if near else "add one"
    return Gap(item=item, reason=NO_ROW, remedy=remedy)


def _other_unit(item: Item, price: Price) -> Gap:
    return Gap(
        item=item,
        reason=f"priced by {price.unit} in row {price.row}, needed by {item.unit}",
        remedy="correct the unit of the row",
    )


def _totals(cost: Decimal, terms: Terms) -> Totals:
    def share(base: Decimal, rate: Decimal | None) -> Decimal:
        return rounded(EXACT.multiply(base, rate or Decimal(0)), terms.currency)

    overhead = share(cost, terms.overhead)
    margin_rate = terms.margin or Decimal(0)
    if terms.margin_basis is MarginBasis.PRICE:
        # m of the price is m / (1 - m) of the cost.
        margin_rate = EXACT.divide(margin_rate, 1 - margin_rate)
    margin = share(cost + overhead, margin_rate)
    net = cost + overhead + margin
    tax = None if terms.tax is None else share(net, terms.tax)
    return Totals(
        cost=cost,
        overhead=overhead,
        margin=margin,
        net=net,
        tax=tax,
        total=net + (tax or Decimal(0)),
    )
