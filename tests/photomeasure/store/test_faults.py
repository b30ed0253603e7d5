"""Kills, full disks, closed folders, second programs: nothing acknowledged is lost."""

import json
import os
import subprocess
import sys
from contextlib import suppress
from pathlib import Path

import pytest

from calibration.errors import (
    JobChangedElsewhere,
    StorageError,
    StoreBusy,
    StoreUnavailable,
)
from photomeasure.store import Place, database, jobs, open_store, photos
from photomeasure.store.check import check
from photomeasure.store.package import bring_in_package, write_package
from tests.photomeasure.run import is_one_sentence
from tests.photomeasure.store.conftest import empty_place
from tests.photomeasure.store.samples import document, draft, in_programs, picture

ROOT = Path(__file__).parents[3]

KILLS = {("saves", True): 80, ("saves", False): 20, ("imports", True): 30,
         ("imports", False): 12}  # fmt: skip
"""By what is killed and whether the database is a file, which is what could tear."""

MANY = 6
"""Times as many in the long run."""


@pytest.mark.skipif(os.name == "nt", reason="forks and kills by number")
@pytest.mark.parametrize(
    "times", [1, pytest.param(MANY, marks=pytest.mark.statistics)], ids=["some", "many"]
)
@pytest.mark.parametrize("kind", ["saves", "imports"])
def test_kills_at_random_moments(kind, times, commanded, tell):
    """What was acknowledged is there, whole; what was not is there whole or not at all."""
    is_file = commanded.database.drivername == "sqlite"
    kills = times * KILLS[kind, is_file]
    program = [sys.executable, "-m", "tests.photomeasure.store.killing", kind]
    done = subprocess.run(  # noqa: S603 - this interpreter
        [*program, str(commanded.home), str(kills), str(times)],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONWARNINGS": "error"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    count = json.loads(done.stdout)
    tell(
        f"kills during {kind} on {'SQLite' if is_file else 'PostgreSQL'}: "
        f"{count['kills']}, of these {count['inside']} inside a step; "
        f"{count['acknowledged']} steps acknowledged, {len(count['problems'])} lost or "
        f"torn, {count['kept_unacknowledged']} kept before it could be said"
    )

    assert count["problems"] == []
    assert count["kills"] == kills
    assert count["inside"] > kills // 4
    assert count["acknowledged"] > kills // 10


def test_content_is_on_the_disk_before_its_name(tmp_path, monkeypatch):
    """A power cut must not leave a name without content, nor a row without its photo."""
    events: list[str] = []
    fsync, replace = os.fsync, Path.replace

    def noted_fsync(handle: int) -> None:
        kind = "folder" if Path(f"/proc/self/fd/{handle}").is_dir() else "content"
        events.append(kind)
        fsync(handle)

    def noted_replace(self: Path, target: Path) -> Path:
        events.append("name")
        return replace(self, target)

    with open_store(empty_place(tmp_path / "home")) as store:
        record = photos._record
        monkeypatch.setattr(os, "fsync", noted_fsync)
        monkeypatch.setattr(Path, "replace", noted_replace)
        monkeypatch.setattr(
            photos, "_record", lambda *a, **k: (events.append("row"), record(*a, **k))
        )
        photos.add(store, picture(tmp_path, 1))

    # The first is the folder of the photo, whose own name must be on the disk too.
    assert events == ["folder", "content", "name", "folder", "row"]


def test_commits_reach_the_disk(store):
    """SQLite is told to wait for the disk at every commit, and PostgreSQL does."""
    with store.database.reading() as connection:
        if not store.database.is_sqlite:
            found = connection.exec_driver_sql("SHOW synchronous_commit").scalar()
            assert found == "on"
            return
        wanted = {"journal_mode": "wal", "synchronous": 2, "foreign_keys": 1}
        for name, value in {**wanted, "secure_delete": 1}.items():
            assert connection.exec_driver_sql(f"PRAGMA {name}").scalar() == value


SAVES = 25


def _save_often(place: Place, job_id: str) -> tuple[int, int]:
    """Save one job again and again beside others; return saves and conflicts."""
    conflicts = 0
    with open_store(place) as store:
        for i in range(SAVES):
            while True:
                base = jobs.load(store, job_id).revision.number
                changed = draft(f"by {os.getpid()}, {i}")
                try:
                    jobs.save(store, job_id, changed, base)
                except JobChangedElsewhere:
                    conflicts += 1
                    continue
                break
    return SAVES, conflicts


def test_several_programs_save_one_job(place, tell):
    """Each saving is one revision, and whoever came second was told."""
    with open_store(place) as store:
        job_id = jobs.create(store, draft()).job_id
    found = in_programs(3, _save_often, [(place, job_id)] * 3)
    with open_store(place) as store:
        history = jobs.history(store, job_id)
        assert check(store).problems == ()
    conflicts = sum(conflicts for _, conflicts in found)
    tell(
        f"three programs on one job: {3 * SAVES} saves, {conflicts} conflicts told, 0 lost"
    )

    assert [r.number for r in history] == list(range(3 * SAVES + 1, 0, -1))
    assert len({r.title for r in history}) == 3 * SAVES + 1


def _use_photo(place: Place, path: Path) -> int:
    """Save and delete jobs that all have one photo."""
    with open_store(place) as store:
        for i in range(8):
            sha256 = photos.add(store, path).sha256
            try:
                saved = jobs.create(store, draft(f"{i}", front=sha256))
            except StorageError:  # another deleted the photo's last job in between
                continue
            if i % 2:
                with suppress(StorageError):  # deleted, but a busy neighbour keeps traces
                    jobs.delete(store, saved.job_id)
    return 1


def test_programs_that_share_a_photo(place, tmp_path):
    """One deletes the last job with a photo while another adds it: none is left bare."""
    path = picture(tmp_path, 1)
    assert in_programs(3, _use_photo, [(place, path)] * 3) == [1, 1, 1]

    with open_store(place) as store:
        assert jobs.listed(store)
        assert check(store).problems == ()


def test_a_program_that_holds_the_store(place, monkeypatch):
    """Waited for, then told; nothing is saved twice."""
    monkeypatch.setattr(database, "WAIT_S", 0.2)
    with open_store(place) as store, open_store(place) as other:
        saved = jobs.create(store, draft())
        with other.database.writing(), pytest.raises(StoreBusy) as refused:
            jobs.save(store, saved.job_id, draft("b"), 1)
        assert is_one_sentence(str(refused.value))
        assert jobs.save(store, saved.job_id, draft("b"), 1).number == 2


def test_traces_that_a_reader_keeps_are_told(store, place, monkeypatch):
    """The job is gone; its traces go when the other program has ended."""
    if not store.database.is_sqlite:
        pytest.skip("a server rewrites its tables by itself")
    monkeypatch.setattr(database, "WAIT_S", 0.2)
    with open_store(place) as mine, open_store(place) as other:
        saved = jobs.create(mine, draft())
        with other.database.reading() as connection:
            connection.exec_driver_sql("SELECT * FROM jobs").all()
            with pytest.raises(StorageError, match="--tidy") as told:
                jobs.delete(mine, saved.job_id)
        assert is_one_sentence(str(told.value))
        assert jobs.listed(mine) == []
        photos.tidy(mine)
        assert (mine.home / "photomeasure.sqlite3-wal").stat().st_size == 0


def test_reading_goes_on_while_somebody_writes(store, place):
    """A list of jobs never waits for a save."""
    saved = jobs.create(store, draft())
    with open_store(place) as other, other.database.writing():
        assert jobs.load(store, saved.job_id).document == document()
        assert len(jobs.listed(store)) == 1


def test_errors_carry_no_customer(store):
    """What a log or a screen may show has neither titles nor job files in it."""
    secret = "Zebedee Unlikely"  # noqa: S105 - an invented customer
    saved = jobs.create(store, draft(secret))
    jobs.save(store, saved.job_id, draft(secret + " 2"), 1)
    with pytest.raises(JobChangedElsewhere) as conflict:
        jobs.save(store, saved.job_id, draft(secret + " 3"), 1)
    with store.database.writing() as connection:
        connection.exec_driver_sql("DROP TABLE revision_photos")
        connection.exec_driver_sql("DROP TABLE papers")
        connection.exec_driver_sql("DROP TABLE revisions")
    with pytest.raises(StorageError) as broken:
        jobs.create(store, draft(secret))

    for error in (conflict.value, broken.value, broken.value.__cause__):
        assert "Zebedee" not in str(error)
        assert "photomeasure_job" not in str(error)


def test_a_bad_photo_in_a_package_saves_no_job(place, tmp_path):
    """The photos before it may stay; the job does not."""
    with open_store(empty_place(tmp_path / "source")) as source:
        sha256 = photos.add(source, picture(tmp_path, 1)).sha256
        job_id = jobs.create(source, draft(front=sha256)).job_id
        package = write_package(source, job_id, tmp_path / "job.zip")
    with open_store(place) as store:
        require = photos.require

        def full(*_: object) -> None:
            raise StoreUnavailable("disk", "is full", "make room")

        photos.require = full
        try:
            with pytest.raises(StoreUnavailable):
                bring_in_package(store, package)
        finally:
            photos.require = require
        assert jobs.listed(store) == []
        assert bring_in_package(store, package).job_id == job_id
