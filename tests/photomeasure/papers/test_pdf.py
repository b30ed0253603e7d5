"""PDF papers: everything on the page, headings on each, the same bytes each time."""

import io
from dataclasses import replace

import pytest
from pdfminer.layout import LTChar, LTImage
from pypdf import PdfReader

from photomeasure.papers.content import Column, Row, Table
from photomeasure.papers.pdf import fonts
from photomeasure.papers.pdf.document import pdf_bytes
from photomeasure.papers.pdf.fonts import SUBSTITUTE
from tests.photomeasure.papers.dossiers import (
    LETTERHEAD,
    MAKERS,
    dossier,
    sample_paper,
    unpriced,
    with_photo,
)
from tests.photomeasure.papers.reading import marks, pdf_pages, pdf_text, squeezed
from tests.photomeasure.takeoff.big_takeoff import big_takeoff
from tests.photomeasure.takeoff.sample_takeoff import sample_takeoff

EDGE_PT = 28.0
"""10 mm: what any printer prints."""

FOOT_PT = 40.0
"""Below this only the foot of the page is written."""


@pytest.fixture(scope="module")
def big():
    """Return the papers of a job larger than any page."""
    made = unpriced(big_takeoff())
    return {key: pdf_bytes(MAKERS[key](made)) for key in ("order", "cut-list", "take-off")}


def assert_inside(data):
    """Assert that every letter, line and picture lies where printers print."""
    count = 0
    for page, mark, (width, height) in marks(data):
        x0, y0, x1, y1 = mark.bbox
        assert EDGE_PT <= x0 <= x1 <= width - EDGE_PT, (page, mark)
        assert EDGE_PT / 2 <= y0 <= y1 <= height - EDGE_PT / 2, (page, mark)
        count += 1
    assert count > 50


@pytest.mark.parametrize("key", MAKERS)
def test_nothing_leaves_the_page(key):
    """The sample house, every paper."""
    assert_inside(pdf_bytes(sample_paper(key)))


@pytest.mark.parametrize("key", ["order", "cut-list", "take-off"])
def test_nothing_of_a_huge_job_leaves_the_page(key, big):
    """Two hundred quantities, sixty boards, names as long as a job file allows."""
    assert_inside(big[key])


def test_a_huge_order_breaks_between_rows_and_repeats_its_headings(big):
    """Every item is there once; every page with items has the headings above them."""
    pages = pdf_pages(big["order"])
    joined = squeezed(" ".join(pages))

    assert all(joined.count(f"Item{n}:") == 1 for n in range(100, 180))
    with_items = [page for page in pages if "trim/board-joint/" in page]
    assert len(with_items) > 3
    assert all("Packs" in page and "Needed" in page for page in with_items)


def test_a_huge_cut_list_repeats_its_headings_and_draws_every_board(big):
    """Headings stand on each page of pieces; no page ends in headings alone."""
    pages = pdf_pages(big["cut-list"])
    joined = " ".join(pages)

    assert all(joined.count(f"P{n:03}") == 3 for n in range(60))  # list, board, cuts
    assert all(f"Board {n}: 5000 mm" in joined for n in range(1, 61))
    with_pieces = [page for page in pages if "Taped" in page]
    assert all(page.count("Taped") == 1 for page in with_pieces)


def test_a_row_taller_than_a_page_is_split():
    """A working of five thousand words still comes out whole."""
    words = " ".join(f"w{n}" for n in range(5000))
    table = Table(
        "t", "t", (Column("a", "A", 0.5), Column("b", "B", 0.5)), (Row((words, "x")),)
    )
    paper = replace(sample_paper("order"), blocks=(table,))
    data = pdf_bytes(paper)

    assert_inside(data)
    assert "w4999" in pdf_text(data)


def test_a_word_longer_than_its_column_is_broken():
    """A name without blanks does not run over its neighbour."""
    takeoff = replace(sample_takeoff(), title="X" * 1000)
    assert_inside(pdf_bytes(MAKERS["order"](dossier(takeoff))))


@pytest.mark.parametrize("key", MAKERS)
def test_the_same_paper_is_the_same_file(key):
    """No clock and no chance is in it."""
    assert pdf_bytes(sample_paper(key)) == pdf_bytes(MAKERS[key](dossier()))


