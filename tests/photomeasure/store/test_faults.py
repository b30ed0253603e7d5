"""Kills, full disks, closed folders, second programs: nothing acknowledged is lost."""

import contextlib
import json
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from multiprocessing import get_context
from pathlib import Path

import pytest

from calibration.errors import (
    JobChangedElsewhere,
    StorageError,
    StoreBusy,
    StoreUnavailable,
)
from photomeasure.store import Place, Store, database, jobs, open_store, papers, photos
from photomeasure.store.check import check
from photomeasure.store.package import bring_in_package, write_package
from tests.photomeasure.run import is_one_sentence
from tests.photomeasure.store.conftest import empty_place
from tests.photomeasure.store.samples import document, draft, picture

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


def _fill_up(store: Store, folder: Path) -> tuple[list[tuple[str, bytes]], str]:
    """Save until the disk is full; return what was acknowledged and the complaint."""
    kept: list[tuple[str, bytes]] = []
    for i in range(5000):
        try:
            sha256 = photos.add(store, picture(folder, i)).sha256
            saved = jobs.create(store, draft(f"job {i}", front=sha256))
            kept.append((saved.job_id, document(f"job {i}", "front.png")))
            noise = os.urandom(20_000)
            sheet = papers.Sheet(kind="order", name="a", media_type="a/b", content=noise)
            papers.keep(store, saved.job_id, 1, sheet)
        except StorageError as error:
            return kept, str(error)
    return kept, ""


def test_a_full_disk(tmp_path, tell):
    """A small disk of memory is filled: all that was acknowledged is there after."""
    disk = tmp_path / "disk"
    disk.mkdir()
    mount, umount = shutil.which("mount"), shutil.which("umount")
    if not mount or not umount or os.name == "nt":
        pytest.skip("there is no disk of memory here")
    made = [mount, "-t", "tmpfs", "-o", "size=4m", "tmpfs", str(disk)]
    if subprocess.run(made, capture_output=True, check=False).returncode:  # noqa: S603
        pytest.skip("a disk of memory may not be mounted here")
    try:
        ballast = disk / "ballast"
        ballast.write_bytes(bytes(1_500_000))
        with open_store(empty_place(disk / "home")) as store:
            kept, sentence = _fill_up(store, tmp_path / "pictures")
            assert is_one_sentence(sentence), sentence
            _all_there(store, kept)
            # Photos are refused by the file system, jobs by the database.
            for i in range(3):
                with contextlib.suppress(StorageError):
                    photos.add(store, picture(tmp_path / "pictures", 9000 + i))
                with contextlib.suppress(StorageError):
                    jobs.save(store, kept[0][0], draft(f"{i}"), 1)
            _all_there(store, kept)
            ballast.unlink()  # somebody makes room
            kept.append((jobs.create(store, draft("room")).job_id, document("room")))
            jobs.delete(store, kept.pop(0)[0])
        with open_store(empty_place(disk / "home")) as store:
            _all_there(store, kept)
            assert list(store.home.rglob("*.part")) == []
    finally:
        subprocess.run([umount, str(disk)], check=True)  # noqa: S603
    tell(f"full disk: {len(kept)} jobs acknowledged before it was full, 0 lost")


def _all_there(store: Store, kept: list[tuple[str, bytes]]) -> None:
    assert kept
    for job_id, content in kept:
        stored = jobs.load(store, job_id)
        assert stored.document == content
        jobs.measurable(store, stored)
    assert check(store).problems == ()


def _limited(home: Path, folder: Path) -> tuple[int, str, list[str]]:
    """In a process whose files may not grow: save until one would."""
    import resource
    import signal

    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    with open_store(empty_place(home)) as store:
        resource.setrlimit(resource.RLIMIT_FSIZE, (600_000, 600_000))
        kept, sentence = _fill_up(store, folder)
        _all_there(store, kept)
        return len(kept), sentence, [job_id for job_id, _ in kept]


@pytest.mark.skipif(os.name == "nt", reason="has no such limit")
def test_files_that_may_not_grow(tmp_path):
    """As a quota: refused in one sentence, and everything before it is there."""
    home = tmp_path / "home"
    with get_context("spawn").Pool(1) as pool:
        count, sentence, ids = pool.apply(_limited, (home, tmp_path / "pictures"))

    assert count > 3
    assert is_one_sentence(sentence), sentence
    with open_store(empty_place(home)) as store:
        assert {entry.id for entry in jobs.listed(store)} >= set(ids)
        assert check(store).problems == ()


@contextlib.contextmanager
def as_nobody() -> Iterator[None]:
    """Give up being root, whom no permission stops."""
    is_root = hasattr(os, "geteuid") and os.geteuid() == 0
    if is_root:
        os.seteuid(65534)
    try:
        yield
    finally:
        if is_root:
            os.seteuid(0)


@pytest.fixture
def closed_home() -> Iterator[Place]:
    """Return a home with a job in it that may be read but not written."""
    folder = Path(tempfile.mkdtemp())
    folder.chmod(0o755)
    place = empty_place(folder / "home")
    with open_store(place) as store:
        sha256 = photos.add(store, picture(folder, 1)).sha256
        jobs.create(store, draft(front=sha256))
    for path in (place.home, *place.home.rglob("*")):
        path.chmod(0o555 if path.is_dir() else 0o444)
    yield place
    for path in (place.home, *place.home.rglob("*")):
        path.chmod(0o755)
    shutil.rmtree(folder)


@pytest.mark.skipif(os.name == "nt", reason="has other permissions")
def test_a_home_that_may_not_be_written(closed_home):
    """One sentence names the way out, and nothing is changed."""
    before = {p: p.read_bytes() for p in closed_home.home.rglob("*") if p.is_file()}
    with (
        as_nobody(),
        pytest.raises(StoreUnavailable) as refused,
        open_store(closed_home) as store,
    ):
        jobs.create(store, draft("another"))

    assert is_one_sentence(str(refused.value))
    assert "PHOTOMEASURE_HOME" in str(refused.value)
    after = {p: p.read_bytes() for p in closed_home.home.rglob("*") if p.is_file()}
    assert after == before


@pytest.mark.parametrize("home", ["/proc/none/home", "/dev/null/home"])
def test_a_home_that_cannot_be(home):
    """One sentence names the way out."""
    if not Path("/proc").exists():
        pytest.skip("other paths cannot be here")
    with pytest.raises(StoreUnavailable) as refused:
        open_store(empty_place(Path(home)))

    assert is_one_sentence(str(refused.value))


def test_an_export_to_a_closed_folder(store, tmp_path):
    """Said in one sentence; no part of the file is left."""
    job_id = jobs.create(store, draft()).job_id
    with pytest.raises(StoreUnavailable) as refused:
        write_package(store, job_id, tmp_path / "none" / "job.zip")

    assert is_one_sentence(str(refused.value))


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
    with get_context("spawn").Pool(3) as pool:
        found = pool.starmap(_save_often, [(place, job_id)] * 3)
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
                jobs.delete(store, saved.job_id)
    return 1


def test_programs_that_share_a_photo(place, tmp_path):
    """One deletes the last job with a photo while another adds it: none is left bare."""
    path = picture(tmp_path, 1)
    with get_context("spawn").Pool(3) as pool:
        assert pool.starmap(_use_photo, [(place, path)] * 3) == [1, 1, 1]

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
