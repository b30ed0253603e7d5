"""``photomeasure papers`` from the job file to the folder."""

import json

import pytest

from photomeasure.commands.papers import FORMS, PAPERS
from photomeasure.console import UNUSABLE, USAGE
from photomeasure.papers.files import LIST
from photomeasure.papers.produce import Form, Which
from tests.photomeasure.house import front, job, write_job, write_photo
from tests.photomeasure.papers.reading import table_rows
from tests.photomeasure.run import is_one_sentence, run

TAKEOFF = {
    "year_built": 2004,
    "soffit_look": "plastic",
    "roof": {"fascia_depth_mm": 200, "barge_depth_mm": 225, "eaves_height_mm": 5000},
    "lines": [{"name": "front eaves", "start": "box end", "end": "gable"}],
}

STRIP = {"kind": "over-fascia strip", "free_mm2_per_m": 10_000}
DISCS = {"kind": "soffit discs", "free_mm2_each": 2000, "spacing_mm": 200}

RENEWED = {
    "ventilation": {
        "regulation": "BS 5250",
        "form": "duopitch",
        "eaves": [STRIP, DISCS],
        "high": [{"kind": "ridge vent", "free_mm2_per_m": 5000}],
        "trays": True,
    },
    "rainwater": {
        "work": "renew",
        "gutter": {"half_round_mm": 112, "name": "half-round"},
        "lines": [{"name": "front eaves", "outlets": ["left end"]}],
    },
}
"""Everything that the roof edge can need, so that every row of the example is tried."""

DATE = ("--date", "2025-03-04")


def house_job(folder, **takeoff):
    """Write a job of an invented house with its photo."""
    write_photo(folder)
    document = job({**front(), "photo": "front.jpg"})
    return write_job(folder, {**document, "takeoff": {**TAKEOFF, **takeoff}})


def papers(capsys, path, *options):
    """Run the command."""
    return run(capsys, "papers", path, "--to", path.parent / "out", *DATE, *options)


def written(path):
    """Return the names in the folder."""
    return {entry.name for entry in (path.parent / "out").iterdir()} - {LIST}


def test_words_of_the_command_are_those_of_the_papers():
    """The help is written out; it lists what there is."""
    assert list(PAPERS) == [str(which) for which in Which]
    assert list(FORMS) == [str(form) for form in Form]


def test_all_papers_of_a_house_with_example_prices(tmp_path, capsys):
    """Five papers in four forms and a drawing; the example prices the house completely."""
    path = house_job(tmp_path, verge="dry verge", **RENEWED)
    done = papers(capsys, path, "--example-prices", "--customer", "A. Nobody|2 Street")

    assert done.status == 0, done.err
    assert done.out == ""
    assert len(written(path)) == 5 * 4 + 1
    quotation = json.loads((path.parent / "out" / "quotation.json").read_text())
    parts = [row["part"] for row in table_rows(quotation, "work")]
    assert {"Boards", "Roof ventilation", "Verge", "Gutters and downpipes"} < set(parts)
    assert parts[-1] == "Total to pay"
    assert quotation["head"][0] == {"label": "For", "text": "A. Nobody\n2 Street"}
    assert quotation["alerts"][0]["heading"] == "Example with invented prices"


def test_without_prices_the_papers_that_need_none(tmp_path, capsys):
    """Order, cut list, take-off and drawing; run again, the same."""
    path = house_job(tmp_path)
    names = {"order.json", "cut-list.json", "take-off.json", "01-front-lines.dxf"}

    for _ in range(2):
        assert papers(capsys, path, "--format", "json").status == 0
        assert written(path) == names


def test_a_quotation_without_prices_is_refused(tmp_path, capsys):
    """One sentence, and the other papers are there."""
    path = house_job(tmp_path)
    done = papers(capsys, path, "--only", "quotation", "--only", "order", "--format", "csv")

    assert done.status == UNUSABLE
    (sentence,) = done.sentences
    assert is_one_sentence(sentence)
    assert sentence.startswith("quotation: there is no price for")
    assert written(path) == {"order.csv"}


def test_all_mistakes_of_a_book_are_told_before_anything_is_done(tmp_path, capsys):
    """Each with its row; no folder is made."""
    path = house_job(tmp_path)
    book = tmp_path / "book.csv"
    book.write_text(
        "code,description,unit,pack,price\nterms/currency,,GBP,,\n"
        "a/b,x,each,1,-1\nc/d,x,box,1,1\n",
        encoding="utf-8",
    )
    done = papers(capsys, path, "--prices", book)

    assert done.status == UNUSABLE
    assert ["row 3" in done.sentences[0], "row 4" in done.sentences[1]] == [True, True]
    assert not (path.parent / "out").exists()


def test_a_file_of_somebody_else_is_not_lost(tmp_path, capsys):
    """Refused without a word of force, and said when replaced."""
    path = house_job(tmp_path)
    (tmp_path / "out").mkdir()
    own = tmp_path / "out" / "order.csv"
    own.write_text("mine", encoding="utf-8")
    options = ("--only", "order", "--format", "csv")
    refused = papers(capsys, path, *options)

    assert refused.status == UNUSABLE
    assert own.read_text(encoding="utf-8") == "mine"
    forced = papers(capsys, path, *options, "--replace")
    assert forced.status == 0
    assert f"replaced {own}" in forced.err
    assert "mine" not in own.read_text(encoding="utf-8-sig")


def test_what_is_stopped_is_on_every_paper(tmp_path, capsys):
    """An old soffit that may hold asbestos: status 3, and each paper names it."""
    path = house_job(
        tmp_path, year_built=1965, soffit_look="cement sheet", asbestos_survey=None
    )
    done = papers(capsys, path, "--format", "json")

    assert done.status == UNUSABLE
    assert "asbestos" in done.err
    for name in ("order", "cut-list", "take-off"):
        paper = json.loads((tmp_path / "out" / f"{name}.json").read_text())
        assert paper["alerts"][0]["heading"] == "Not included"
        assert "asbestos" in " ".join(paper["alerts"][0]["sentences"])


@pytest.mark.parametrize(
    "options",
    [
        ["--only", "invoice"],
        ["--format", "doc"],
        ["--date", "4 March"],
        ["--valid-days", "-1"],
        ["--valid-days", "soon"],
        ["--firm", "x" * 3000],
        ["--prices", "a.csv", "--example-prices"],
    ],
)
def test_wrong_usage(tmp_path, capsys, options):
    """The status of wrong usage, before anything is read."""
    with pytest.raises(SystemExit) as stop:
        run(capsys, "papers", "a.json", "--to", tmp_path, *options)

    assert stop.value.code == USAGE


def test_no_folder_named_is_wrong_usage(capsys):
    """Papers are never strewn about where one happens to be."""
    with pytest.raises(SystemExit) as stop:
        run(capsys, "papers", "a.json")

    assert stop.value.code == USAGE