def test_markup_in_names_is_text():
    """Tags, entities and broken tags come out letter by letter."""
    hostile = '<b>bold</b> <font color="red">&amp; <img src="x"/> </para> <a href="u">'
    head = replace(LETTERHEAD, customer=(hostile,), firm=(hostile,), number=hostile)
    takeoff = replace(
        sample_takeoff(),
        title=hostile,
        pieces=tuple(replace(p, note=hostile) for p in sample_takeoff().pieces),
    )
    made = dossier(takeoff, letterhead=head)
    said = squeezed(pdf_text(pdf_bytes(MAKERS["quotation"](made))))

    assert said.count(squeezed(hostile)) >= 3
    assert squeezed(hostile) in squeezed(pdf_text(pdf_bytes(MAKERS["cut-list"](made))))


def customer_paper(*lines):
    """Return a quotation for a customer with these lines."""
    return MAKERS["quotation"](dossier(letterhead=replace(LETTERHEAD, customer=lines)))


def test_western_names_need_no_font_of_the_computer(monkeypatch):
    """Latin letters come from the font within the library."""
    monkeypatch.setattr(fonts, "_FOLDERS", ())
    said = pdf_text(pdf_bytes(customer_paper("Zoë Ærø-Müller, Façade 3 €")))

    assert "Zoë Ærø-Müller, Façade 3 €" in said
    assert SUBSTITUTE not in said


@pytest.fixture
def no_computer_fonts(monkeypatch):
    """Take the computer's fonts away."""
    caches = (fonts._others, fonts._located, fonts._font_of)
    for cache in caches:
        cache.cache_clear()
    monkeypatch.setattr(fonts, "_FOLDERS", ())
    yield
    for cache in caches:
        cache.cache_clear()


@pytest.mark.usefixtures("no_computer_fonts")
def test_letters_that_no_font_has_are_replaced_visibly():
    """A sign for each of them, and a sentence that says what it means."""
    said = pdf_text(pdf_bytes(customer_paper("Иван 漢")))

    assert SUBSTITUTE * 4 in said
    assert "stands for a letter that no font" in said


def test_greek_and_cyrillic_use_a_font_of_the_computer():
    """Where a usual font is installed, names come out in their own letters."""
    if not fonts._others(fonts.REGULAR):
        pytest.skip("no usual font is installed")
    said = pdf_text(pdf_bytes(customer_paper("Παπαδοπούλου", "Щербакова", "Żółć Őrségi")))

    for name in ("Παπαδοπούλου", "Щербакова", "Żółć Őrségi"):
        assert name in said
    assert SUBSTITUTE not in said


def test_photos_carry_no_metadata_and_stay_on_the_page(tmp_path):
    """The embedded photo has neither EXIF nor place, and lies on its elevation's page."""
    made = with_photo(tmp_path)
    data = pdf_bytes(MAKERS["cut-list"](made))
    images = [image for page in PdfReader(io.BytesIO(data)).pages for image in page.images]

    assert images
    assert b"Exif" in (tmp_path / "front.jpg").read_bytes()
    for blob in (data, *(image.data for image in images)):
        assert b"Exif" not in blob
        assert b"invented maker" not in blob
    assert_inside(data)
    pictures = [page for page, mark, _ in marks(data) if isinstance(mark, LTImage)]
    assert pictures == [2]
    # The photo left room for its pieces: the elevation is on this page alone.
    assert all(f"soffit {n}" in pdf_pages(data)[1] for n in (1, 2))


def test_a_fitter_reads_first_what_can_hurt():
    """Cautions and what is not enough stand on the first page, named by what they are."""
    pages = pdf_pages(pdf_bytes(MAKERS["cut-list"](dossier())))

    assert "Before you start" in pages[0]
    failed = [v.subject for v in sample_takeoff().verdicts if v.passed is False]
    assert failed
    assert all(squeezed(f"{subject}: ") in squeezed(pages[0]) for subject in failed)
    assert not any("Before you start" in page for page in pages[1:])


@pytest.mark.parametrize("key", MAKERS)
@pytest.mark.parametrize(("sheet", "size_pt"), [("A4", (595, 842)), ("Letter", (612, 792))])
def test_papers_are_of_the_sheet_that_the_rules_name(key, sheet, size_pt):
    """The country's usual sheet, everything inside its margins."""
    takeoff = replace(sample_takeoff(), sheet=sheet)
    data = pdf_bytes(MAKERS[key](dossier(takeoff)))

    for page in PdfReader(io.BytesIO(data)).pages:
        assert (round(page.mediabox.width), round(page.mediabox.height)) == size_pt
    assert_inside(data)


def test_letters_do_not_overlap_the_foot():
    """Below the frame stands the foot alone, one line of it."""
    data = pdf_bytes(sample_paper("take-off"))
    low = {
        round(mark.bbox[1])
        for _, mark, _ in marks(data)
        if isinstance(mark, LTChar) and mark.bbox[1] < FOOT_PT
    }
    assert len(low) == 1
