"""No text of a job becomes a formula, whatever it looks like."""

from dataclasses import replace

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from photomeasure.papers.cells import MAX_LETTERS, safe_text
from photomeasure.papers.csv_file import csv_bytes
from photomeasure.papers.json_file import paper_json
from photomeasure.papers.workbook import xlsx_bytes
from photomeasure.takeoff.model import Section
from tests.photomeasure.papers.dossiers import DATE, LETTERHEAD, MAKERS, dossier
from tests.photomeasure.papers.reading import csv_rows, table_rows, xlsx_cells
from tests.photomeasure.takeoff.sample_takeoff import quantity, sample_takeoff

STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")

HOSTILE = [f"{start}=HYPERLINK(1)" for start in STARTS] + [" =1+1", "\0=1", "\u200b=1"]


def hostile_dossier(text):
    """Return a dossier in which every name is the text."""
    sample = sample_takeoff()
    entry = quantity("x/y", text, "1", Section.TRIMS, lines=(f"{text}: {text}",))
    named = replace(entry, working=text, rules=(text,))
    pieces = tuple(
        replace(piece, name=f"{text}{n}", line=f"{text}: {text}", note=text)
        for n, piece in enumerate(sample.pieces)
    )
    takeoff = replace(
        sample,
        title=text,
        quantities=(named,),
        pieces=pieces,
        cautions=(text,),
        verdicts=tuple(replace(v, subject=text, sentence=text) for v in sample.verdicts),
    )
    head = replace(LETTERHEAD, customer=(text,), number=text)
    return dossier(takeoff, letterhead=head)


@pytest.mark.parametrize("text", HOSTILE)
@pytest.mark.parametrize("key", [key for key in MAKERS if key != "quotation"])
def test_no_cell_of_any_paper_is_a_formula(key, text):
    """Read back by another library: only text and numbers, no text begins a formula."""
    paper = MAKERS[key](hostile_dossier(text))
    cells = xlsx_cells(xlsx_bytes(paper, DATE))
    fields = [field for row in csv_rows(csv_bytes(paper)) for field in row]

    assert {cell.data_type for cell in cells} <= {"s", "n"}
    texts = [cell.value for cell in cells if cell.data_type == "s"]
    for value in (*texts, *fields):
        assert not value.lstrip().startswith(STARTS), value
    assert any("'" in value for value in texts)


def test_json_keeps_names_as_they_are():
    """JSON is for programs, which know text from formulas."""
    paper = MAKERS["order"](hostile_dossier("=1+1"))

    assert table_rows(paper_json(paper), "goods")[0]["item"] == "=1+1"


@settings(max_examples=300, deadline=None)
@given(st.text(max_size=60))
@example("\ud800=1")
@example("=" * 40_000)
def test_any_text_is_safe_once(text):
    """Safe text stays as it is, is printable and fits a cell."""
    once = safe_text(text)

    assert once.isprintable()
    assert len(once) <= MAX_LETTERS
    assert not once.lstrip().startswith(STARTS)
    assert safe_text(once) == once


def test_plain_names_stay_as_they_are():
    """Nothing is added to a name that is harmless."""
    for name in ("front - left", "O'Neil", "3 + 4", "a=b", "Żółć", ""):
        assert safe_text(name) == name
