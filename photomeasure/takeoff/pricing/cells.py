"""Cells of a table as read, before anybody asks what they mean."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Final

MAX_BYTES: Final = 5_000_000
"""Of a price book: fifty thousand rows."""

MAX_ROWS: Final = 20_000
MAX_COLUMNS: Final = 40
"""More than any book needs; the rest is not looked at."""

MAX_CELL: Final = 1_000
"""Letters of one cell."""


@dataclass(frozen=True, slots=True)
class BadCell:
    """A cell that cannot be used, whatever it was meant for.

    Attributes
    ----------
    what, remedy : str
    """

    what: str
    remedy: str


Cell = str | Decimal | BadCell
"""Text without blanks around it, a spreadsheet's number, or why it is neither."""


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a table.

    Attributes
    ----------
    number : int
        From 1, as the spreadsheet shows it; in CSV the line that the row ends on.
    cells : tuple of Cell
    """

    number: int
    cells: tuple[Cell, ...]

    @property
    def blank(self) -> bool:
        """Whether nothing is written in it."""
        return all(cell == "" for cell in self.cells)

    @property
    def comment(self) -> bool:
        """Whether it begins with ``#``, so that it is for people alone."""
        first = self.cells[0] if self.cells else ""
        return isinstance(first, str) and first.startswith("#")


@dataclass(frozen=True, slots=True)
class Table:
    """All rows of a file.

    Attributes
    ----------
    rows : tuple of Row
    decimal_comma : bool
        Whether the file writes decimal commas, as its semicolons say.
    """

    rows: tuple[Row, ...]
    decimal_comma: bool = False
