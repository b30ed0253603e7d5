"""A paper as JSON, for other programs: exact numbers as text, names as they were given."""

import json
from decimal import Decimal
from typing import Any

from photomeasure.papers.content import Alert, Kind, Paper, Row, Table, Text, Value
from photomeasure.papers.contract import PaperOut


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
        As :class:`PaperOut` describes it: money and amounts are text with all their
        digits, millimetres are whole numbers.
    """
    texts = [block for block in paper.blocks if isinstance(block, Text)]
    written = PaperOut.model_validate(
        {
            "photomeasure_paper": 1,
            "paper": paper.key,
            "title": paper.title,
            "sheet": paper.sheet,
            "head": [{"label": label, "text": text} for label, text in paper.head],
            "firm": paper.firm,
            "currency": paper.currency or None,
            "measured": paper.measured,
            "check": paper.check,
            "cautions": paper.cautions,
            "alerts": [_said(alert) for alert in paper.alerts],
            "texts": [_said(text) for text in texts],
            "tables": [
                {"table": table.key, "title": table.title, "rows": _rows(table)}
                for table in paper.tables
            ],
        }
    )
    return written.model_dump(mode="json")


def _said(block: Text | Alert) -> dict[str, Any]:
    return {"heading": block.heading, "sentences": block.sentences}


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
