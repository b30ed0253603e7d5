"""Tables of a paper: headings repeat on every page, numbers stand to the right."""

import io
from dataclasses import replace
from decimal import Decimal
from typing import Any

from reportlab.lib.colors import HexColor
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, Paragraph
from reportlab.platypus import Table as Grid

from photomeasure.papers.content import Column, Kind, Row, Table, Value
from photomeasure.papers.pdf.fonts import BOLD, REGULAR, Letters
from photomeasure.papers.pdf.sketches import PieceSketch
from photomeasure.papers.pdf.style import (
    ACCENT,
    HEADING_BACK,
    LARGE_SIZE,
    LOW,
    MM,
    RULE,
    STRONG_BACK,
    TEXT_SIZE,
    WIDTH,
    style,
)
from photomeasure.papers.wording import plain
from photomeasure.takeoff.pricing import in_words, rounded

_PAD = 3.0
_NOTE_SIZE = 7.4
_RIGHT = (Kind.NUMBER, Kind.MONEY)


def grid(table: Table, letters: Letters, currency: str) -> Flowable:
    """Return a table as it is printed.

    Parameters
    ----------
    table : Table
    letters : Letters
    currency : str

    Returns
    -------
    Flowable
    """
    table = _printed(table)
    size = LARGE_SIZE if table.large else TEXT_SIZE
    widths = [column.width * WIDTH for column in table.columns]
    head = [
        _paragraph(c.heading, letters, size - 1.4, side=2 * (c.kind in _RIGHT), bold=True)
        for c in table.columns
    ]
    body = [_cells(row, table.columns, letters, size, currency) for row in table.rows]

    def laid(*, within_rows: bool) -> Grid:
        return Grid(
            [head, *body],
            colWidths=widths,
            repeatRows=1,
            splitInRow=int(within_rows),
            style=_style(table),
            hAlign="LEFT",
            spaceBefore=2,
            spaceAfter=8,
        )

    whole = laid(within_rows=False)
    # Splitting within rows leaves slivers at page ends, so only giants are split.
    return laid(within_rows=True) if _tallest(whole) > LOW / 2 else whole


def _printed(table: Table) -> Table:
    """Return a table without the columns that its sketches show."""
    shown = [i for i, c in enumerate(table.columns) if c.kind is not Kind.DATA]
    rows = (replace(row, cells=tuple(row.cells[i] for i in shown)) for row in table.rows)
    columns = tuple(table.columns[i] for i in shown)
    return replace(table, columns=columns, rows=tuple(rows))


def _tallest(whole: Grid) -> float:
    whole.wrapOn(Canvas(io.BytesIO()), WIDTH, LOW)
    return float(max(whole._rowHeights))  # noqa: SLF001 - it has no other way to say it


def _style(table: Table) -> list[tuple[Any, ...]]:
    pad = 1.5 * MM if table.large else 1.1 * MM
    commands: list[tuple[Any, ...]] = [
        ("VALIGN", (0, 0), (-1, 0), "BOTTOM"),
        ("VALIGN", (0, 1), (-1, -1), "MIDDLE" if table.large else "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), _PAD + 2.0),
        ("RIGHTPADDING", (0, 0), (-1, -1), _PAD),
        ("TOPPADDING", (0, 0), (-1, -1), pad),
        ("BOTTOMPADDING", (0, 0), (-1, -1), pad),
        ("BACKGROUND", (0, 0), (-1, 0), HexColor(HEADING_BACK)),
        ("LINEBELOW", (0, 0), (-1, 0), 1.0, HexColor(ACCENT)),
        ("LINEBELOW", (0, 1), (-1, -1), 0.4, HexColor(RULE)),
    ]
    for number, row in enumerate(table.rows, start=1):
        if row.strong:
            commands.append(
                ("BACKGROUND", (0, number), (-1, number), HexColor(STRONG_BACK))
            )
        if _is_heading(row):
            commands.append(("SPAN", (0, number), (-1, number)))
            if number < len(table.rows):  # a heading at the foot of a page heads nothing
                commands.append(("NOSPLIT", (0, number), (0, number + 1)))
    for place, column in enumerate(table.columns):
        if column.kind is Kind.PEN:
            box = (place, 1), (place, -1)
            commands.append(("BOX", *box, 0.9, HexColor(ACCENT)))
    return commands


def _is_heading(row: Row) -> bool:
    return row.strong and all(cell is None for cell in row.cells[1:])


def _cells(
    row: Row, columns: tuple[Column, ...], letters: Letters, size: float, currency: str
) -> list[Any]:
    cells: list[Any] = []
    for column, value in zip(columns, row.cells, strict=True):
        if column.kind is Kind.SKETCH and row.piece is not None:
            cells.append(PieceSketch(row.piece, column.width * WIDTH - 2 * _PAD - 2.0))
            continue
        text = text_of(value, column.kind, currency)
        side = 2 * (column.kind in _RIGHT)
        strong = row.strong or column.key in ("mark", "packs", "long_mm")
        own = _NOTE_SIZE if column.kind is Kind.NOTE else size
        cells.append(_paragraph(text, letters, own, side=side, bold=strong))
    return cells


def _paragraph(text: str, letters: Letters, size: float, *, side: int, bold: bool) -> Any:  # noqa: ANN401
    name = BOLD if bold else REGULAR
    return Paragraph(letters.markup(text, name), style(size, bold=bold, side=side))


def text_of(value: Value, kind: Kind, currency: str) -> str:
    """Return a cell as printed.

    Parameters
    ----------
    value : str, int, Decimal or None
    kind : Kind
    currency : str

    Returns
    -------
    str

    Examples
    --------
    >>> text_of(Decimal("7.660"), Kind.NUMBER, ""), text_of(1234, Kind.NUMBER, "")
    ('7.66', '1234')
    """
    if value is None:
        return ""
    if kind is Kind.MONEY and isinstance(value, Decimal):
        if value == rounded(value, currency):
            return in_words(value, currency)
        return f"{currency} {plain(value)}"  # a price by the thousand keeps its digits
    return plain(value) if isinstance(value, Decimal) else str(value)
