"""What every paper says, in every form it is written in."""

import io
import json
from dataclasses import replace
from decimal import Decimal

import pytest
from jsonschema import Draft202012Validator
from openpyxl import load_workbook

from photomeasure.papers.csv_file import csv_bytes
from photomeasure.papers.dossier import Dossier
from photomeasure.papers.json_file import json_bytes, paper_json
from photomeasure.papers.pdf.document import pdf_bytes
from photomeasure.papers.workbook import xlsx_bytes
from photomeasure.takeoff.pricing import IncompletePrices
from tests.photomeasure.golden_files import same_as_golden
from tests.photomeasure.papers.dossiers import (
    DATE,
    MAKERS,
    dossier,
    sample_paper,
    unpriced,
    with_photo,
)
from tests.photomeasure.papers.reading import (
    csv_rows,
    pdf_pages,
    pdf_text,
    squeezed,
    table_rows,
    xlsx_cells,
)
from tests.photomeasure.run import run
from tests.photomeasure.takeoff.sample_takeoff import (
    STOP,
    quantity,
    sample_takeoff,
)

HALF = 70
"""Half the widest interval of the sample's boards: 1.96 x 35.7 mm, rounded up."""


def said_by(form, paper):
    """Return everything that a paper says in a form, without blanks."""
    if form == "pdf":
        return squeezed(pdf_text(pdf_bytes(paper)))
    if form == "xlsx":
        cells = xlsx_cells(xlsx_bytes(paper, DATE))
        return squeezed(" ".join(str(cell.value) for cell in cells))
    if form == "csv":
        return squeezed(" ".join(c for row in csv_rows(csv_bytes(paper)) for c in row))
    return squeezed(json_bytes(paper).decode("unicode_escape"))


@pytest.mark.parametrize("key", MAKERS)
@pytest.mark.parametrize("form", ["pdf", "xlsx", "csv", "json"])
def test_every_paper_says_how_sure_it_is(form, key):
    """Measured from photographs, the interval, check before cutting, all cautions."""
    said = said_by(form, sample_paper(key))

    assert squeezed("Measured from photographs.") in said
    assert squeezed(f"within ± {HALF} mm") in said
    assert squeezed("Tape every length on the house before you cut") in said
    for caution in sample_takeoff().cautions:
        assert squeezed(caution) in said


@pytest.mark.parametrize("key", MAKERS)
def test_every_page_says_it_again(key):
    """A single page that gets lost still says what its lengths are worth."""
    pages = pdf_pages(pdf_bytes(sample_paper(key)))

    for number, page in enumerate(pages, start=1):
        assert f"± {HALF} mm (95 %). Tape before cutting." in page
        assert f"page {number} of {len(pages)}" in page


@pytest.mark.parametrize("key", MAKERS)
def test_what_is_left_out_is_said_first(key):
    """A stopped line is named on every paper, in every form."""
    takeoff = replace(sample_takeoff(), stops=(STOP,))
    paper = MAKERS[key](dossier(takeoff))

    for form in ("pdf", "xlsx", "csv", "json"):
        assert squeezed(STOP.reason) in said_by(form, paper)
    assert paper.alerts[0].heading == "Not included"


@pytest.mark.parametrize("key", MAKERS)
def test_the_papers_are_the_kept_ones(key):
    """Word for word: quantities, cuts, prices and sentences."""
    text = json_bytes(sample_paper(key)).decode()

    assert same_as_golden(f"{key}.paper.json", text)


@pytest.mark.parametrize("key", MAKERS)
def test_papers_keep_their_published_format(key, capsys):
    """Each paper, with prices and without, fits the printed schema."""
    schema = json.loads(run(capsys, "schema", "--papers").out)
    Draft202012Validator.check_schema(schema)
    check = Draft202012Validator(schema)
    document = json.loads(json_bytes(sample_paper(key)))

    check.validate(document)
    assert not check.is_valid({**document, "colour": "red"})
    assert not check.is_valid({**document, "sheet": "foolscap"})
    document["tables"][0]["rows"][0]["price"] = 1.5
    assert not check.is_valid(document)  # money is never a binary fraction


def test_without_lengths_no_interval_is_invented():
    """A take-off with nothing measured says that no interval is stated."""
    takeoff = replace(sample_takeoff(), pieces=(), shapes=(), plan=None)
    paper = MAKERS["cut-list"](dossier(takeoff))

    assert "No interval is stated" in paper.measured
    assert squeezed("There is nothing to cut.") in said_by("pdf", paper)


