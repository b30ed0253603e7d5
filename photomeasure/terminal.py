"""Text in terminal columns, where a letter may take two columns or none."""

from typing import Final
from unicodedata import combining, east_asian_width

_WIDE: Final = ("W", "F")
"""Unicode Standard Annex 11: wide and fullwidth letters take two columns."""


def columns(text: str) -> int:
    """Return how many terminal columns a text takes.

    Examples
    --------
    >>> columns("eaves"), columns("軒先"), columns("e\u0301")
    (5, 4, 1)
    """
    return sum(map(_letter, text))


def _letter(letter: str) -> int:
    if combining(letter):
        return 0
    return 2 if east_asian_width(letter) in _WIDE else 1


def padded(text: str, width: int, side: str) -> str:
    """Return a text filled with blanks to a width.

    Parameters
    ----------
    text : str
    width : int
        Columns.
    side : {'<', '>'}
        Where the text stands.

    Returns
    -------
    str
    """
    blanks = " " * (width - columns(text))
    return text + blanks if side == "<" else blanks + text


def folded(text: str, width: int) -> list[str]:
    """Return a text as lines, broken at blanks where that is possible.

    Parameters
    ----------
    text : str
    width : int
        Columns, at least two.

    Returns
    -------
    list of str
        At least one; nothing but blanks is lost.

    Examples
    --------
    >>> folded("front eaves", 6), folded("gutterboard", 6)
    (['front', 'eaves'], ['gutter', 'board'])
    """
    lines = [""]
    for word in text.split():
        rest = word
        if lines[-1] and columns(lines[-1]) + 1 + columns(rest) <= width:
            lines[-1] += " " + rest
            continue
        if lines[-1]:
            lines.append("")
        while columns(rest) > width:
            lines[-1], rest = _cut(rest, width)
            lines.append("")
        lines[-1] = rest
    return lines


def _cut(word: str, width: int) -> tuple[str, str]:
    """Split a word that is too long where it fills the width."""
    used = 0
    for place, letter in enumerate(word):
        used += _letter(letter)
        if used > width:
            return word[:place], word[place:]
    return word, ""
