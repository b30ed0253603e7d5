"""The PDF read back: sizes to a micrometre, nothing in the margin, the words."""

from io import BytesIO

import numpy as np
import pypdf
import pytest

from calibration.errors import InputError
from calibration.sheet import COARSE, FINE, LAYOUTS, FoundSheet, Sheet, find_sheets
from photomeasure.sheets.paper import MARGIN_MM, PAPER_MM, PaperSize
from photomeasure.sheets.pdf import sheets_pdf
from photomeasure.sheets.printed import LINE_A_MM, LINE_B_MM
from photomeasure.sheets.reach import Phone, choose_layout, usual_phone
from tests.calibration.sheet.photographs import Look, Paper, photograph, view_at
from tests.photomeasure.sheets.reading import printed_pages

EXACT_MM = 1e-3
"""The PDF states points to six decimals; a printer does not know what a micrometre is."""

SIZES = {PaperSize.A4: (210.0, 297.0), PaperSize.LETTER: (215.9, 279.4)}
every_paper = pytest.mark.parametrize("paper", PaperSize)
every_layout = pytest.mark.parametrize("layout", LAYOUTS.values(), ids=LAYOUTS)

TICKS_AND_LINES = 6


def pages_of(layout, paper, numbers=(1,)):
    return printed_pages(sheets_pdf(layout, numbers, paper, usual_phone()))


def squares_and_lines(page):
    """Return the squares with their dots, line A and line B of a page."""
    return page.rects[:-TICKS_AND_LINES], page.rects[-6:-3], page.rects[-3:]


def middle(rect):
    return np.array([rect.x_mm + rect.width_mm / 2.0, rect.y_mm + rect.height_mm / 2.0])


@every_paper
@every_layout
def test_pages_have_the_paper_s_size(layout, paper):
    """Three sheets and the guide, each page of the right paper, none scaled to fit."""
    pdf = sheets_pdf(layout, (1, 2, 3), paper, usual_phone())
    reader = pypdf.PdfReader(BytesIO(pdf))

    assert SIZES[paper] == PAPER_MM[paper]
    assert len(reader.pages) == 4
    assert reader.trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"
    for page in printed_pages(pdf):
        np.testing.assert_allclose(page.size_mm, SIZES[paper], atol=EXACT_MM)


@every_paper
@every_layout
def test_saddle_corners_are_where_the_detector_thinks(layout, paper):
    """Where two dark cells of the PDF meet corner to corner is a saddle corner."""
    (page, _) = pages_of(layout, paper)
    squares, _, _ = squares_and_lines(page)
    cells = [rect for rect in squares if rect.dark and rect.width_mm > 0.3 * layout.cell_mm]
    tops = [(r.x_mm + r.width_mm, r.y_mm + r.height_mm) for r in cells]
    falling = [(r.x_mm + r.width_mm, r.y_mm) for r in cells]
    met = []
    for one, others in (
        (tops, [(r.x_mm, r.y_mm) for r in cells]),
        (falling, [(r.x_mm, r.y_mm + r.height_mm) for r in cells]),
    ):
        apart = np.linalg.norm(np.array(one)[:, None] - np.array(others)[None], axis=2)
        met += [one[i] for i, _ in np.argwhere(apart < EXACT_MM)]
    met = np.array(met)
    met = met[np.lexsort((met[:, 0].round(3), met[:, 1].round(3)))]
    centre = met.mean(axis=0)

    assert met.shape == layout.corners_mm.shape
    np.testing.assert_allclose(met - centre, layout.corners_mm, atol=EXACT_MM)
    assert centre[0] == pytest.approx(SIZES[paper][0] / 2.0, abs=EXACT_MM)


@every_paper
@every_layout
def test_check_lines_have_their_stated_length(layout, paper):
    """From middle of tick to middle of tick, level and plumb."""
    (page, _) = pages_of(layout, paper)
    _, (left, right, along), (low, high, up) = squares_and_lines(page)

    np.testing.assert_allclose(
        middle(right) - middle(left), [LINE_A_MM, 0.0], atol=EXACT_MM
    )
    np.testing.assert_allclose(middle(high) - middle(low), [0.0, LINE_B_MM], atol=EXACT_MM)
    assert along.width_mm == pytest.approx(LINE_A_MM, abs=EXACT_MM)
    assert up.height_mm == pytest.approx(LINE_B_MM, abs=EXACT_MM)
    assert f"A is drawn {LINE_A_MM:g} mm" in page.text
    assert f"B is drawn {LINE_B_MM:g} mm" in page.text


