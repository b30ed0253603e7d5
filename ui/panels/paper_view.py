"""A paper on the screen: the same content that is written to files."""

import base64
from decimal import Decimal
from functools import singledispatch

from photomeasure.papers import texts
from photomeasure.papers.content import (
    Alert,
    Block,
    Boards,
    Column,
    Gallery,
    Kind,
    Paper,
    Part,
    Picture,
    Row,
    Shapes,
    Signature,
    Table,
    Text,
    Value,
)
from photomeasure.papers.wording import plain
from photomeasure.takeoff.pricing import in_words
from ui.panels.markup import Html, join, listed, table, tag
from ui.texts import said

_HIDDEN = (Kind.SKETCH, Kind.DATA)
"""Columns that only a printed page or a data file shows."""

_MOST_STACKED = 5
"""Columns that a narrow screen still shows one below the other."""


def paper_markup(paper: Paper) -> str:
    """Return a paper as markup.

    Parameters
    ----------
    paper : Paper

    Returns
    -------
    str
    """
    head = table((), list(paper.head), paper.title) if paper.head else None
    whole = tag(
        "div",
        *(tag("p", line) for line in paper.firm),
        tag("h2", paper.title),
        head,
        tag("p", paper.measured),
        tag("p", tag("b", paper.check)),
        *(_block(block, paper.currency) for block in paper.blocks),
        tag("h3", texts.CAUTIONS) if paper.cautions else None,
        listed(paper.cautions),
        tag("p", paper.foot, class_="pm-small"),
        class_="pm-paper",
    )
    return str(tag("div", whole, class_="pm-panel"))


@singledispatch
def _block(block: Block, currency: str) -> Html:  # noqa: ARG001
    raise TypeError(type(block).__name__)


@_block.register
def _(block: Text, currency: str) -> Html:  # noqa: ARG001
    sentences = (tag("p", sentence) for sentence in block.sentences)
    return join((tag("h3", block.heading) if block.heading else None, *sentences))


@_block.register
def _(block: Alert, currency: str) -> Html:  # noqa: ARG001
    inside = (tag("p", sentence) for sentence in block.sentences)
    return tag("div", tag("h3", block.heading), *inside, class_="pm-alert")


@_block.register
def _(block: Part, currency: str) -> Html:  # noqa: ARG001
    return tag("h2", block.title)


@_block.register
def _(block: Gallery, currency: str) -> Html:  # noqa: ARG001
    return join(_picture(picture) for picture in block.pictures)


@_block.register
def _(block: Picture, currency: str) -> Html:  # noqa: ARG001
    return _picture(block)


@_block.register(Boards)
@_block.register(Shapes)
def _(block: Boards | Shapes, currency: str) -> Html:  # noqa: ARG001
    return tag("p", said("papers", "drawn", title=block.title), class_="pm-note")


@_block.register
def _(block: Signature, currency: str) -> Html:  # noqa: ARG001
    return listed(f"{label}: ______________" for label in block.labels)


@_block.register
def _(block: Table, currency: str) -> Html:
    shown = [i for i, column in enumerate(block.columns) if column.kind not in _HIDDEN]
    heads = [block.columns[i].heading for i in shown]
    rows = [
        [_cell(row, i, block.columns[i], currency) for i in shown] for row in block.rows
    ]
    title = tag("h3", block.title) if block.title else None
    stack = len(heads) <= _MOST_STACKED
    return join((title, table(heads, rows, block.title or heads[0], stack=stack)))


def _cell(row: Row, index: int, column: Column, currency: str) -> Html:
    text = _written(row.cells[index], column.kind, currency)
    number = column.kind in (Kind.NUMBER, Kind.MONEY)
    inner = tag("span", text, class_="pm-number" if number else None)
    return tag("b", inner) if row.strong else inner


def _written(value: Value, kind: Kind, currency: str) -> str:
    if value is None:
        return ""
    if isinstance(value, Decimal):
        money = kind is Kind.MONEY and currency
        return in_words(value, currency) if money else plain(value)
    return str(value)


def _picture(picture: Picture) -> Html:
    # Small enough to be part of the page; it has no metadata.
    data = base64.b64encode(picture.jpeg).decode()
    image = tag("img", src=f"data:image/jpeg;base64,{data}", alt=picture.title)
    return tag("figure", image, tag("figcaption", picture.title))
