"""Every action of ``photomeasure jobs``, end to end."""

import json
import re
from pathlib import Path

import pytest

from photomeasure.result_schema import ResultOut
from photomeasure.store import Place, open_store, photos
from tests.photomeasure.house import front, job, write_job, write_photo
from tests.photomeasure.privacy.test_cleaning import SECRET, telling
from tests.photomeasure.run import Run, is_one_sentence, run

USAGE, UNUSABLE, UNKEPT = 2, 3, 5
DOCS = Path(__file__).parents[3] / "docs" / "keeping.md"
ACTIONS = ("list", "show", "export", "import", "history", "restore", "check", "delete",
           "measure")  # fmt: skip


@pytest.fixture
def house(commanded: Place, tmp_path: Path) -> Path:
    """Return a job file with its photo."""
    assert commanded
    write_photo(tmp_path)
    return write_job(tmp_path, job({**front(), "photo": "front.jpg"}))


def imported(capsys, path: Path, *options: str) -> str:
    """Bring a job in and return the beginning of its id."""
    done = run(capsys, "jobs", "import", path, *options)
    assert done.status == 0, done.err
    return done.out.split()[0]


def refused(done: Run, status: int) -> str:
    """Return the only sentence of a refusal."""
    assert done.status == status, done.err
    assert len(done.sentences) == 1
    return done.sentences[0]


def test_a_job_from_import_to_delete(capsys, house, tmp_path):
    """What an office does with one job."""
    job_id = imported(capsys, house, "--who", "Ann")
    listed = run(capsys, "jobs", "list", "--json").result
    assert [(e["title"], e["saved_by"]) for e in listed] == [("an invented house", "Ann")]
    assert listed[0]["id"].startswith(job_id)

    shown = run(capsys, "jobs", "show", job_id).out
    assert "front.jpg  1600 x 1200 px, without its place" in shown
    text = run(capsys, "jobs", "show", job_id, "--file").out
    assert text == house.read_text(encoding="utf-8") + "\n"

    measured = run(capsys, "jobs", "measure", job_id, "--json")
    ResultOut.model_validate(measured.result)
    assert "paper  result  result.json" in run(capsys, "jobs", "show", job_id).out

    package = tmp_path / "job.zip"
    assert run(capsys, "jobs", "export", job_id, "--to", package).status == 0
    again = run(capsys, "jobs", "export", job_id, "--to", package)
    assert "is there already" in refused(again, UNUSABLE)
    told = run(capsys, "jobs", "delete", job_id)
    assert told.status == USAGE
    assert "--yes" in told.err
    assert run(capsys, "jobs", "delete", job_id, "--yes").status == 0
    assert run(capsys, "jobs", "list").out == ""

    assert imported(capsys, package) == job_id
    assert "result.json" in run(capsys, "jobs", "show", job_id).out
    checked = run(capsys, "jobs", "check", "--tidy")
    assert checked.status == 0
    assert "1 jobs, 1 revisions, 1 photos, 1 papers" in checked.out
    assert "0 problems" in checked.out


def test_history_and_restore(capsys, house, tmp_path):
    """A package with other content comes on top, and the old state comes back."""
    job_id = imported(capsys, house, "--who", "Ann")
    package = tmp_path / "job.zip"
    run(capsys, "jobs", "export", job_id, "--to", package, "--history")
    run(capsys, "jobs", "restore", job_id, 1)
    assert len(run(capsys, "jobs", "history", job_id).out.splitlines()) == 1
    other = {**job({**front(), "photo": "front.jpg"}), "title": "changed"}
    with open_store() as store:
        from photomeasure.store import jobs
        from photomeasure.store.documents import make_draft

        entry = jobs.find(store, job_id)
        named = dict(jobs.load(store, entry.id).revision.photos)
        draft = make_draft(json.dumps(other).encode(), named)
        jobs.save(store, entry.id, draft, 1, jobs.Signature("Bob", "a new title"))

    assert "--as" in refused(run(capsys, "jobs", "import", package), UNUSABLE)
    restored = run(capsys, "jobs", "restore", job_id, 1, "--who", "Ann")
    assert "brought back from 1" in restored.out
    history = run(capsys, "jobs", "history", job_id).out.splitlines()
    assert [line.split()[1] for line in history] == ["3", "2", "1"]
    assert "Bob  a new title" in history[1]
    assert run(capsys, "jobs", "import", package, "--as", "copy").status == 0
    assert len(run(capsys, "jobs", "list").out.splitlines()) == 2
    shown = run(capsys, "jobs", "show", job_id, "--revision", 2).out
    assert "changed" in shown.splitlines()[1]


def test_places_are_kept_if_asked_for(capsys, commanded, tmp_path):
    """By an option of import; the default takes them out."""
    (tmp_path / "front.jpg").write_bytes(telling("JPEG"))
    path = write_job(tmp_path, job({**front(), "photo": "front.jpg"}))
    for options, kept in (((), False), (("--keep-place",), True)):
        job_id = imported(capsys, path, *options)
        shown = run(capsys, "jobs", "show", job_id).out
        assert ("with its place" in shown) == kept
        with open_store(commanded) as store:
            found = [SECRET in p.read_bytes() for p in photos.files(store)]
        assert any(found) == kept


def test_one_bad_file_stops_no_other(capsys, house, tmp_path):
    """Each has its sentence; the good one is in."""
    bad = tmp_path / "bad.job.json"
    bad.write_text("{", encoding="utf-8")
    zipped = tmp_path / "bad.zip"
    zipped.write_bytes(b"PK")
    done = run(capsys, "jobs", "import", bad, house, zipped, tmp_path / "none.zip")

    assert done.status == UNUSABLE
    assert len(done.sentences) == 3
    assert all(map(is_one_sentence, done.sentences))
    assert len(run(capsys, "jobs", "list").out.splitlines()) == 1


def test_jobs_that_are_not_there(capsys, commanded):
    """Status 5 and one sentence."""
    assert commanded
    for action in ("show", "export", "history", "delete", "measure"):
        sentence = refused(run(capsys, "jobs", action, "123"), UNKEPT)
        assert is_one_sentence(sentence)
    assert "is not in the store" in refused(run(capsys, "jobs", "restore", "1", 1), UNKEPT)


def test_check_tells_of_damage(capsys, house, commanded):
    """Status 5 and a sentence for each problem."""
    imported(capsys, house)
    with open_store(commanded) as store:
        next(iter(photos.files(store))).write_bytes(b"")
    done = run(capsys, "jobs", "check")

    assert done.status == UNKEPT
    assert "was changed on the disk" in done.sentences[0]


def test_search_and_limit(capsys, house):
    """Words of the title; at most so many."""
    for _ in range(3):
        imported(capsys, house)

    assert len(run(capsys, "jobs", "list", "--limit", 2).out.splitlines()) == 2
    assert len(run(capsys, "jobs", "list", "--search", "HOUSE inv").out.splitlines()) == 3
    assert run(capsys, "jobs", "list", "--search", "cottage").out == ""


@pytest.mark.parametrize("action", ACTIONS)
def test_every_action_is_in_the_documentation(action):
    """And the documentation names no other."""
    named = set(re.findall(r"photomeasure jobs (\w+)", DOCS.read_text(encoding="utf-8")))

    assert action in named
    assert named <= set(ACTIONS)