def test_a_missing_price_refuses_the_quotation_and_marks_the_costing():
    """No total anywhere; what is missing is named."""
    odd = quantity("unicorn/horn", "Horn", "1", sample_takeoff().quantities[0].item.section)
    takeoff = replace(sample_takeoff(), quantities=(*sample_takeoff().quantities, odd))
    with pytest.raises(IncompletePrices, match="unicorn/horn"):
        MAKERS["quotation"](dossier(takeoff))

    paper = MAKERS["costing"](dossier(takeoff))
    (step,) = table_rows(paper_json(paper), "totals")
    assert "NOT the cost" in step["step"]
    assert "unicorn/horn" in paper.alerts[0].sentences[0]


def test_without_a_book_there_is_no_quotation_and_the_order_says_so():
    """Amounts are ordered with the packs left open."""
    with pytest.raises(IncompletePrices):
        MAKERS["quotation"](unpriced())

    paper = MAKERS["order"](unpriced())
    goods = table_rows(paper_json(paper), "goods")
    assert {row["packs"] for row in goods} == {None}
    assert "No price says how these are packed" in paper.alerts[0].sentences[0]


def test_the_parts_of_a_quotation_add_up():
    """Parts to the sum before tax, with tax to the total, in whole pence."""
    rows = table_rows(paper_json(sample_paper("quotation")), "work")
    prices = [Decimal(row["price"]) for row in rows]
    *parts, net, tax, total = prices

    assert sum(parts) == net
    assert net + tax == total
    assert all(price == round(price, 2) for price in prices)


def test_invented_prices_are_no_offer():
    """A quotation from the example says so in every form."""
    for form in ("pdf", "xlsx", "csv", "json"):
        said = said_by(form, sample_paper("quotation"))
        assert squeezed("This is no offer to anybody.") in said


def test_every_quantity_is_traced_to_its_lines_and_rules():
    """Numbers of lines and rules in the table of quantities are those of the lists."""
    sample = sample_takeoff()
    document = paper_json(sample_paper("take-off"))
    lines = {row["number"]: row["line"] for row in table_rows(document, "lines")}
    rules = {row["number"]: row["rule"] for row in table_rows(document, "rules")}
    quantities = table_rows(document, "quantities")

    assert len(quantities) == len(sample.quantities)
    for row, wanted in zip(quantities, sample.quantities, strict=True):
        named = [] if row["lines"] == "whole job" else row["lines"].split(", ")
        assert tuple(lines[number] for number in named) == wanted.lines
        used = row["rules"].split(", ") if row["rules"] else []
        assert tuple(rules[number] for number in used) == wanted.rules
        assert row["working"] == wanted.working


def test_the_cut_list_holds_every_piece_with_its_cuts():
    """Lengths, angles and hands are those of the take-off; every cut has its board."""
    sample = sample_takeoff()
    document = paper_json(sample_paper("cut-list"))

    listed = {row["mark"]: row for row in table_rows(document, "pieces")}
    assert list(listed) == list("ABCDEF")
    for row, piece in zip(listed.values(), sample.pieces, strict=True):
        assert row["piece"].split(":")[0] in piece.name
        assert (row["long_mm"], row["short_mm"]) == (
            piece.long_point_mm,
            piece.short_point_mm,
        )
    assert listed["E"]["end"] == "plumb 37.9°"
    assert (listed["E"]["hand"], listed["F"]["hand"]) == ("left", "right")
    cuts = table_rows(document, "cuts")
    assert {row["mark"]: row["length_mm"] for row in cuts} == {
        **{mark: row["board_mm"] for mark, row in listed.items()},
        "G": 520,
    }


def test_lines_of_a_measured_job_carry_their_own_interval(tmp_path):
    """The list of lines names length and half interval of each."""
    made: Dossier = with_photo(tmp_path)
    rows = table_rows(paper_json(MAKERS["take-off"](made)), "lines")
    eaves = next(row for row in rows if row["line"] == "front: front eaves")

    assert abs(eaves["length_mm"] - 6000) <= eaves["half_interval_mm"] < 300
    assert eaves["role"] == "eaves"


@pytest.mark.parametrize(("sheet", "code"), [("A4", 9), ("Letter", 1)])
def test_sheets_of_a_workbook_are_named_for_people(sheet, code):
    """By title, with the elevation; whatever a job calls it, no program trips over it."""
    pieces = tuple(
        replace(piece, line="[a]*:?/\\'=x: y") for piece in sample_takeoff().pieces[:1]
    )
    takeoff = replace(sample_takeoff(), sheet=sheet)
    takeoff = replace(takeoff, pieces=(*sample_takeoff().pieces, *pieces))
    made = MAKERS["cut-list"](dossier(takeoff))
    book = load_workbook(io.BytesIO(xlsx_bytes(made, DATE)))

    assert book.sheetnames[0] == "Pieces, front"
    assert len(set(book.sheetnames)) == len(made.tables)
    assert all(len(name) <= 31 for name in book.sheetnames)
    assert {page.page_setup.paperSize for page in book.worksheets} == {code}
