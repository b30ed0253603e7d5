"""A paper, version 1, as data: what ``photomeasure papers --format json`` writes.

``photomeasure schema --papers`` prints the JSON Schema made from these classes, and the
papers themselves are written through them, so that the two cannot differ.
"""

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from photomeasure.papers.content import Sheet

Cell = Annotated[
    str | int | None,
    Field(description="money and amounts are text with all digits, millimetres whole"),
]


TableKey = Literal[
    "work",
    "goods",
    "shortages",
    "pieces",
    "cuts",
    "quantities",
    "verdicts",
    "lines",
    "rules",
    "costs",
    "totals",
]


class Exact(BaseModel):
    """Every word is listed: a new one is a change of the format."""

    model_config = ConfigDict(extra="forbid")


class HeadOut(Exact):
    """One line of the head: customer, job, date, number."""

    label: str
    text: str


class SaidOut(Exact):
    """Sentences under a heading, which may be empty."""

    heading: str
    sentences: list[str]


class TableOut(Exact):
    """A table: its rows by the keys of its columns."""

    table: TableKey
    title: str
    rows: list[dict[str, Cell]] = Field(
        description="group, where rows have one, is the heading they stand under"
    )


class PaperOut(Exact):
    """A paper; what is drawn on it is not data, what it shows stands in its tables."""

    photomeasure_paper: Literal[1]
    paper: Literal["quotation", "order", "cut-list", "take-off", "costing"]
    title: str
    sheet: Sheet = Field(description="that it is printed on")
    head: list[HeadOut]
    firm: list[str]
    currency: str | None = Field(description="three letters; null without prices")
    measured: str = Field(description="measured from photographs, with the interval")
    check: str = Field(description="what to tape before cutting")
    cautions: list[str]
    alerts: list[SaidOut] = Field(description="what nobody may overlook")
    texts: list[SaidOut]
    tables: list[TableOut]
