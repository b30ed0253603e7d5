"""``photomeasure read``: prints, writes a job that measures, and loses no one's work."""

import json
import shutil

import numpy as np
import pytest

from photomeasure.cli import main
from tests.photomeasure.reading.pictures import MESSENGER, saved


@pytest.fixture
def photo(tmp_path):
    return shutil.copy(MESSENGER, tmp_path / "front.jpg")


def test_it_writes_a_job_that_can_be_measured(photo, tmp_path, capsys) -> None:
    job = tmp_path / "front.json"

    assert main(["read", str(photo), "--format", "uk-metric", "--to", str(job)]) == 0
    printed = capsys.readouterr().out
    assert "bed joints: " in printed
    assert "Is there an eaves?" not in printed
    document = json.loads(job.read_text())
    elevation = document["elevations"][0]
    assert elevation["photo"] == "front.jpg"
    assert [line["role"] for line in elevation["lines"]] == ["eaves"]
    assert main(["measure", str(job)]) == 0


def test_a_job_that_is_there_is_not_written_over(photo, tmp_path, capsys) -> None:
    job = tmp_path / "front.json"
    job.write_text("corrected by hand")

    assert main(["read", str(photo), "--to", str(job)]) == 3
    assert job.read_text() == "corrected by hand"
    assert "is there already" in capsys.readouterr().err


def test_json_holds_references_proposals_and_questions(photo, capsys) -> None:
    assert main(["read", str(photo), "--json"]) == 0
    said = json.loads(capsys.readouterr().out)

    assert {"references", "proposals", "questions", "missing", "result"} <= said.keys()
    assert said["references"][0]["reference"]["kind"] == "courses"
    assert len(said["references"][0]["drawn"]["lines"]) > 10
    assert said["proposals"][0]["role"] == "eaves"


def test_without_a_scale_it_says_what_to_do(tmp_path, capsys) -> None:
    path = saved(tmp_path, np.full((300, 400), 180.0))

    assert main(["read", str(path)]) == 4
    assert "tape a distance" in " ".join(capsys.readouterr().out.split())


@pytest.mark.parametrize(
    "run", [("0", "752"), ("10.5", "752"), ("10", "-3"), ("10", "nan")]
)
def test_a_run_of_courses_that_is_none_is_refused(run, photo, capsys) -> None:
    assert main(["read", str(photo), "--taped-courses", *run]) == 3
    assert "no run of courses" in capsys.readouterr().err
