"""Sizes and colours of the papers. All lengths in points unless they say otherwise."""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from photomeasure.papers.content import Sheet
from photomeasure.papers.pdf.fonts import BOLD, REGULAR

if TYPE_CHECKING:
    from reportlab.lib.styles import ParagraphStyle

MM: Final = 72.0 / 25.4

TOP: Final = 17.0 * MM
BOTTOM: Final = 17.0 * MM

WIDTH: Final = 182.0 * MM
"""Of what is printed, on every sheet: A4 has 14 mm beside it, where printers print."""


@dataclass(frozen=True, slots=True)
class SheetSize:
    """A sheet of paper, upright.

    Attributes
    ----------
    size : (float, float)
        Across and down.
    """

    size: tuple[float, float]

    @property
    def margin(self) -> float:
        """Left and right of what is printed."""
        return (self.size[0] - WIDTH) / 2.0

    @property
    def height(self) -> float:
        """Of what is printed."""
        return self.size[1] - TOP - BOTTOM


SHEETS: Final = {
    Sheet.A4: SheetSize((210.0 * MM, 297.0 * MM)),
    Sheet.LETTER: SheetSize((8.5 * 72.0, 11.0 * 72.0)),
}

LOW: Final = min(sheet.height for sheet in SHEETS.values())
"""What every sheet has room for, one below the other."""

INK: Final = "#1d2a33"
FAINT: Final = "#6b7780"
RULE: Final = "#c9ced2"
HEADING_BACK: Final = "#e6ecef"
STRONG_BACK: Final = "#f3f5f6"
BOARD: Final = "#dfe9ee"
REST: Final = "#8b979e"
ALERT_BACK: Final = "#fff0d9"
ALERT_EDGE: Final = "#c25a00"
ACCENT: Final = "#17637a"

TEXT_SIZE: Final = 8.6
LARGE_SIZE: Final = 10.4
"""Read at arm's length on a scaffold."""


def style(
    size: float = TEXT_SIZE,
    *,
    bold: bool = False,
    side: int = 0,
    colour: str = INK,
    before: float = 0.0,
) -> "ParagraphStyle":
    """Return how a paragraph looks.

    Parameters
    ----------
    size : float
    bold : bool
    side : int
        0 for left, 2 for right.
    colour : str
    before : float
        Space above it.

    Returns
    -------
    ParagraphStyle
    """
    from reportlab.lib.colors import HexColor
    from reportlab.lib.styles import ParagraphStyle

    return ParagraphStyle(
        "paper",
        fontName=BOLD if bold else REGULAR,
        fontSize=size,
        leading=size * 1.28,
        alignment=side,
        textColor=HexColor(colour),
        spaceBefore=before,
        splitLongWords=1,
    )
