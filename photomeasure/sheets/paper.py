"""Where everything stands on a page, in millimetres from its bottom left corner."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from calibration.sheet import Layout
from calibration.sheet.layout import Rect
from photomeasure.sheets.printed import LINE_A_MM, LINE_B_MM


class PaperSize(StrEnum):
    """Paper that offices and homes have."""

    A4 = "a4"
    LETTER = "letter"


PAPER_MM: Final = {PaperSize.A4: (210.0, 297.0), PaperSize.LETTER: (215.9, 279.4)}
"""ISO 216; 8.5 by 11 inches."""

MARGIN_MM: Final = 8.0
"""Nothing that matters is nearer to an edge. Common practice, no source: laser printers
leave 4 to 5 mm blank, ink-jet printers more at the foot, where only line A stands."""

_FOOT_MM: Final = 24.0
"""From the foot of the page to the squares: room for line A and its words."""

_LINE_A_UP_MM: Final = 14.0
_BESIDE_MM: Final = 6.5
"""From the squares to line B."""

TICK_MM: Final = 5.0
THIN_MM: Final = 0.25
"""Length and width of what a ruler is held to."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """A page with one sheet.

    Attributes
    ----------
    size_mm : tuple of float
        Width and height.
    block : tuple of Rect
        The squares, then their dots, to be painted in this order.
    line_a, line_b : tuple of Rect
        Each check line: first tick, last tick, the line itself.
    block_left_mm, block_top_mm : float
        Left edge and top of the squares.
    """

    size_mm: tuple[float, float]
    block: tuple[Rect, ...]
    line_a: tuple[Rect, ...]
    line_b: tuple[Rect, ...]
    block_left_mm: float
    block_top_mm: float


def page_of(layout: Layout, number: int, paper: PaperSize) -> Page:
    """Return a page.

    Parameters
    ----------
    layout : Layout
    number : int
        Of the sheet, from 1.
    paper : PaperSize

    Returns
    -------
    Page
    """
    width, height = PAPER_MM[paper]
    middle_x, middle_y = width / 2.0, _FOOT_MM + layout.height_mm / 2.0
    block = tuple(
        Rect(
            x_mm=rect.x_mm + middle_x,
            y_mm=rect.y_mm + middle_y,
            width_mm=rect.width_mm,
            height_mm=rect.height_mm,
            dark=rect.dark,
        )
        for rect in layout.rectangles(number)
    )
    beside = middle_x + layout.width_mm / 2.0 + _BESIDE_MM
    along = _measure(LINE_A_MM)
    up = _measure(LINE_B_MM)
    return Page(
        size_mm=(width, height),
        block=block,
        line_a=tuple(_moved(rect, middle_x, _LINE_A_UP_MM) for rect in along),
        line_b=tuple(_moved(_upright(rect), beside, middle_y) for rect in up),
        block_left_mm=middle_x - layout.width_mm / 2.0,
        block_top_mm=middle_y + layout.height_mm / 2.0,
    )


def _measure(length_mm: float) -> tuple[Rect, ...]:
    """Return two ticks whose middles are a length apart, and the line between."""
    ticks = tuple(
        _dark(end * length_mm / 2.0 - THIN_MM / 2.0, -TICK_MM / 2.0, THIN_MM, TICK_MM)
        for end in (-1.0, 1.0)
    )
    return (*ticks, _dark(-length_mm / 2.0, -THIN_MM / 2.0, length_mm, THIN_MM))


def _dark(x: float, y: float, width: float, height: float) -> Rect:
    return Rect(x_mm=x, y_mm=y, width_mm=width, height_mm=height, dark=True)


def _upright(rect: Rect) -> Rect:
    return _dark(rect.y_mm, rect.x_mm, rect.height_mm, rect.width_mm)


def _moved(rect: Rect, x: float, y: float) -> Rect:
    return _dark(rect.x_mm + x, rect.y_mm + y, rect.width_mm, rect.height_mm)