@every_paper
@every_layout
def test_nothing_stands_in_the_margin(layout, paper):
    """No printer cuts off a line, a square or a word, and nothing overlaps the squares."""
    sheet, guide = pages_of(layout, paper)
    wide, high = SIZES[paper]
    for rect in sheet.rects:
        assert rect.x_mm >= MARGIN_MM - EXACT_MM
        assert rect.x_mm + rect.width_mm <= wide - MARGIN_MM + EXACT_MM
        assert rect.y_mm >= MARGIN_MM - EXACT_MM
        assert rect.y_mm + rect.height_mm <= high - MARGIN_MM + EXACT_MM
    for page in (sheet, guide):
        left, low, right, top = page.text_box_mm
        assert min(left, low, wide - right, high - top) > 0.8 * MARGIN_MM  # with line gaps
    squares, line_a, line_b = squares_and_lines(sheet)
    block_right = max(rect.x_mm + rect.width_mm for rect in squares)
    assert min(rect.x_mm for rect in line_b) > block_right + 3.0
    assert max(r.y_mm + r.height_mm for r in line_a) < min(r.y_mm for r in squares) - 3.0


@pytest.mark.parametrize(("layout", "number"), [(COARSE, 1), (COARSE, 8), (FINE, 4)])
def test_what_is_printed_is_what_is_found(layout, number):
    """A photo of the PDF's own rectangles is read as the sheet, corners in place."""
    (page, _) = pages_of(layout, PaperSize.A4, (number,))
    squares, _, _ = squares_and_lines(page)
    middle_mm = np.array(SIZES[PaperSize.A4]) / 2.0
    low = min(rect.y_mm for rect in squares)
    middle_mm[1] = low + layout.height_mm / 2.0
    moved = tuple(
        type(rect)(
            x_mm=rect.x_mm - middle_mm[0],
            y_mm=rect.y_mm - middle_mm[1],
            width_mm=rect.width_mm,
            height_mm=rect.height_mm,
            dark=rect.dark,
        )
        for rect in squares
    )
    view = view_at(30.0, cell_mm=layout.cell_mm, size_px=(260, 260), yaw_rad=0.2)
    paper = Paper(None, centre_mm=(*view.aim_mm, 0.0), turn_rad=0.05, rects=moved)
    photo = photograph(view, [paper], Look(), np.random.default_rng(number))
    (found,) = find_sheets(photo)

    assert isinstance(found, FoundSheet)
    assert found.sheet == Sheet(layout, number)
    assert found.hidden == 0
    true = view.camera.project(paper.on_wall(found.drawn_mm))
    assert np.abs(found.corners_px - true).max() < 0.2


@every_paper
def test_the_same_sheets_are_the_same_bytes(paper):
    """A reprint is a reprint."""
    first, second = (sheets_pdf(COARSE, (1, 2), paper, usual_phone()) for _ in range(2))

    assert first == second


@every_paper
def test_sheets_and_guide_say_what_matters(paper):
    """Number, distance, 'actual size'; ladder, road, cables and asbestos."""
    first, second, guide = pages_of(COARSE, paper, (1, 5))
    words = " ".join(guide.text.split())

    assert "Sheet C1" in first.text
    assert "Sheet C5" in second.text
    assert "actual size" in first.text
    assert "6.7 m, no further than 11.5 m" in first.text
    for word in ("ladder", "carriageway", "overhead cables", "asbestos", "ruler", "Local"):
        assert word in words


def test_layout_follows_the_distance():
    """The finer sheet near by, the coarser further off, a refusal beyond."""
    phone = usual_phone()
    near, far = phone.reach_m(FINE, 24.0), phone.reach_m(COARSE, 14.0)

    assert choose_layout(phone, near - 0.01) is FINE
    assert choose_layout(phone, near + 0.01) is COARSE
    assert choose_layout(phone, far - 0.01) is COARSE
    with pytest.raises(InputError, match=r"up to 11\.5 m"):
        choose_layout(phone, far + 0.01)


def test_reach_is_similar_triangles():
    """Focal length 3000 px, 60 mm seen under 30 degrees: 24 px at 6.5 m."""
    reach = Phone(focal_px=3000.0).reach_m(COARSE, 24.0)

    assert reach == pytest.approx(3.0 * 60.0 * np.cos(np.radians(30.0)) / 24.0)
