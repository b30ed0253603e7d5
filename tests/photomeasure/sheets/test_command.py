"""``photomeasure sheet`` as a shell meets it."""

import json

import numpy as np
import pytest
from PIL import Image

from photomeasure.cli import main
from tests.accuracy.sheet_jobs import Walls, drawn_wall
from tests.photomeasure.run import is_one_sentence, run
from tests.photomeasure.sheets.reading import printed_pages

USAGE, UNUSABLE = 2, 3


@pytest.fixture(scope="module")
def photo(tmp_path_factory):
    """Return the file of a photo of a wall with one sheet."""
    walls = Walls(sheets=1, size_px=(520, 420))
    wall = drawn_wall(walls, np.random.default_rng(11))
    path = tmp_path_factory.mktemp("photos") / "wall.png"
    Image.fromarray(wall.grey).convert("RGB").save(path)
    return path


@pytest.fixture
def plain(tmp_path):
    """Return the file of a photo of nothing."""
    path = tmp_path / "sky.png"
    Image.new("RGB", (400, 300), (150, 170, 200)).save(path)
    return path


def test_sheets_are_written(capsys, tmp_path):
    """Two sheets and the guide, and where they are is told on the error stream."""
    path = tmp_path / "sheets.pdf"
    said = run(capsys, "sheet", "--to", path)

    assert (said.status, said.out) == (0, "")
    assert str(path) in said.err
    assert len(printed_pages(path.read_bytes())) == 3


@pytest.mark.parametrize(
    ("distance", "name", "warned"),
    [("4", "F1", False), ("6", "C1", False), ("9", "C1", True)],
)
def test_distance_chooses_the_squares(capsys, tmp_path, distance, name, warned):
    """Near by fine, further off coarse, and further still with a warning."""
    path = tmp_path / "sheets.pdf"
    options = ("--distance", distance, "--paper", "letter", "--count", "1")
    said = run(capsys, "sheet", "--to", path, *options)
    sheet, _ = printed_pages(path.read_bytes())

    assert said.status == 0
    assert f"Sheet {name}" in sheet.text
    assert bool(said.sentences) == warned


def test_more_megapixels_reach_further(capsys, tmp_path):
    """From 20 m no sheet is measured at 12 megapixels; at 48 one is."""
    path = tmp_path / "sheets.pdf"
    far = run(capsys, "sheet", "--to", path, "--distance", 20)
    written = path.exists()
    fine = run(capsys, "sheet", "--to", path, "--distance", 20, "--megapixels", 48)

    assert far.status == UNUSABLE
    assert "too far" in far.sentences[0]
    assert not written
    assert fine.status == 0


def test_found_sheets_are_printed_as_references(capsys, photo):
    """JSON that a job takes, the ruler's reading in it, no doubt about it."""
    readings = ("--line-a", 165.0, "--line-b", 223.5, "--projection", 20)
    said = run(capsys, "sheet", "--find", photo, *readings, "--printer", "office")
    (reference,) = json.loads(said.out)
    drawn = np.array(reference["wall_mm"])

    assert (said.status, said.err) == (0, "")
    assert reference["scale_of"] == "office"
    assert reference["projection_mm"] == 20
    assert np.ptp(drawn[:, 0]) == pytest.approx(120.0 * 165.0 / 170.0, abs=1e-3)
    assert np.ptp(drawn[:, 1]) == pytest.approx(180.0 * 223.5 / 230.0, abs=1e-3)


def test_unmeasured_prints_are_told(capsys, photo):
    """The references are given, and the doubt with them."""
    said = run(capsys, "sheet", "--find", photo)

    assert said.status == 0
    assert json.loads(said.out)[0]["scale_sd"] == pytest.approx(0.02)
    assert "Nobody measured" in said.sentences[0]


def test_a_photo_without_sheets(capsys, plain):
    """An empty list for scripts, a sentence for people, the status for both."""
    said = run(capsys, "sheet", "--find", plain)

    assert said.status == UNUSABLE
    assert json.loads(said.out) == []
    assert "no marker sheet" in said.sentences[0]


def test_a_sheet_that_is_too_small_is_told(capsys, tmp_path):
    """Recognised and refused: the sentence says what to do."""
    walls = Walls(sheets=1, size_px=(300, 260), cell_px=11.0, shrink_sd=0.0)
    path = tmp_path / "far.png"
    Image.fromarray(drawn_wall(walls, np.random.default_rng(2)).grey).save(path)
    said = run(capsys, "sheet", "--find", path)

    assert said.status == UNUSABLE
    assert "stand nearer" in said.sentences[0]


@pytest.mark.parametrize(
    "options",
    [
        ("--find", "no-such-photo.jpg"),
        ("--line-a", "168"),
        ("--projection", "20"),
        ("--like", "PLAIN"),
        ("--find", "PLAIN", "--line-a", "16.8"),
    ],
)
def test_mistakes_are_one_sentence(capsys, plain, options):
    """What is wrong and what to do, and nothing is written."""
    said = run(capsys, "sheet", *(plain if word == "PLAIN" else word for word in options))

    assert said.status == UNUSABLE
    assert said.out == ""
    assert is_one_sentence(said.sentences[0])


@pytest.mark.parametrize(
    "options",
    [
        ("--paper", "a3"),
        ("--count", "0"),
        ("--count", "9"),
        ("--distance", "-3"),
        ("--megapixels", "nan"),
        ("--projection", "inf"),
        ("--megapixels", "12", "--like", "photo.jpg"),
    ],
)
def test_wrong_usage(capsys, options):
    """The parser refuses before anything is written."""
    with pytest.raises(SystemExit) as stop:
        main(["sheet", *options])

    assert stop.value.code == USAGE
    assert "usage: photomeasure" in capsys.readouterr().err
