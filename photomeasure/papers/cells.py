"""Text as a cell of a spreadsheet: never a formula, never a sign that breaks the file."""

from decimal import Decimal
from typing import Final

from calibration.errors import printable
from photomeasure.papers.content import Value

MAX_LETTERS: Final = 32_000
"""A cell of a spreadsheet holds 32,767 letters."""

_STARTS: Final = ("=", "+", "-", "@", "\t", "\r", "＝", "＋", "－", "＠")
"""What makes a spreadsheet program take text for a formula, also in full width."""


def safe_text(text: str) -> str:
    """Return text that no spreadsheet program takes for a formula.

    Parameters
    ----------
    text : str

    Returns
    -------
    str
        On one line; with an apostrophe before what would begin a formula, also behind
        blanks, which some programs drop.

    Examples
    --------
    >>> safe_text("=1+1"), safe_text("  @x"), safe_text("front - left")
    ("'=1+1", "'  @x", 'front - left')
    """
    shown = printable(text)
    # Also behind what printable() made a blank, as a tab, a line end or a zero byte.
    if text.startswith(_STARTS) or shown.lstrip().startswith(_STARTS):
        shown = f"'{shown}"
    return shown if len(shown) <= MAX_LETTERS else shown[: MAX_LETTERS - 1] + "…"


def safe_value(value: Value) -> str | int | Decimal:
    """Return a cell: text made safe, numbers as they are, nothing as empty text."""
    if value is None:
        return ""
    return safe_text(value) if isinstance(value, str) else value
