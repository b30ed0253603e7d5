"""What really stands in a PDF of marker sheets, read back by another program."""

from dataclasses import dataclass
from io import BytesIO

import numpy as np
from pdfminer.high_level import extract_pages
from pdfminer.layout import LTChar, LTPage, LTRect, LTTextContainer

from calibration.sheet.layout import Rect

MM_PER_POINT = 25.4 / 72.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedPage:
    """One page as a printer gets it.

    Attributes
    ----------
    size_mm : tuple of float
    rects : list of Rect
        In the order in which they are painted; millimetres from the bottom left corner.
    text : str
    text_box_mm : tuple of float
        Left, bottom, right and top of all letters.
    """

    size_mm: tuple[float, float]
    rects: list[Rect]
    text: str
    text_box_mm: tuple[float, float, float, float]


def printed_pages(pdf: bytes) -> list[PrintedPage]:
    """Return every page of a PDF."""
    return [_page(page) for page in extract_pages(BytesIO(pdf))]


def _page(page: LTPage) -> PrintedPage:
    boxes = [part for part in page if isinstance(part, LTTextContainer)]
    letters = [letter.bbox for box in boxes for letter in _letters(box)]
    corners = np.array(letters) * MM_PER_POINT
    return PrintedPage(
        size_mm=(page.width * MM_PER_POINT, page.height * MM_PER_POINT),
        rects=[_rect(part) for part in page if isinstance(part, LTRect)],
        text="".join(box.get_text() for box in boxes),
        text_box_mm=(*corners[:, :2].min(axis=0), *corners[:, 2:].max(axis=0)),
    )


def _letters(part) -> list[LTChar]:
    if isinstance(part, LTChar):
        return [part]
    inner = part if hasattr(part, "__iter__") else ()
    return [letter for inside in inner for letter in _letters(inside)]


def _rect(part: LTRect) -> Rect:
    x, y, width, height = (
        MM_PER_POINT * value for value in (part.x0, part.y0, part.width, part.height)
    )
    grey = np.ravel(part.non_stroking_color)[0]
    return Rect(x_mm=x, y_mm=y, width_mm=width, height_mm=height, dark=grey == 0)
