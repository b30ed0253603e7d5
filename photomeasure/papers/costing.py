"""The office's costing: every line's cost, and how the price comes about."""

from collections.abc import Sequence
from decimal import Decimal
from typing import Final

from photomeasure.papers import texts
from photomeasure.papers.content import Alert, Block, Column, Kind, Paper, Row, Table, Value
from photomeasure.papers.dossier import Dossier
from photomeasure.papers.quotation import tax_name
from photomeasure.papers.wording import percent
from photomeasure.takeoff.model import Section
from photomeasure.takeoff.pricing import Charge, Estimate, Terms, Totals

Step = tuple[str, Decimal]


def costing(dossier: Dossier) -> Paper:
    """Return the costing.

    Parameters
    ----------
    dossier : Dossier

    Returns
    -------
    Paper
        With the gaps named, and no total, if prices are missing.
    """
    estimate = dossier.estimate
    blocks: list[Block] = []
    if estimate.terms is None:
        blocks.append(Alert(texts.COST_INCOMPLETE, (texts.COST_NO_BOOK,)))
    elif estimate.gaps:
        said = tuple(gap.sentence for gap in estimate.gaps)
        blocks.append(Alert(texts.COST_INCOMPLETE, said))
    if estimate.terms is not None and estimate.terms.invented:
        blocks.append(Alert(texts.INVENTED, (texts.INVENTED_TEXT,)))
    if _twice(estimate.charges):
        blocks.append(Alert(texts.COST_TWICE, (texts.COST_TWICE_TEXT,)))
    if estimate.charges:
        blocks.append(_lines(estimate.charges))
    if estimate.terms is not None:
        blocks.append(_totals(estimate, estimate.terms))
    return dossier.paper("costing", texts.COSTING, blocks)


_FITTED: Final = frozenset(
    {
        Section.STRIP_OUT,
        Section.TIMBER,
        Section.BOARDS,
        Section.TRIMS,
        Section.FIXINGS,
        Section.VERGE,
    }
)
"""Sections whose fitting the take-off counts in hours of its own."""


def _twice(charges: Sequence[Charge]) -> bool:
    """Whether both the take-off and the price book count hours of the same work."""
    counted = any(charge.item.section is Section.LABOUR for charge in charges)
    return counted and any(
        charge.hours is not None and charge.item.section in _FITTED for charge in charges
    )


def _lines(charges: Sequence[Charge]) -> Table:
    columns = (
        Column("item", texts.COST_ITEM, 0.22),
        Column("code", texts.ORDER_CODE, 0.20, Kind.NOTE),
        Column("bought", texts.COST_PACKS, 0.07, Kind.NUMBER),
        Column("price", texts.COST_PRICE, 0.11, Kind.MONEY),
        Column("goods", texts.COST_GOODS, 0.11, Kind.MONEY),
        Column("hours", texts.COST_HOURS, 0.07, Kind.NUMBER),
        Column("labour", texts.COST_LABOUR, 0.11, Kind.MONEY),
        Column("cost", texts.COST_LINE, 0.11, Kind.MONEY),
    )
    return Table("costs", texts.COST_LINES, columns, tuple(map(_line, charges)))


def _line(charge: Charge) -> Row:
    hours, price = charge.hours, charge.price
    each: Value = price.price if price else None
    if price and price.included:
        each = texts.COST_INCLUDED
    sold = charge.amount if charge.goods is not None else None
    return Row(
        (
            charge.item.description,
            charge.item.code,
            sold if charge.packs is None else charge.packs,
            each,
            charge.goods,
            None if hours is None else round(hours, 2),
            charge.labour,
            charge.cost,
        )
    )


def _totals(estimate: Estimate, terms: Terms) -> Table:
    if estimate.totals is None:
        steps: list[Step] = [(texts.COST_SO_FAR, estimate.priced_so_far)]
    else:
        steps = _steps(estimate.totals, terms)
    columns = (
        Column("step", texts.COST_STEP, 0.75),
        Column("amount", texts.COST_AMOUNT, 0.25, Kind.MONEY),
    )
    rows = tuple(Row(step, strong=step is steps[-1]) for step in steps)
    return Table("totals", texts.COST_TOTALS, columns, rows)


def _steps(totals: Totals, terms: Terms) -> list[Step]:
    overhead = _named(texts.COST_OVERHEAD, terms.overhead, texts.COST_NO_OVERHEAD)
    margin = _named(
        texts.COST_MARGIN[terms.margin_basis], terms.margin, texts.COST_NO_MARGIN
    )
    steps: list[Step] = [
        (texts.COST_SUM, totals.cost),
        (overhead, totals.overhead),
        (margin, totals.margin),
        (texts.QUOTE_NET, totals.net),
    ]
    if totals.tax is None:
        return [*steps, (texts.QUOTE_NO_TAX, totals.total)]
    return [*steps, (tax_name(terms), totals.tax), (texts.QUOTE_TOTAL, totals.total)]


def _named(text: str, rate: Decimal | None, otherwise: str) -> str:
    return otherwise if rate is None else text.format(rate=percent(rate))
