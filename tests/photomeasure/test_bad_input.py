"""Every way an elevation can be wrong, the status and the words for it.

Each row spoils the front of an invented house. The back of the same house stands
beside it and must be measured all the same.
"""

import copy
import time
from typing import Any, Final

import pytest

from tests.photomeasure.bad_format import FORMAT_ROWS
from tests.photomeasure.bad_sense import GEOMETRY_ROWS, LINE_ROWS, SENSE_ROWS
from tests.photomeasure.house import front, job, write_job
from tests.photomeasure.mistakes import UNUSABLE, Row
from tests.photomeasure.run import is_one_sentence, measure

PATIENCE_S: Final = 30.0
"""Processor seconds for one bad job: ten times what the slowest takes."""


def spoilt(row: Row) -> dict[str, Any]:
    """Return the house with a spoilt front and a whole back."""
    bad = copy.deepcopy(front())
    row.spoil(bad)
    back = front()
    back["name"] = "back"
    return job(bad, back)


def by_reason(rows: list[Row]) -> Any:
    return pytest.mark.parametrize("row", rows, ids=[row.reason for row in rows])


@by_reason([*FORMAT_ROWS, *SENSE_ROWS, *GEOMETRY_ROWS])
def test_a_bad_elevation_is_one_sentence_and_loses_no_other(row, tmp_path, capsys):
    """It says what, where and what to do, gives no number, and the back is measured."""
    path = write_job(tmp_path, spoilt(row))

    started = time.process_time()
    found = measure(capsys, path)
    took = time.process_time() - started

    assert found.status == row.status
    assert len(found.sentences) == len(found.err.splitlines()) == 1
    assert is_one_sentence(found.sentences[0])
    for word in row.words:
        assert word in found.sentences[0]
    refused, back = found.result["elevations"]
    assert set(refused) == {"name", "error"}
    assert refused["error"]["message"] == found.sentences[0]
    assert [line["name"] for line in back["lines"]] == ["front eaves", "left rake"]
    assert all(line["length_mm"] > 1000.0 for line in back["lines"])
    assert took < PATIENCE_S


@by_reason(LINE_ROWS)
def test_a_bad_line_has_no_length_and_loses_no_other(row, tmp_path, capsys):
    """The rest of its own elevation is measured too."""
    found = measure(capsys, write_job(tmp_path, spoilt(row)))

    assert found.status == row.status
    assert len(found.sentences) == 1
    assert is_one_sentence(found.sentences[0])
    for word in row.words:
        assert word in found.sentences[0]
    eaves, refused = found.elevation("front")["lines"]
    assert eaves["length_mm"] > 3000.0
    assert set(refused) == {"name", "role", "refused"}
    assert refused["refused"] == found.sentences[0]
    assert len(found.elevation("back")["lines"]) == 2
    assert [line["name"] for line in found.result["combined"]] == ["front eaves"]


def test_the_spoilt_house_is_sound_before_it_is_spoilt(tmp_path, capsys):
    """So that each row fails for its own reason alone."""
    row = Row("nothing", lambda _: None, ())

    found = measure(capsys, write_job(tmp_path, spoilt(row)))

    assert found.status == 0
    assert found.err == ""


def test_every_bad_elevation_of_a_job_is_told(tmp_path, capsys):
    """One run finds all of them; the lowest status is reported."""
    rows = [FORMAT_ROWS[0], SENSE_ROWS[0], GEOMETRY_ROWS[0], LINE_ROWS[0]]
    bad = [front() for _ in rows]
    for i, (row, elevation) in enumerate(zip(rows, bad, strict=True)):
        row.spoil(elevation)
        elevation["name"] = f"side {i}"

    found = measure(capsys, write_job(tmp_path, job(*bad)))

    assert [text.split(":")[0] for text in found.sentences] == [e["name"] for e in bad]
    assert found.status == UNUSABLE
