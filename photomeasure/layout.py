"""Headings, columns and marked paragraphs of everything printed for a person."""

from collections.abc import Iterable, Sequence
from typing import Final

from calibration.errors import printable
from photomeasure.terminal import columns, folded, padded

WIDTH: Final = 78
"""Narrow terminals and printed pages hold this."""

_GAP: Final = "  "


def heading(name: str) -> list[str]:
    """Return a name, underlined.

    Parameters
    ----------
    name : str
        Foreign text.

    Returns
    -------
    list of str
    """
    lines = folded(printable(name), WIDTH)
    return [*lines, "-" * max(map(columns, lines))]


def in_columns(rows: Sequence[tuple[str, ...]], sides: str) -> Iterable[str]:
    """Yield rows; a long first cell, a name, goes on below itself.

    Parameters
    ----------
    rows : sequence of tuple of str
    sides : str
        ``<`` or ``>`` for each column.

    Yields
    ------
    str
    """
    widths = [max(columns(row[i]) for row in rows) for i in range(len(sides))]
    others = sum(widths[1:]) + len(_GAP) * len(widths[1:])
    widths[0] = min(widths[0], WIDTH - others)
    for name, *rest in rows:
        first, *more = folded(name, widths[0])
        cells = zip((first, *rest), widths, sides, strict=True)
        yield _GAP.join(padded(*cell) for cell in cells).rstrip()
        yield from more


def marked(mark: str, text: str) -> list[str]:
    """Return a paragraph that hangs behind a mark.

    Parameters
    ----------
    mark : str
    text : str
        Foreign text.

    Returns
    -------
    list of str
    """
    first, *more = folded(printable(text), WIDTH - columns(mark))
    return [mark + first, *(" " * columns(mark) + line for line in more)]
