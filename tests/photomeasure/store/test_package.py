"""A job travels as one file and comes back identical; a bad file does no harm."""

import zipfile

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from calibration.errors import InputError, NotInStore
from photomeasure.job.load import load_job
from photomeasure.store import jobs, papers, photos
from photomeasure.store.check import check
from photomeasure.store.jobs import Signature
from photomeasure.store.names import distinct, is_plain, plain_name
from photomeasure.store.package import Duplicate, bring_in_package, write_package
from tests.photomeasure.privacy.test_cleaning import SECRET, telling
from tests.photomeasure.store.samples import TITLE, draft, picture
from tests.photomeasure.store.travelling import SHADES, everything, fill


@pytest.mark.parametrize("with_history", [False, True])
def test_a_job_comes_back_identical(store, other, tmp_path, with_history):
    """Job file, photos, papers, names and times; earlier revisions if asked for."""
    job_id = fill(store, tmp_path)
    package = write_package(store, job_id, tmp_path / "job.zip", with_history=with_history)
    arrived = bring_in_package(other, package)

    numbers = None if with_history else {3}
    assert arrived == jobs.history(store, job_id)[0]
    assert everything(other, job_id) == everything(store, job_id, numbers)
    assert check(other).problems == ()


def test_a_package_depends_on_the_job_alone(store, other, tmp_path):
    """Written twice, or by the office it came to, it is the same file."""
    job_id = fill(store, tmp_path)
    first, second, third = (tmp_path / f"{i}.zip" for i in range(3))
    write_package(store, job_id, first, with_history=True)
    write_package(store, job_id, second, with_history=True)
    bring_in_package(other, first)
    write_package(other, job_id, third, with_history=True)

    assert first.read_bytes() == second.read_bytes() == third.read_bytes()


def test_an_unpacked_package_is_a_job_file_with_photos(store, tmp_path):
    """Nobody needs this program to get at their job."""
    write_package(store, fill(store, tmp_path), tmp_path / "job.zip")
    with zipfile.ZipFile(tmp_path / "job.zip") as archive:
        archive.extractall(tmp_path / "out")
    job = load_job(tmp_path / "out" / "job" / "house.job.json")

    assert job.title == TITLE
    assert all((job.folder / entry.photo).is_file() for entry in job.elevations)


def test_a_job_that_is_there_already(store, other, tmp_path):
    """Equal: nothing happens. Different: refused, kept beside, or put on top."""
    job_id = fill(store, tmp_path)
    package = write_package(store, job_id, tmp_path / "job.zip")
    arrived = bring_in_package(other, package)
    assert bring_in_package(other, package) == arrived
    changed = jobs.save(other, job_id, draft("changed here"), 3)
    with pytest.raises(InputError, match="--as copy or --as revision"):
        bring_in_package(other, package)
    assert jobs.history(other, job_id)[0] == changed

    copy = bring_in_package(other, package, Duplicate.COPY)
    on_top = bring_in_package(other, package, Duplicate.REVISION)
    assert copy.job_id != job_id
    assert (on_top.number, on_top.parent) == (5, 4)
    assert jobs.load(other, job_id).document == jobs.load(store, job_id).document
    assert len(jobs.listed(other)) == 2
    assert check(other).problems == ()


def test_an_existing_file_is_not_overwritten(store, tmp_path):
    """And a job that is not there writes none."""
    target = tmp_path / "job.zip"
    with pytest.raises(NotInStore):
        write_package(store, "0" * 32, target)
    assert not target.exists()
    target.write_bytes(b"mine")
    with pytest.raises(InputError, match="is there already"):
        write_package(store, fill(store, tmp_path), target)

    assert target.read_bytes() == b"mine"


def test_places_travel_only_if_they_were_kept(store, other, tmp_path):
    """What was asked for once stays; nothing else holds a secret."""
    path = tmp_path / "photo.bin"
    path.write_bytes(telling("JPEG"))
    for keep in (False, True):
        sha256 = photos.add(store, path, keep_place=keep).sha256
        job_id = jobs.create(store, draft(f"keep {keep}", a=sha256)).job_id
        package = write_package(store, job_id, tmp_path / f"{keep}.zip")
        arrived = bring_in_package(other, package)

        assert arrived.photos == jobs.load(store, job_id).revision.photos
        assert (SECRET in package.read_bytes()) == keep
        assert photos.get(other, sha256).place_kept == keep


TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=40)
PAPER = st.tuples(
    st.sampled_from(["result", "order", "cut-list"]), TEXT, st.binary(max_size=99)
)


@settings(
    max_examples=25,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(
    titles=st.lists(TEXT, min_size=1, max_size=3),
    shades=st.sets(st.sampled_from(SHADES)),
    sheets=st.lists(PAPER, max_size=3),
    with_history=st.booleans(),
)
def test_any_job_comes_back_identical(  # noqa: PLR0917 - three of them are fixtures
    store, other, tmp_path, titles, shades, sheets, with_history
):
    """Whatever titles, photos and papers it has."""
    named = {
        f"p{shade}": photos.add(store, picture(tmp_path, shade)).sha256
        for shade in sorted(shades)
    }
    last = jobs.create(store, draft(titles[0], **named), Signature(titles[0], titles[-1]))
    for i, title in enumerate(titles[1:], 1):
        last = jobs.save(store, last.job_id, draft(title, float(i), **named), last.number)
    for kind, name, content in sheets:
        sheet = papers.Sheet(
            kind=kind, name=plain_name(name), media_type="a/b", content=content
        )
        papers.keep(store, last.job_id, last.number, sheet)
    package = tmp_path / f"{last.job_id}.zip"
    write_package(store, last.job_id, package, with_history=with_history)
    bring_in_package(other, package)

    numbers = None if with_history else {last.number}
    assert everything(other, last.job_id) == everything(store, last.job_id, numbers)


@given(TEXT | st.text(max_size=300))
def test_plain_names_are_plain(text):
    """Making a name plain twice changes nothing, and it leads nowhere."""
    name = plain_name(text)

    assert is_plain(name)
    assert name
    assert not set(name) & set('/\\:*?"<>|\0')
    assert name not in (".", "..")
    assert len(name.encode("utf-8", "replace")) <= 200
    assert distinct(name, {name.casefold()}).casefold() != name.casefold()
