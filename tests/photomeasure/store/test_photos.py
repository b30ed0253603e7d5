"""Photos are kept once, checked when read, and never named without being there."""

import hashlib

import pytest

from calibration.errors import (
    NotInStore,
    StoreDamaged,
    StoreUnavailable,
    UnreadablePhoto,
)
from calibration.photo import read_header
from photomeasure.store import jobs, open_store, photos
from photomeasure.store.check import check
from tests.photomeasure.privacy.test_cleaning import SECRET, telling
from tests.photomeasure.store.samples import draft, picture

DAY_US = 24 * 3600 * 10**6


def test_a_photo_is_kept_under_its_hash(store, tmp_path):
    """Name and content agree; what is known of it is kept beside."""
    photo = photos.add(store, picture(tmp_path, 1))

    assert hashlib.sha256(photo.path.read_bytes()).hexdigest() == photo.sha256
    assert photo.path.name == photo.sha256
    assert (photo.format, photo.width_px, photo.height_px) == ("PNG", 40, 30)
    assert photo.size_bytes == photo.path.stat().st_size
    assert photos.get(store, photo.sha256) == photo


def test_equal_photos_are_one(store, tmp_path):
    """However they are called."""
    first = photos.add(store, picture(tmp_path, 1, "a.png"))
    second = photos.add(store, picture(tmp_path, 1, "b.png"))

    assert first == second
    assert len(list(photos.files(store))) == 1


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "TIFF", "HEIC"])
def test_places_go_unless_they_are_asked_for(store, tmp_path, kind):
    """The default copy holds no secret; the whole one is the file."""
    path = tmp_path / "photo.bin"
    path.write_bytes(telling(kind))
    clean, whole = (photos.add(store, path, keep_place=keep) for keep in (False, True))

    assert SECRET not in clean.path.read_bytes()
    assert whole.path.read_bytes() == path.read_bytes()
    assert (clean.place_kept, whole.place_kept) == (False, True)
    assert read_header(clean.path).lens == read_header(path).lens


def test_only_pictures_are_kept(store, tmp_path):
    """Anything else is refused before it is copied."""
    path = tmp_path / "photo.jpg"
    path.write_bytes(b"\xff\xd8\xff\xe0<html>")
    with pytest.raises(UnreadablePhoto):
        photos.add(store, path)

    assert list(photos.files(store)) == []


def test_a_changed_copy_is_never_given_out(store, tmp_path):
    """One bit is enough; adding the photo again mends it."""
    path = picture(tmp_path, 1)
    photo = photos.add(store, path)
    damaged = bytearray(photo.path.read_bytes())
    damaged[-20] ^= 1
    photo.path.write_bytes(damaged)

    with pytest.raises(StoreDamaged, match=r"photo 'front\.png': was changed"):
        photos.verified_path(store, photo.sha256, "front.png")
    photos.add(store, path)
    assert photos.verified_path(store, photo.sha256, "front.png") == photo.path


def test_a_job_with_a_lost_photo_is_not_measured(store, tmp_path):
    """It is said which photo is missing."""
    sha256 = photos.add(store, picture(tmp_path, 1)).sha256
    stored = jobs.load(store, jobs.create(store, draft(front=sha256)).job_id)
    photos.place_of(store, sha256).unlink()

    with pytest.raises(StoreDamaged, match="is missing"):
        jobs.measurable(store, stored)


def test_forgotten_photos_go_after_a_day(place, tmp_path):
    """A page that was closed leaves nothing for good; what a job names stays."""
    with open_store(place) as store:
        used, forgotten = (photos.add(store, picture(tmp_path, i)).sha256 for i in range(2))
        jobs.create(store, draft(front=used))
        assert photos.sweep(store) == 0
        now = store.clock()
    with open_store(place, clock=lambda: now + DAY_US + 10**6) as store:
        assert photos.sweep(store) == 1
        assert [path.name for path in photos.files(store)] == [used]
        with pytest.raises(NotInStore):
            photos.get(store, forgotten)


def test_traces_of_a_crash_are_tidied(place, tmp_path):
    """Unfinished files and files that no row names, once they are a day old."""
    with open_store(place) as store:
        used = photos.add(store, picture(tmp_path, 1)).sha256
        jobs.create(store, draft(front=used))
        folder = photos.place_of(store, used).parent
        (folder / ("f" * 64)).write_bytes(b"unnamed")
        (folder / f"{used}.0.part").write_bytes(b"unfinished")
        assert photos.tidy(store) == 0
        found = check(store)
        now = store.clock()
    with open_store(place, clock=lambda: now + DAY_US + 10**6) as store:
        assert photos.tidy(store) == 2
        assert [path.name for path in photos.files(store)] == [used]

    assert found.problems == ()
    assert found.unnamed == 1


def test_a_sweep_that_is_stopped_leaves_nothing_bare(store, tmp_path, monkeypatch):
    """The file may be gone and its row not: no job names it, and adding it mends it."""
    path = picture(tmp_path, 1)
    sha256 = photos.add(store, path).sha256
    remove = photos._remove

    def stopped(file):
        remove(file)
        raise StoreUnavailable("disk", "is full", "make room")

    monkeypatch.setattr(photos, "_remove", stopped)
    with pytest.raises(StoreUnavailable):
        photos.sweep(store, [sha256])
    monkeypatch.undo()

    assert not photos.place_of(store, sha256).exists()
    assert check(store).problems == ()
    with pytest.raises(NotInStore):
        jobs.create(store, draft(front=sha256))
    saved = jobs.create(store, draft(front=photos.add(store, path).sha256))
    jobs.measurable(store, jobs.load(store, saved.job_id))
    assert check(store).problems == ()


def test_a_photo_swept_while_it_is_added_again_is_written_again(store, tmp_path):
    """A sweep between writing the file and naming it costs nothing."""
    path = picture(tmp_path, 1)
    put, calls = photos._put, []

    def swept_between(store, sha256, content):
        put(store, sha256, content)
        if not calls:
            photos.place_of(store, sha256).unlink()
        calls.append(sha256)

    photos._put = swept_between
    try:
        photo = photos.add(store, path)
    finally:
        photos._put = put

    assert len(calls) == 2
    assert photos.verified_path(store, photo.sha256, "a") == photo.path
