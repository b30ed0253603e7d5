"""The two public formats: their JSON Schemas, and documents held against them."""

import json

import pytest
from jsonschema import Draft202012Validator

from tests.photomeasure.bad_format import FORMAT_ROWS
from tests.photomeasure.bad_sense import LINE_ROWS
from tests.photomeasure.golden_files import GOLDEN
from tests.photomeasure.house import along_the_wall, front, job, pixels, write_job
from tests.photomeasure.run import measure, run

EXAMPLE = json.loads((GOLDEN / "example.job.json").read_text(encoding="utf-8"))
"""The job of the format's first description, with numbers in place of its letters."""

PROMISED = {
    "": {"photomeasure_result", "elevations", "combined"},
    "elevation": {
        "name",
        "camera",
        "adjustment",
        "lines",
        "soffits",
        "best_next_reference",
        "cautions",
    },
    "camera": {
        "focal_px",
        "focal_sd_px",
        "distortion_k1",
        "tilt_deg",
        "yaw_deg",
        "roll_deg",
        "standoff_mm",
    },
    "adjustment": {
        "variance_factor",
        "degrees_of_freedom",
        "global_test_passed",
        "references",
    },
    "reference": {"name", "kind", "redundancy", "standardised_residual", "suspect"},
    "line": {
        "name",
        "role",
        "length_mm",
        "u_mm",
        "interval95_mm",
        "pitch_deg",
        "points_mm",
    },
    "soffit": {"name", "overhang_mm", "u_mm", "height_mm"},
}
"""Words of the result that were promised to whoever reads it."""


def printed(capsys, *options):
    schema = json.loads(run(capsys, "schema", *options).out)
    Draft202012Validator.check_schema(schema)
    return Draft202012Validator(schema)


def gable() -> dict:
    """Return the house with two rakes that meet, a bent line and no soffit."""
    elevation = {**front(), "soffits": [], "name": "gable"}
    feet, apex = ((-2000, 1800, 60), (2000, 1800, 60)), (0, 2900, 60)
    rakes = [pixels(foot, apex) for foot in feet]
    bent = pixels((-2000, 0), (-1000, 0), (-1000, 700))
    elevation["lines"] = [
        {"name": "left rake", "role": "rake", "picks": rakes[0], "projection_mm": 60},
        {"name": "right rake", "role": "rake", "picks": rakes[1], "projection_mm": 60},
        {"name": "pipe", "role": "downpipe", "picks": bent},
    ]
    return elevation


def test_the_described_example_is_a_job(capsys):
    """What was promised first is read to this day."""
    printed(capsys).validate(EXAMPLE)


def test_the_described_example_is_read(tmp_path, capsys):
    """It fails only for its photo, which is not there."""
    found = measure(capsys, write_job(tmp_path, EXAMPLE))

    assert found.sentences == [
        "front: photo: front.jpg: there is no such file; check the name and the folder."
    ]


def test_the_house_of_the_tests_is_a_job(capsys):
    """So that the rows below fail for their own reason."""
    schema = printed(capsys)

    for elevation in (front(), gable(), along_the_wall()):
        schema.validate(job(elevation))


BEYOND_SCHEMA = {"name of blanks", "name half a sign", "NaN"}
"""Mistakes that JSON Schema has no words for."""


@pytest.mark.parametrize("row", FORMAT_ROWS, ids=[row.reason for row in FORMAT_ROWS])
def test_the_schema_refuses_what_the_program_refuses(row, capsys):
    """Whoever checks a job before sending it finds the same mistakes."""
    elevation = front()
    row.spoil(elevation)

    valid = printed(capsys).is_valid(job(elevation))

    assert valid == (row.reason in BEYOND_SCHEMA)


@pytest.mark.parametrize(
    "elevations",
    [
        [front()],
        [gable()],
        [front(), gable(), {**front(), "name": "refused", "references": []}],
        [{**front(), "lines": [], "soffits": []}],
        [{"name": "nothing"}],
    ],
)
def test_results_keep_their_schema(elevations, tmp_path, capsys):
    """Measured, combined, refused and empty results alike."""
    result = measure(capsys, write_job(tmp_path, job(*elevations))).result

    printed(capsys, "--result").validate(result)


@pytest.mark.parametrize("row", LINE_ROWS, ids=[row.reason for row in LINE_ROWS])
def test_refused_lines_keep_the_schema(row, tmp_path, capsys):
    """A refused line has other words than a measured one."""
    elevation = front()
    row.spoil(elevation)
    result = measure(capsys, write_job(tmp_path, job(elevation))).result

    printed(capsys, "--result").validate(result)


def test_the_schema_of_the_result_can_refuse(tmp_path, capsys):
    """A word too many, a word too few, a number that is none."""
    result = measure(capsys, write_job(tmp_path, job())).result
    schema = printed(capsys, "--result")
    line = result["elevations"][0]["lines"][0]

    assert schema.is_valid(result)
    line["extra"] = 1
    assert not schema.is_valid(result)
    del line["extra"], line["u_mm"]
    assert not schema.is_valid(result)
    line["u_mm"] = "37"
    assert not schema.is_valid(result)


def test_every_promised_word_is_there(tmp_path, capsys):
    """Under exactly its name, in a job of two photos that has everything."""
    back = {**front(), "name": "back"}
    result = measure(capsys, write_job(tmp_path, job(front(), back))).result
    elevation = result["elevations"][0]

    assert set(result) >= PROMISED[""]
    assert set(elevation) >= PROMISED["elevation"]
    assert set(elevation["camera"]) >= PROMISED["camera"]
    assert set(elevation["adjustment"]) >= PROMISED["adjustment"]
    for reference in elevation["adjustment"]["references"]:
        assert set(reference) >= PROMISED["reference"]
    assert set(elevation["lines"][0]) >= PROMISED["line"]
    assert len(elevation["lines"][0]["interval95_mm"]) == 2
    assert {len(point) for point in elevation["lines"][0]["points_mm"]} == {3}
    assert set(elevation["soffits"][0]) >= PROMISED["soffit"]
    assert result["photomeasure_result"] == 1
    assert [line["name"] for line in result["combined"]] == ["front eaves", "left rake"]
