"""Marker sheets as PDF: squares as vectors at their exact size, check lines, a guide."""

from collections.abc import Sequence
from io import BytesIO
from typing import Any, Final

from reportlab.pdfgen.canvas import Canvas

from calibration.sheet import GOOD_CELL_PX, LEAST_CELL_PX, Layout, Sheet
from calibration.sheet.layout import Rect
from photomeasure.sheets.guide import draw_guide
from photomeasure.sheets.paper import PAPER_MM, Page, PaperSize, page_of
from photomeasure.sheets.printed import LINE_A_MM, LINE_B_MM
from photomeasure.sheets.reach import Phone

MM: Final = 72.0 / 25.4
"""Points a millimetre."""

REGULAR, BOLD = "Helvetica", "Helvetica-Bold"
_WORDS_UP_MM, _LEADING_MM, _AFTER_NAME_MM = 10.2, 3.6, 24.0
"""The first line's height above the squares: on Letter its capitals end at the margin."""


def sheets_pdf(
    layout: Layout, numbers: Sequence[int], paper: PaperSize, phone: Phone
) -> bytes:
    """Return a PDF with one sheet a page and the guide at the end.

    Parameters
    ----------
    layout : Layout
    numbers : sequence of int
        Of the sheets, from 1.
    paper : PaperSize
    phone : Phone
        For which the reach is printed.

    Returns
    -------
    bytes
        The same for the same input.
    """
    size = tuple(MM * side for side in PAPER_MM[paper])
    target = BytesIO()
    canvas = Canvas(target, pagesize=size, invariant=1)
    canvas.setTitle("Marker sheets")
    canvas.setViewerPreference("PrintScaling", "None")
    for number in numbers:
        _draw_page(canvas, page_of(layout, number, paper), Sheet(layout, number), phone)
        canvas.showPage()
    canvas.scale(MM, MM)
    draw_guide(canvas, PAPER_MM[paper])
    canvas.showPage()
    canvas.save()
    return target.getvalue()


def _draw_page(canvas: Any, page: Page, sheet: Sheet, phone: Phone) -> None:  # noqa: ANN401
    """Draw squares, check lines and words; no curve, no font in what is measured."""
    for rect in (*page.block, *page.line_a, *page.line_b):
        _fill(canvas, rect)
    canvas.setFillGray(0.0)
    left, top = page.block_left_mm, page.block_top_mm + _WORDS_UP_MM
    canvas.setFont(BOLD, 12)
    canvas.drawString(left * MM, top * MM, sheet.name)
    canvas.setFont(REGULAR, 8)
    good = phone.stated_reach_m(sheet.layout, GOOD_CELL_PX)
    most = phone.stated_reach_m(sheet.layout, LEAST_CELL_PX)
    words = (
        f"Squares of {sheet.layout.cell_mm:g} mm. For {phone.title}: best from up to "
        f"{good:.1f} m, no further than {most:.1f} m.",
        'Print at 100 % ("actual size"), not fitted to the page. Then hold a ruler to both '
        "check lines, middle of tick to middle of tick:",
        f"A is drawn {LINE_A_MM:g} mm, measured ________ mm.     "
        f"B is drawn {LINE_B_MM:g} mm, measured ________ mm.",
    )
    for line, text in enumerate(words):
        shift = _AFTER_NAME_MM if line == 0 else 0.0
        canvas.drawString((left + shift) * MM, (top - _LEADING_MM * line) * MM, text)
    _label(canvas, page)


def _label(canvas: Any, page: Page) -> None:  # noqa: ANN401
    tick = page.line_a[0]
    canvas.drawString((tick.x_mm + 3.0) * MM, (tick.y_mm + 4.0) * MM, "A")
    tick = page.line_b[0]
    canvas.drawString((tick.x_mm - 0.2) * MM, (tick.y_mm + 4.0) * MM, "B")


def _fill(canvas: Any, rect: Rect) -> None:  # noqa: ANN401
    canvas.setFillGray(0.0 if rect.dark else 1.0)
    canvas.rect(
        rect.x_mm * MM,
        rect.y_mm * MM,
        rect.width_mm * MM,
        rect.height_mm * MM,
        stroke=0,
        fill=1,
    )
