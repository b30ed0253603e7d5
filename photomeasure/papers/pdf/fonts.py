"""Letters for PDF: the PDF library's own font, then one of the computer, then a sign.

Latin text of western Europe looks the same on every computer, because its font comes with
the library. Letters which that lacks are taken from a font of the computer if it has a
usual one, and are otherwise replaced by a sign that nobody overlooks.
"""

import unicodedata
from collections.abc import Iterator
from functools import cache
from itertools import groupby
from pathlib import Path
from typing import Any, Final
from xml.sax.saxutils import escape

from calibration.errors import printable

REGULAR: Final = "paper"
BOLD: Final = "paper-bold"

SUBSTITUTE: Final = "◊"
"""For a letter that no font has."""

_OWN: Final = {REGULAR: "Vera.ttf", BOLD: "VeraBd.ttf"}
"""Fonts within the PDF library, free to embed."""

_USUAL: Final = (
    ("DejaVuSans.ttf", "DejaVuSans-Bold.ttf"),
    ("NotoSans-Regular.ttf", "NotoSans-Bold.ttf"),
    ("LiberationSans-Regular.ttf", "LiberationSans-Bold.ttf"),
    ("arial.ttf", "arialbd.ttf"),
    ("Arial.ttf", "Arial Bold.ttf"),
)
"""File names of fonts with Greek and Cyrillic that computers commonly have."""

_FOLDERS: Final = (
    "/usr/share/fonts",
    "/usr/local/share/fonts",
    "~/.local/share/fonts",
    "~/.fonts",
    "/Library/Fonts",
    "/System/Library/Fonts/Supplemental",
    "C:/Windows/Fonts",
)


@cache
def _own(name: str) -> Any:  # noqa: ANN401 - the library has no types
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    font = TTFont(name, _OWN[name])
    pdfmetrics.registerFont(font)
    return font


@cache
def _others(name: str) -> tuple[Any, ...]:
    """Return the computer's fonts, registered."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFError, TTFont

    found: list[Any] = []
    for number, pair in enumerate(_USUAL):
        path = _located(pair[name == BOLD]) or _located(pair[0])
        if path is not None:
            try:
                font = TTFont(f"{name}-{number}", str(path))
            except (TTFError, OSError):
                continue  # a file of that name which is no such font
            pdfmetrics.registerFont(font)
            found.append(font)
    return tuple(found)


@cache
def _located(file_name: str) -> Path | None:
    folders = (Path(folder).expanduser() for folder in _FOLDERS)
    for folder in folders:
        if folder.is_dir():
            found = sorted(folder.rglob(file_name))
            if found:
                return found[0]
    return None


@cache
def _font_of(letter: str, name: str) -> str | None:
    code = ord(letter)
    if code in _own(name).face.charToGlyph:
        return name
    others = (font for font in _others(name) if code in font.face.charToGlyph)
    return next((str(font.fontName) for font in others), None)


class Letters:
    """Turns foreign text into runs of letters that can be shown.

    Attributes
    ----------
    substituted : bool
        Whether any letter had to be replaced so far.
    """

    def __init__(self) -> None:
        self.substituted = False

    def runs(self, text: str, name: str = REGULAR) -> Iterator[tuple[str, str]]:
        """Yield stretches of text with the font that shows them.

        Parameters
        ----------
        text : str
        name : str
            :data:`REGULAR` or :data:`BOLD`.

        Yields
        ------
        (str, str)
            Font and text.
        """
        shown = unicodedata.normalize("NFC", printable(text))
        marked = [self._letter(letter, name) for letter in shown]
        for font, run in groupby(marked, key=lambda pair: pair[0]):
            yield font, "".join(letter for _, letter in run)

    def markup(self, text: str, name: str = REGULAR) -> str:
        """Return text for a paragraph: every sign of markup in it is a letter.

        Parameters
        ----------
        text : str
            Lines stay lines.
        name : str

        Returns
        -------
        str
        """
        lines = (self._line(line, name) for line in text.split("\n"))
        return "<br/>".join(lines)

    def _line(self, line: str, name: str) -> str:
        return "".join(
            escape(run) if font == name else f'<font name="{font}">{escape(run)}</font>'
            for font, run in self.runs(line, name)
        )

    def _letter(self, letter: str, name: str) -> tuple[str, str]:
        font = _font_of(letter, name)
        if font is None:
            self.substituted = True
            return name, SUBSTITUTE
        return font, letter


def width_of(runs: list[tuple[str, str]], size: float) -> float:
    """Return the width of runs in points."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    return sum(float(stringWidth(text, font, size)) for font, text in runs)
