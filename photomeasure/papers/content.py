"""What a paper says, before anybody decides how it is written down."""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from photomeasure.takeoff.cutting import MaterialPlan
from photomeasure.takeoff.model import BoardPiece, Shape

Value = str | int | Decimal | None
"""A cell: None is empty on purpose, for a pen or because nothing is known."""


class Kind(StrEnum):
    """What a column holds, for its side and its number format.

    Sketches are printed and not written as data; what they show is data beside them.
    """

    TEXT = "text"
    NUMBER = "number"
    MONEY = "money"
    SKETCH = "sketch"
    PEN = "pen"
    NOTE = "note"
    DATA = "data"


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table.

    Attributes
    ----------
    key : str
        Its name in JSON.
    heading : str
    width : float
        Share of the page.
    kind : Kind
    """

    key: str
    heading: str
    width: float
    kind: Kind = Kind.TEXT


@dataclass(frozen=True, slots=True)
class Row:
    """One row.

    Attributes
    ----------
    cells : tuple of Value
        One a column.
    strong : bool
        A total, or a heading within the table.
    piece : BoardPiece or None
        Drawn in the column of sketches.
    """

    cells: tuple[Value, ...]
    strong: bool = False
    piece: BoardPiece | None = None


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under headings.

    Attributes
    ----------
    key : str
        Its name in JSON.
    title : str
    columns : tuple of Column
    rows : tuple of Row
    large : bool
        In large print, to be read on a scaffold.
    """

    key: str
    title: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    large: bool = False


@dataclass(frozen=True, slots=True)
class Text:
    """Paragraphs, under a heading if it has one."""

    heading: str
    sentences: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Alert:
    """What nobody may overlook."""

    heading: str
    sentences: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Picture:
    """An annotated photo.

    Attributes
    ----------
    title : str
    jpeg : bytes
        Without metadata.
    size_px : (int, int)
    """

    title: str
    jpeg: bytes
    size_px: tuple[int, int]


@dataclass(frozen=True, slots=True)
class Mark:
    """What a piece is called.

    Attributes
    ----------
    letters : str
        Pencilled on the board.
    name : str
    """

    letters: str
    name: str


@dataclass(frozen=True, slots=True)
class Shapes:
    """Dimensioned pieces."""

    title: str
    shapes: tuple[tuple[Mark, Shape], ...]


@dataclass(frozen=True, slots=True)
class Boards:
    """A cutting plan drawn to scale.

    Attributes
    ----------
    title : str
    plans : tuple of MaterialPlan
    marks : dict of (str, int) to Mark
        Of the piece that a cut's part and place are for.
    """

    title: str
    plans: tuple[MaterialPlan, ...]
    marks: dict[tuple[str, int], Mark]


@dataclass(frozen=True, slots=True)
class Gallery:
    """Annotated photos side by side, each under its title."""

    pictures: tuple[Picture, ...]


@dataclass(frozen=True, slots=True)
class Part:
    """A part of the paper begins, on a page of its own."""

    title: str


@dataclass(frozen=True, slots=True)
class Signature:
    """Lines to write on."""

    labels: tuple[str, ...]


Block = Table | Text | Alert | Picture | Shapes | Boards | Gallery | Part | Signature


class Sheet(StrEnum):
    """What a paper is printed on, as rules files name it."""

    A4 = "A4"
    LETTER = "Letter"


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """One paper.

    Attributes
    ----------
    key : str
        Name of its files.
    title : str
    head : tuple of (str, str)
        Label and text: job, customer, date.
    firm : tuple of str
        Lines of the letterhead.
    measured : str
        Measured from photographs, with the interval.
    foot : str
        The same in one short line, for every page.
    check : str
        Check before cutting.
    blocks : tuple of Block
    cautions : tuple of str
    currency : str
        Of its columns of money.
    sheet : Sheet
        What it is printed on.
    cautions_first : bool
        Whether the cautions stand on the first page, not behind everything.
    """

    key: str
    title: str
    head: tuple[tuple[str, str], ...]
    firm: tuple[str, ...]
    measured: str
    foot: str
    check: str
    blocks: tuple[Block, ...]
    cautions: tuple[str, ...]
    currency: str = ""
    sheet: Sheet = Sheet.A4
    cautions_first: bool = False

    @property
    def tables(self) -> tuple[Table, ...]:
        """Its tables, in order."""
        return tuple(block for block in self.blocks if isinstance(block, Table))

    @property
    def alerts(self) -> tuple[Alert, ...]:
        """What nobody may overlook, in order."""
        return tuple(block for block in self.blocks if isinstance(block, Alert))
