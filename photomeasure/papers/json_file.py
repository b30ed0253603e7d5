"""A paper as JSON, for other programs: exact numbers as text, names as they were given."""

import json
from decimal import Decimal
from typing import Any, Final

from photomeasure.papers.content import Kind, Paper, Row, Table, Text, Value

FORMAT_VERSION: Final = 1


def json_bytes(paper: Paper) -> bytes:
    """Write a paper.

    Parameters
    ----------
    paper : Paper

    Returns
    -------
    bytes
        ASCII, so that no program can trip over a foreign name.
    """
    return (json.dumps(paper_json(paper), indent=1, allow_nan=False) + "\n").encode()


def paper_json(paper: Paper) -> dict[str, Any]:
    """Return a paper as JSON types.

    Parameters
    ----------
    paper : Paper

    Returns
    -------
    dict
        Money and amounts are text with all their digits, millimetres are whole numbers.
    """
    texts = [block for block in paper.blocks if isinstance(block, Text)]
    return {
        "photomeasure_paper": FORMAT_VERSION,
        "paper": paper.key,
        "title": paper.title,
        "head": [{"label": label, "text": text} for label, text in paper.head],
        "firm": list(paper.firm),
        "currency": paper.currency or None,
        "measured": paper.measured,
        "check": paper.check,
        "cautions": list(paper.cautions),
        "alerts": [
            {"heading": alert.heading, "sentences": list(alert.sentences)}
            for alert in paper.alerts
        ],
        "texts": [
            {"heading": text.heading, "sentences": list(text.sentences)} for text in texts
        ],
        "tables": [
            {"table": table.key, "title": table.title, "rows": _rows(table)}
            for table in paper.tables
        ],
    }


def _rows(table: Table) -> list[dict[str, Any]]:
    """Return the rows of a table; headings within it are the group of what follows."""
    rows: list[dict[str, Any]] = []
    group: str | None = None
    for row in table.rows:
        if _heading(row):
            group = str(row.cells[0])
            continue
        cells = {
            column.key: _value(value)
            for column, value in zip(table.columns, row.cells, strict=True)
            if column.kind not in (Kind.SKETCH, Kind.PEN)
        }
        rows.append({"group": group, **cells} if group is not None else cells)
    return rows


def _heading(row: Row) -> bool:
    return row.strong and all(cell is None for cell in row.cells[1:])


def _value(value: Value) -> str | int | None:
    return f"{value:f}" if isinstance(value, Decimal) else value
