"""``photomeasure takeoff`` from end to end: table, JSON, schema, mistakes, taping."""

import json
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from photomeasure.layout import WIDTH
from photomeasure.terminal import columns
from tests.photomeasure.golden_files import same_as_golden
from tests.photomeasure.house import front, job, pixels, write_job
from tests.photomeasure.run import all_finite, is_one_sentence, run
from tests.photomeasure.test_schemas import gable

SOUND: dict[str, Any] = {
    "year_built": 2005,
    "soffit_look": "plastic",
    "verge": "mortar",
    "roof": {"rafter_centres_mm": 600, "eaves_height_mm": 4000, "barge_depth_mm": 200},
    "lines": [{"name": "front eaves", "start": "box end", "end": "hip"}],
}


def house(**takeoff: Any) -> dict[str, Any]:
    """Return a front with a measured fascia and a gable, and facts that stop nothing."""
    elevation = front()
    elevation["lines"] = [
        elevation["lines"][0],
        {
            "name": "fascia at the door",
            "role": "fascia_depth",
            "picks": pixels((100, 2500, 300), (100, 2705, 300)),
            "projection_mm": 300,
        },
    ]
    side = gable()
    side["lines"] = side["lines"][:2]
    return {**job(elevation, side), "takeoff": {**SOUND, **takeoff}}


def takeoff(capsys, tmp_path, *options, **words):
    return run(capsys, "takeoff", write_job(tmp_path, house(**words)), *options)


def test_the_table_is_the_kept_one(capsys, tmp_path):
    """One snapshot of everything a person reads."""
    done = takeoff(capsys, tmp_path)

    assert done.status == 0
    assert same_as_golden("takeoff.txt", done.out)
    assert max(map(columns, done.out.splitlines())) <= WIDTH


def test_the_json_is_the_kept_one_and_keeps_its_schema(capsys, tmp_path):
    """What others read, word for word, and as published."""
    done = takeoff(capsys, tmp_path, "--json")
    schema = json.loads(run(capsys, "schema", "--takeoff").out)

    assert done.status == 0
    assert same_as_golden("takeoff.json", done.out)
    assert all_finite(done.result)
    Draft202012Validator.check_schema(schema)
    Draft202012Validator(schema).validate(done.result)


def test_the_schema_can_refuse(capsys, tmp_path):
    """A word too many, an amount that is a number."""
    result = takeoff(capsys, tmp_path, "--json").result
    schema = Draft202012Validator(json.loads(run(capsys, "schema", "--takeoff").out))

    assert schema.is_valid(result)
    result["quantities"][0]["amount"] = 4
    assert not schema.is_valid(result)
    result["quantities"][0]["amount"] = "4"
    result["pieces"][0]["extra"] = 1
    assert not schema.is_valid(result)


def test_a_job_without_facts_stops_for_asbestos(capsys, tmp_path):
    """Once, naming its lines; the table begins with it; nothing is counted."""
    document = house()
    del document["takeoff"]
    done = run(capsys, "takeoff", write_job(tmp_path, document))

    assert done.status == 3
    (said,) = done.sentences
    assert "asbestos" in said
    assert is_one_sentence(said)
    assert all(line in said for line in ("front: front eaves", "left rake", "right rake"))
    assert done.out.count("STOP") == 1
    assert "pieces" not in done.out


def test_an_unmeasured_elevation_is_a_stop_and_loses_no_other(capsys, tmp_path):
    """The gable has no references, so a box end would have no pitch."""
    lines = [{"name": "front eaves", "start": "gable", "end": "gable"}]
    document = house(lines=lines)
    document["elevations"][1]["references"] = []
    done = run(capsys, "takeoff", write_job(tmp_path, document), "--json")

    assert done.status == 3
    assert [stop["lines"] for stop in done.result["stops"]] == [["gable"]]
    assert {piece["line"] for piece in done.result["pieces"]} == {"front: front eaves"}


MISTAKES = {
    "word of the block": ({"colour": "white"}, "takeoff.colour: is not a word"),
    "word of a line": ({"lines": [{"nam": "front eaves"}]}, "takeoff.lines[0].n"),
    "word of the roof": (
        {"roof": {"pitch": 40}},
        'takeoff.roof.pitch: is not a word of the job file; write "pitch_deg"',
    ),
    "unknown end": (
        {"lines": [{"name": "front eaves", "start": "hipp"}]},
        'takeoff.lines[0].start: "hipp" is not known here; write "hip"',
    ),
    "text for a number": ({"year_built": "1980"}, '"1980" is text, not a number'),
    "rules as a list": ({"rules": []}, "is not a block of words and values"),
    "too steep": ({"roof": {"pitch_deg": 85}}, "85 must be at most 80"),
    "board of a width of nothing": (
        {"boards": {"fascia": {"widths_mm": [0]}}},
        "0 must be at least 1",
    ),
    "word of a board": (
        {"boards": {"fascia": {"widths": [200]}}},
        'write "widths_mm"',
    ),
    "rule": ({"rules": {"saw.kerf_mm": "wide"}}, "takeoff.rules.saw.kerf_mm"),
}


@pytest.mark.parametrize("reason", MISTAKES)
def test_mistakes_in_the_block_are_one_sentence(reason, capsys, tmp_path):
    """They name the place, and the word that was meant."""
    words, sentence = MISTAKES[reason]
    done = takeoff(capsys, tmp_path, **words)

    assert done.status == 3
    assert done.out == ""
    (said,) = done.sentences
    assert sentence in said
    assert is_one_sentence(said)


def test_a_word_given_twice_among_rules_is_refused(capsys, tmp_path):
    """Neither of the two values is believed."""
    text = json.dumps(house(rules={"saw.kerf_mm": 3}))
    twice = text.replace('"saw.kerf_mm": 3', '"saw.kerf_mm": 3, "saw.kerf_mm": 4')
    done = run(capsys, "takeoff", write_job(tmp_path, twice))

    assert done.status == 3
    assert len(done.sentences) == 1


def test_the_block_is_in_the_schema_of_the_job(capsys):
    """Whoever checks a job before sending it finds the same mistakes."""
    schema = Draft202012Validator(json.loads(run(capsys, "schema").out))

    assert schema.is_valid(house())
    assert not schema.is_valid(house(colour="white"))
    assert not schema.is_valid(house(roof={"pitch_deg": 85}))


def test_measuring_does_not_mind_the_block(capsys, tmp_path):
    """The same file serves both commands."""
    done = run(capsys, "measure", write_job(tmp_path, house()), "--json")

    assert done.status == 0


def test_after_taping_the_rest_is_planned_anew(capsys, tmp_path):
    """Board 1 is cut; the eaves were taped 25 mm longer than measured."""
    lines = [{**SOUND["lines"][0], "taped_mm": 6025}]
    done = takeoff(capsys, tmp_path, "--cut", "1", lines=lines)

    assert done.status == 0
    assert "boards already cut stay as they are" in done.out
    assert "still to cut" in done.out


@pytest.mark.parametrize("numbers", ["0", "99"])
def test_a_board_that_is_not_there_is_refused(numbers, capsys, tmp_path):
    """Boards are numbered from 1."""
    done = takeoff(capsys, tmp_path, "--cut", numbers)

    assert done.status == 3
    assert "is not in the plan" in done.sentences[0]
