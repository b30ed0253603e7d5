"""Folders of jobs and photos: nothing stops a batch, and any worker says the same."""

import json
import os
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from calibration.errors import InputError, UnknownName
from photomeasure.batch.run import Batch, find_tasks, run_batch
from photomeasure.batch.work import Line, Task, work
from photomeasure.job.load import load_job
from photomeasure.measure import measure_job
from photomeasure.reading import Told, read_photo
from photomeasure.reading.report import reading_json
from photomeasure.result_json import job_json
from tests.photomeasure.house import front, job, write_job, write_photo
from tests.photomeasure.reading.pictures import MESSENGER
from tests.photomeasure.run import is_one_sentence, run

ROOT = Path(__file__).parents[3]
JOBS = 5
UNUSABLE, UNDETERMINED = 3, 4


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Return a folder of good and bad inputs, some in folders of their own."""
    inputs = tmp_path / "inputs"
    for i in range(JOBS):
        place = inputs / f"house {i}"
        place.mkdir(parents=True)
        write_photo(place)
        write_job(place, {**job({**front(), "photo": "front.jpg"}), "title": f"house {i}"})
    (inputs / "bad.job.json").write_text("{", encoding="utf-8")
    half = {**front(), "name": "back", "photo": "none.jpg"}
    (inputs / "half.job.json").write_text(json.dumps(job(front(), half)), encoding="utf-8")
    level = {**front(), "references": front()["references"][4:5], "soffits": []}
    (inputs / "loose.job.json").write_text(json.dumps(job(level)), encoding="utf-8")
    (inputs / "cut.jpg").write_bytes(b"\xff\xd8\xff\xe0")
    (inputs / "notes.txt").write_text("no input", encoding="utf-8")
    return inputs


def lines_of(target: Path) -> list[Line]:
    """Return the results of a batch."""
    text = (target / "results.jsonl").read_text(encoding="ascii")
    return [json.loads(line) for line in text.splitlines()]


def test_a_folder(folder, tmp_path):
    """Each input has its line, as its own command would say it."""
    target = tmp_path / "out"
    summary = run_batch(Batch(folder=folder, target=target))
    lines = {line["input"]: line for line in lines_of(target)}

    assert summary.counts == {
        "measured": JOBS, "partly measured": 1, "read": JOBS, "refused": 3
    }  # fmt: skip
    assert summary.status == UNUSABLE
    assert all(map(is_one_sentence, summary.refusals))
    assert len(lines) == 2 * JOBS + 4
    path = folder / "house 3" / "house.job.json"
    expected = job_json(measure_job(load_job(path)))
    assert lines["house 3/house.job.json"]["result"] == expected
    assert lines["loose.job.json"]["status"] == UNDETERMINED
    assert lines["house 1/front.jpg"]["result"]["size_px"] == [1600, 1200]
    written = json.loads((target / "summary.json").read_text(encoding="utf-8"))
    assert written["outcomes"] == summary.counts
    assert written["refusals"] == list(summary.refusals)


def test_photos_without_a_job_are_read(tmp_path):
    """By the format of the batch, as the command 'read' does; what it asks is told."""
    inputs = tmp_path / "inputs"
    inputs.mkdir()
    shutil.copy(MESSENGER, inputs / "sent.jpg")
    write_photo(inputs, "grey.jpg")
    stated = Batch(folder=inputs, target=tmp_path / "out", brick_format="uk-metric")
    run_batch(stated)
    lines = {line["input"]: line for line in lines_of(tmp_path / "out")}

    assert {line["outcome"] for line in lines.values()} == {"read"}
    told = Told(brick_format="uk-metric")
    read = json.loads(json.dumps(reading_json(read_photo(inputs / "sent.jpg", told))))
    sent = lines["sent.jpg"]["result"]
    assert sent["proposals"] == read["proposals"]
    assert sent["size_px"] == [1600, 1200]
    assert sent["result"] is not None
    assert sent["result"] == read["result"]
    assert lines["grey.jpg"]["result"]["refused"]
    assert lines["grey.jpg"]["sentences"]
    assert all(told.isprintable() for told in lines["grey.jpg"]["sentences"])


@pytest.mark.parametrize("odd", ["5", '"front"', "{}", "[5]", '[{"photo": 5}]', "null"])
def test_elevations_that_are_none_stop_no_other(folder, tmp_path, odd):
    """What a job names is looked up before its format is checked."""
    text = f'{{"photomeasure_job": 1, "title": "odd", "elevations": {odd}}}'
    (folder / "odd.job.json").write_text(text, encoding="utf-8")
    run_batch(Batch(folder=folder, target=tmp_path / "out"))
    lines = {line["input"]: line for line in lines_of(tmp_path / "out")}

    assert lines["odd.job.json"]["outcome"] == "refused"
    assert lines["house 1/house.job.json"]["outcome"] == "measured"


def test_an_unknown_brick_format_is_refused_before_anything_is_read(folder, tmp_path):
    """Not once for every photo."""
    with pytest.raises(UnknownName):
        run_batch(Batch(folder=folder, target=tmp_path / "out", brick_format="clay"))
    assert not (tmp_path / "out").exists()


def test_two_workers_say_the_same_as_one(folder, tmp_path):
    """Byte for byte."""
    for workers in (1, 2):
        run_batch(Batch(folder=folder, target=tmp_path / f"{workers}", workers=workers))

    one, two = (tmp_path / n / "results.jsonl" for n in ("1", "2"))
    assert one.read_bytes() == two.read_bytes()


@pytest.mark.filterwarnings("default")  # of the cluster's own machinery
def test_a_cluster_says_the_same_as_one(folder, tmp_path, monkeypatch):
    """Byte for byte, by the same call, on processes that only share the folder."""
    distributed = pytest.importorskip("distributed")
    run_batch(Batch(folder=folder, target=tmp_path / "1"))
    monkeypatch.setenv("PYTHONPATH", str(ROOT))
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None
    ) as cluster:
        address = cluster.scheduler_address
        run_batch(Batch(folder=folder, target=tmp_path / "2", cluster=address))

    one, two = (tmp_path / n / "results.jsonl" for n in ("1", "2"))
    assert one.read_bytes() == two.read_bytes()


def test_a_cluster_that_is_not_there(folder, tmp_path, monkeypatch):
    """One sentence, and no result is lost."""
    pytest.importorskip("distributed")
    from photomeasure.batch import engines

    monkeypatch.setattr(engines, "PATIENCE_S", 0.3)
    batch = Batch(folder=folder, target=tmp_path / "out", cluster="tcp://127.0.0.1:1")
    with pytest.raises(InputError) as refused:
        run_batch(batch)

    assert is_one_sentence(str(refused.value))


def test_what_is_done_is_not_done_again(folder, tmp_path):
    """Only what has changed is; --again does everything."""
    batch = Batch(folder=folder, target=tmp_path / "out")
    run_batch(batch)
    done: list[str] = []

    def noted(task: Task) -> Line:
        done.append(task.name)
        return work(task)

    assert run_batch(batch, do=noted).skipped == 2 * JOBS + 4
    assert done == []
    kept = job({**front(), "photo": "front.jpg"})
    write_job(folder / "house 2", {**kept, "title": "changed"})
    os.utime(folder / "house 3" / "front.jpg", ns=(1, 1))
    before = lines_of(batch.target)
    run_batch(batch, do=noted)
    changed = ["house 2/house.job.json", "house 3/front.jpg", "house 3/house.job.json"]
    assert sorted(done) == changed
    after = lines_of(batch.target)
    assert [a["input"] for a, b in zip(before, after, strict=True) if a != b] == changed
    again = Batch(folder=folder, target=batch.target, again=True)
    assert run_batch(again, do=noted).skipped == 0
    assert len(done) == 3 + 2 * JOBS + 4


def test_a_failing_program_stops_no_other(folder, tmp_path, monkeypatch):
    """A fault of this program is one line; it is tried again next time."""
    from photomeasure.batch import work as module

    photo = module._photo

    def clumsy(task: Task) -> Line:
        if task.name == "house 1/front.jpg":
            raise ZeroDivisionError
        return photo(task)

    monkeypatch.setattr(module, "_photo", clumsy)
    batch = Batch(folder=folder, target=tmp_path / "out")
    summary = run_batch(batch)
    assert summary.counts["failed"] == 1
    assert any("ZeroDivisionError" in text for text in summary.refusals)
    monkeypatch.undo()
    assert "failed" not in run_batch(batch).counts


def stopping(task: Task) -> Line:
    """Do the work, but let some inputs kill their process, as a lack of memory does."""
    if task.name in ("house 1/front.jpg", "house 4/house.job.json"):
        time.sleep(0.3)
        os.kill(os.getpid(), signal.SIGKILL)
    return work(task)


@pytest.mark.skipif(os.name == "nt", reason="kills by number")
def test_a_killed_worker_stops_no_other(folder, tmp_path):
    """The inputs that kill are named; every other one has its result."""
    good, bad = tmp_path / "good", tmp_path / "bad"
    run_batch(Batch(folder=folder, target=good))
    summary = run_batch(Batch(folder=folder, target=bad, workers=2), do=stopping)
    different = [
        b["input"] for a, b in zip(lines_of(good), lines_of(bad), strict=True) if a != b
    ]

    assert summary.counts["failed"] == 2
    assert different == ["house 1/front.jpg", "house 4/house.job.json"]


@pytest.mark.skipif(os.name == "nt", reason="kills by number")
def test_a_killed_batch_goes_on(folder, tmp_path, tell):
    """Killed again and again, every line that was written stays and none is torn."""
    target, whole = tmp_path / "out", tmp_path / "whole"
    run_batch(Batch(folder=folder, target=whole))
    code = (
        "from pathlib import Path; from photomeasure.batch import run_batch;"
        "from photomeasure.batch.run import Batch; print('ready', flush=True);"
        f"run_batch(Batch(folder=Path({str(folder)!r}), target=Path({str(target)!r})))"
    )
    kept, kills = 0, 6
    for i in range(kills):
        child = subprocess.Popen(  # noqa: S603 - this interpreter
            [sys.executable, "-c", code], cwd=ROOT, stdout=subprocess.PIPE
        )
        assert child.stdout is not None
        child.stdout.readline()
        time.sleep(0.1 + 0.15 * i)
        child.kill()
        child.wait()
        child.stdout.close()
        path = target / "results.jsonl"
        there = path.read_bytes().count(b"\n") if path.exists() else 0
        assert there >= kept
        kept = there
    with (target / "results.jsonl").open("ab") as file:
        file.write(b'{"input": "torn')
    summary = run_batch(Batch(folder=folder, target=target))
    tell(f"killed batches: {kills} kills, {kept} lines written by then, 0 lost or torn")

    assert summary.skipped == kept
    results = "results.jsonl"
    assert (target / results).read_bytes() == (whole / results).read_bytes()


def test_two_batches_in_one_place(folder, tmp_path):
    """The second is told; a kill frees the place."""
    if os.name == "nt":
        pytest.skip("has no such lock")
    from photomeasure.batch.results import opened_results

    target = tmp_path / "out"
    with opened_results(target), pytest.raises(InputError, match="another batch"):
        run_batch(Batch(folder=folder, target=target))
    assert run_batch(Batch(folder=folder, target=target)).counts["measured"] == JOBS


def test_folders_that_hold_nothing(tmp_path):
    """Said in one sentence."""
    (tmp_path / "empty").mkdir()
    for name in ("empty", "none"):
        with pytest.raises(InputError) as refused:
            find_tasks(tmp_path / name, tmp_path / "out")
        assert is_one_sentence(str(refused.value))


def test_results_are_no_inputs(folder):
    """Though they lie among them."""
    target = folder / "out"
    target.mkdir()
    write_photo(target)

    assert not any("out" in task.name for task in find_tasks(folder, target))


def test_the_command(capsys, folder, tmp_path):
    """Counts on the output, refusals on the error stream, lowest status."""
    done = run(capsys, "batch", folder, "--to", tmp_path / "out", "--workers", 1)

    assert done.status == UNUSABLE
    assert f"{JOBS} measured, 1 partly measured, {JOBS} read, 3 refused" in done.out
    assert len(done.sentences) == 4
    assert all(map(is_one_sentence, done.sentences))
    nothing = run(capsys, "batch", tmp_path / "none")
    assert nothing.status == UNUSABLE
    assert is_one_sentence(nothing.sentences[0])


def test_progress_is_told(folder, tmp_path):
    """From nothing to all."""
    told: list[tuple[int, int]] = []
    run_batch(Batch(folder=folder, target=tmp_path / "out"), lambda *now: told.append(now))

    total = 2 * JOBS + 4
    assert told == [(total, done) for done in range(total + 1)]
