"""The house that is shipped: a take-off and papers on the first try."""

import json

import pytest

from sample_images.scenes import check, house
from tests.photomeasure.run import run

JOB = check.FOLDER / "house.job.json"


def test_the_take_off_of_the_shipped_house_is_not_stopped(capsys):
    """Every part of the work has something in it, and the order is safe to place."""
    done = run(capsys, "takeoff", JOB, "--json")

    assert done.status == 0
    found = {quantity["section"] for quantity in done.result["quantities"]}
    assert found >= {"access", "boards", "fixings", "ventilation", "verge", "rainwater"}
    assert done.result["stops"] == []
    assert all(goal["proven"] and not goal["cut_short"] for goal in done.result["goals"])


def test_the_pieces_of_the_shipped_house_fit_the_house(capsys):
    """Pieces with their gaps are as long as the house truly is, within their interval."""
    pieces = run(capsys, "takeoff", JOB, "--json").result["pieces"]
    truth = {
        line["name"]: line["true_length_mm"]
        for picture in ("front", "gable")
        for line in check.load_truth(picture)["lines"]
    }
    gap = 10  # 5 mm at each end of a board
    for name in ("front eaves", "front rake", "back rake"):
        own = [p for p in pieces if p["line"].endswith(name) and "soffit" not in p["name"]]
        length = sum(piece["long_point_mm"] + gap for piece in own)
        u_mm = max(piece["u_mm"] for piece in own)

        # Three standard uncertainties: the sample is one draw of its own picks.
        assert length == pytest.approx(truth[name], abs=3 * u_mm)


def test_stated_sizes_are_those_of_the_house():
    """Read off to 5 mm, as a person does."""
    roof = json.loads(JOB.read_text(encoding="utf-8"))["takeoff"]["roof"]

    assert roof["fascia_depth_mm"] == pytest.approx(house.FASCIA_DEPTH_MM, abs=5)
    assert roof["barge_depth_mm"] == pytest.approx(house.BARGE_DEPTH_MM, abs=5)
    assert roof["eaves_height_mm"] == pytest.approx(house.SOFFIT_Y_MM, abs=10)


def test_all_papers_of_the_shipped_house_are_made(capsys, tmp_path):
    """With the invented prices: five papers in four forms and three drawings."""
    done = run(capsys, "papers", JOB, "--to", tmp_path / "out", "--example-prices")

    assert done.status == 0
    names = {path.name for path in (tmp_path / "out").iterdir()}
    assert {f"quotation.{form}" for form in ("pdf", "xlsx", "csv", "json")} <= names
    assert sum(name.endswith(".dxf") for name in names) == 3
    assert len(names) == 5 * 4 + 3 + 1
    costing = json.loads((tmp_path / "out" / "costing.json").read_text(encoding="utf-8"))
    # Its price book has hours for gutters, which the take-off does not count: no alarm.
    headings = [alert["heading"] for alert in costing["alerts"]]
    assert headings == ["Example with invented prices"]
