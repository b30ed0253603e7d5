"""The merchant's order: what to deliver, in whole packs."""

from typing import Final

from photomeasure.papers import texts
from photomeasure.papers.content import Alert, Block, Column, Kind, Paper, Row, Table, Text
from photomeasure.papers.dossier import Dossier
from photomeasure.papers.wording import chance
from photomeasure.takeoff.model import Deciding, Section, Shortage, Unit
from photomeasure.takeoff.pricing import Charge
from photomeasure.takeoff.tally import in_range

_GOODS: Final = frozenset(Section) - {Section.ACCESS, Section.STRIP_OUT, Section.LABOUR}
"""What a merchant delivers; towers and skips are hired elsewhere."""

_NAMED: Final = 6
_TIME: Final = (Unit.HOUR, Unit.DAY)


def order(dossier: Dossier) -> Paper:
    """Return the order.

    Parameters
    ----------
    dossier : Dossier

    Returns
    -------
    Paper
        With packs where the price book states them, and amounts needed in any case.
    """
    goods = [charge for charge in dossier.estimate.charges if is_goods(charge)]
    blocks: list[Block] = []
    unknown = [charge.item.description for charge in goods if charge.price is None]
    if unknown:
        said = texts.ORDER_NO_PACK_TEXT.format(items=_listed(unknown))
        blocks.append(Alert(texts.ORDER_NO_PACK, (said,)))
    blocks.append(_goods(goods) if goods else Text("", (texts.ORDER_NOTHING,)))
    blocks += shortage_blocks(dossier.takeoff.shortages, dossier.takeoff.deciding)
    return dossier.paper("order", texts.ORDER, blocks)


def is_goods(charge: Charge) -> bool:
    """Whether something is bought; work in a section of goods has hours and no price."""
    if charge.item.section not in _GOODS or charge.item.unit in _TIME:
        return False
    return charge.price is None or charge.goods is not None


def _listed(names: list[str]) -> str:
    """Return the first few names: the table below has them all."""
    items = "; ".join(names[:_NAMED])
    more = len(names) - _NAMED
    return texts.ORDER_MORE.format(items=items, more=more) if more > 0 else items


def _goods(goods: list[Charge]) -> Table:
    columns = (
        Column("packs", texts.ORDER_PACKS, 0.09, Kind.NUMBER),
        Column("pack", texts.ORDER_PACK, 0.09, Kind.NUMBER),
        Column("unit", texts.ORDER_UNIT, 0.08),
        Column("item", texts.ORDER_ITEM, 0.36),
        Column("code", texts.ORDER_CODE, 0.28, Kind.NOTE),
        Column("needed", texts.ORDER_NEEDED, 0.10, Kind.NUMBER),
    )
    rows = [
        Row(
            (
                charge.packs,
                charge.price.pack if charge.price else None,
                str(charge.item.unit),
                charge.item.description,
                charge.item.code,
                charge.amount,
            )
        )
        for charge in goods
    ]
    return Table("goods", texts.ORDER_GOODS, columns, tuple(rows))


def shortage_blocks(
    shortages: tuple[Shortage, ...], deciding: Deciding | None
) -> tuple[Block, ...]:
    """Return how likely the boards are too few, and which length would settle it."""
    columns = (
        Column("board", texts.SHORT_MATERIAL, 0.46),
        Column("length_mm", texts.SHORT_LENGTH, 0.18, Kind.NUMBER),
        Column("boards", texts.SHORT_BOARDS, 0.18, Kind.NUMBER),
        Column("runs_short", texts.SHORT_CHANCE, 0.18),
    )
    rows = tuple(
        Row((s.material.label, s.stock_length_mm, s.boards, in_range(s.at_least, s.chance)))
        for s in shortages
    )
    blocks: list[Block] = []
    if rows:
        blocks.append(Table("shortages", texts.SHORT, columns, rows))
        blocks.append(Text("", (texts.SHORT_BASIS,)))
    if deciding:
        sentence = texts.DECIDING.format(
            line=deciding.line,
            now=chance(deciding.chance_now),
            taped=chance(deciding.chance_taped),
        )
        blocks.append(Text("", (sentence,)))
    return tuple(blocks)
