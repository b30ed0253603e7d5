"""Full disks, quotas, closed folders: refused in one sentence, and nothing is lost."""

import contextlib
import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from calibration.errors import (
    StorageError,
    StoreUnavailable,
)
from photomeasure.store import Place, Store, jobs, open_store, papers, photos
from photomeasure.store.check import check
from photomeasure.store.package import write_package
from tests.photomeasure.run import is_one_sentence
from tests.photomeasure.store.conftest import empty_place
from tests.photomeasure.store.samples import document, draft, in_programs, picture


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
    [(count, sentence, ids)] = in_programs(1, _limited, [(home, tmp_path / "pictures")])

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
