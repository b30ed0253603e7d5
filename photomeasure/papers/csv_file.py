"""A paper as CSV: its tables, each under its title, then what every paper says."""

import csv
import io
from collections.abc import Iterator, Sequence
from decimal import Decimal

from photomeasure.papers.cells import safe_text, safe_value
from photomeasure.papers.content import Alert, Kind, Paper, Table, Value


def csv_bytes(paper: Paper) -> bytes:
    """Write a paper.

    Parameters
    ----------
    paper : Paper

    Returns
    -------
    bytes
        UTF-8 with the mark by which spreadsheet programs know it.
    """
    stream = io.StringIO(newline="")
    writer = csv.writer(stream, quoting=csv.QUOTE_ALL)
    writer.writerows(_rows(paper))
    return stream.getvalue().encode("utf-8-sig")


def _rows(paper: Paper) -> Iterator[Sequence[str]]:
    yield [safe_text(paper.title)]
    for label, text in paper.head:
        yield [safe_text(label), safe_text(text)]
    for alert in paper.alerts:
        yield from _alert(alert)
    for table in paper.tables:
        yield []
        yield [safe_text(table.title)]
        yield from _table(table)
    yield []
    for sentence in (paper.measured, paper.check, *paper.cautions):
        yield [safe_text(sentence)]


def _alert(alert: Alert) -> Iterator[Sequence[str]]:
    for sentence in alert.sentences:
        yield [safe_text(alert.heading), safe_text(sentence)]


def _table(table: Table) -> Iterator[Sequence[str]]:
    shown = [i for i, c in enumerate(table.columns) if c.kind is not Kind.SKETCH]
    yield [safe_text(table.columns[i].key) for i in shown]
    for row in table.rows:
        yield [_text(row.cells[i]) for i in shown]


def _text(value: Value) -> str:
    # Money keeps its zeros: 12.50 is not 12.5.
    safe = safe_value(value)
    return f"{safe:f}" if isinstance(safe, Decimal) else str(safe)
