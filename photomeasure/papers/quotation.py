"""The customer's quotation: what is done, for how much, and what the price rests on."""

from collections.abc import Sequence
from decimal import ROUND_CEILING, Decimal

from photomeasure.papers import texts
from photomeasure.papers.content import (
    Alert,
    Block,
    Column,
    Gallery,
    Kind,
    Paper,
    Row,
    Signature,
    Table,
    Text,
)
from photomeasure.papers.dossier import QUOTATION_KEY, Dossier
from photomeasure.papers.wording import percent, plain
from photomeasure.takeoff.model import Section, Unit
from photomeasure.takeoff.pricing import (
    Charge,
    IncompletePrices,
    Terms,
    Totals,
    shared_out,
)


def quotation(dossier: Dossier) -> Paper:
    """Return the quotation.

    Parameters
    ----------
    dossier : Dossier

    Returns
    -------
    Paper
        Overhead and margin are within the prices of its parts, which add up to its sum.

    Raises
    ------
    IncompletePrices
        If any price is missing: no offer is made without it.
    """
    estimate = dossier.estimate
    if estimate.totals is None or estimate.terms is None:
        missing = [gap.item.code for gap in estimate.gaps]
        raise IncompletePrices(missing or ["anything, the take-off being empty"])
    blocks: list[Block] = []
    if estimate.terms.invented:
        blocks.append(Alert(texts.INVENTED, (texts.INVENTED_TEXT,)))
    blocks += [
        _work(estimate.charges, estimate.totals, estimate.terms),
        Text(texts.QUOTE_BASIS, texts.QUOTE_BASIS_TEXT),
        Signature(texts.ACCEPT),
    ]
    if dossier.drawn:
        blocks.append(Gallery(dossier.drawn))
    return dossier.paper(QUOTATION_KEY, texts.QUOTATION, blocks)


def _work(charges: Sequence[Charge], totals: Totals, terms: Terms) -> Table:
    columns = (
        Column("part", texts.QUOTE_PART, 0.26),
        Column("includes", texts.QUOTE_INCLUDES, 0.54),
        Column("price", texts.QUOTE_PRICE, 0.20, Kind.MONEY),
    )
    parts = {s: [c for c in charges if c.item.section is s] for s in Section}
    used = {section: own for section, own in parts.items() if own}
    costs = [sum((c.cost or Decimal(0) for c in own), Decimal(0)) for own in used.values()]
    prices = shared_out(totals.net, costs, terms.currency)
    rows = [
        Row((texts.SECTIONS[section], _includes(own), price))
        for (section, own), price in zip(used.items(), prices, strict=True)
    ]
    return Table("work", texts.QUOTE_WORK, columns, (*rows, *_sums(totals, terms)))


def _includes(charges: Sequence[Charge]) -> str:
    return "; ".join(map(_described, charges))


def _described(charge: Charge) -> str:
    """Return an item with how much of it, whole ones rounded up; work without hours."""
    unit = charge.item.unit
    if unit is Unit.HOUR:
        return charge.item.description
    whole = unit is Unit.EACH
    amount = charge.amount.to_integral_value(ROUND_CEILING) if whole else charge.amount
    return f"{charge.item.description}: {plain(amount)} {texts.UNITS[unit]}".strip()


def _sums(totals: Totals, terms: Terms) -> tuple[Row, ...]:
    if totals.tax is None or terms.tax is None:
        return (Row((texts.QUOTE_NO_TAX, None, totals.total), strong=True),)
    return (
        Row((texts.QUOTE_NET, None, totals.net), strong=True),
        Row((tax_name(terms), None, totals.tax)),
        Row((texts.QUOTE_TOTAL, None, totals.total), strong=True),
    )


def tax_name(terms: Terms) -> str:
    """Return the tax with its rate, as printed."""
    rate = percent(terms.tax or Decimal(0))
    return texts.QUOTE_TAX.format(name=terms.tax_name or texts.TAX, rate=rate)
