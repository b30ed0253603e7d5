"""Jobs come back as they were saved, whoever saves what when."""

import json
from datetime import timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from calibration.errors import InputError, JobChangedElsewhere, NotInStore
from photomeasure.job.load import load_job
from photomeasure.measure import measure_job
from photomeasure.result_json import job_json
from photomeasure.store import jobs, open_store, photos
from photomeasure.store.check import check
from photomeasure.store.documents import make_draft
from photomeasure.store.intake import bring_in_job_file
from photomeasure.store.jobs import Signature
from tests.photomeasure.house import front, job, write_job, write_photo
from tests.photomeasure.store.samples import TITLE, document, draft, picture
from tests.photomeasure.test_bad_files import NASTY

ANN, BOB = Signature("Ann", "first look"), Signature("Bob")


def test_a_job_comes_back_as_it_was_saved(store):
    """Byte for byte, with who and when."""
    saved = jobs.create(store, draft(), ANN)
    found = jobs.load(store, saved.job_id)

    assert found.document == document()
    assert found.revision == saved
    assert (saved.number, saved.parent, saved.title) == (1, None, TITLE)
    assert (saved.saved_by, saved.note) == ("Ann", "first look")


def test_every_saving_is_a_revision(store):
    """Old ones stay readable, the newest is the job."""
    first = jobs.create(store, draft(), ANN)
    second = jobs.save(store, first.job_id, draft("changed"), 1, BOB)

    assert (second.number, second.parent, second.saved_by) == (2, 1, "Bob")
    assert jobs.load(store, first.job_id).document == document("changed")
    assert jobs.load(store, first.job_id, 1).document == document()
    assert jobs.history(store, first.job_id) == [second, first]
    assert [entry.title for entry in jobs.listed(store)] == ["changed"]


def test_saving_what_is_there_already_makes_no_revision(store):
    """A page that saves after every click does not fill the disk."""
    first = jobs.create(store, draft(), ANN)

    assert jobs.save(store, first.job_id, draft(), 1, BOB) == first


def test_two_people_on_one_job(store):
    """The second is told who was faster; nothing of the first is lost."""
    first = jobs.create(store, draft(), ANN)
    jobs.save(store, first.job_id, draft("by Bob"), 1, BOB)
    with pytest.raises(JobChangedElsewhere) as refused:
        jobs.save(store, first.job_id, draft("by Ann"), 1, ANN)

    assert "Bob has saved revision 2 since" in str(refused.value)
    assert (refused.value.base, refused.value.latest) == (1, 2)
    assert jobs.load(store, first.job_id).document == document("by Bob")


def test_an_earlier_revision_comes_back_as_the_newest(store):
    """What lay between stays in the history."""
    first = jobs.create(store, draft(), ANN)
    jobs.save(store, first.job_id, draft("worse"), 1, BOB)
    third = jobs.restore(store, first.job_id, 1, Signature("Ann", "Bob's was worse"))

    assert (third.number, third.parent, third.restored_from) == (3, 2, 1)
    assert jobs.load(store, first.job_id).document == document()
    assert [r.number for r in jobs.history(store, first.job_id)] == [3, 2, 1]
    assert jobs.restore(store, first.job_id, 3) == third


def test_times_grow_though_the_clock_goes_backwards(place):
    """A battery that is empty sets a laptop's clock to 1970."""
    with open_store(place) as store:
        first = jobs.create(store, draft(), ANN)
    with open_store(place, clock=lambda: 0) as store:
        second = jobs.save(store, first.job_id, draft("b"), 1)
        third = jobs.save(store, first.job_id, draft("c"), 2)

    assert second.saved_at - first.saved_at == timedelta(microseconds=1)
    assert third.saved_at - second.saved_at == timedelta(microseconds=1)


def test_jobs_that_are_not_there(store):
    """Each way to ask for one gets the same answer."""
    known = jobs.create(store, draft(), ANN).job_id
    unknown = "0" * 32
    for ask in (
        lambda: jobs.load(store, unknown),
        lambda: jobs.load(store, known, 7),
        lambda: jobs.save(store, unknown, draft(), 1),
        lambda: jobs.restore(store, known, 7),
        lambda: jobs.history(store, unknown),
        lambda: jobs.delete(store, unknown),
        lambda: jobs.find(store, "zz"),
        lambda: jobs.find(store, ""),
        lambda: jobs.find(store, "%"),
    ):
        with pytest.raises(NotInStore):
            ask()
    assert jobs.find(store, known[:6].upper()).id == known


def test_an_id_that_begins_several_jobs(store):
    """One more letter is asked for."""
    ids = [jobs.create(store, draft(str(i)), ANN).job_id for i in range(17)]
    shared = next(a[0] for a in ids if sum(b[0] == a[0] for b in ids) > 1)

    with pytest.raises(NotInStore, match="several jobs"):
        jobs.find(store, shared)


@pytest.mark.parametrize(
    ("search", "found"),
    [
        ("", {"Müller, 12 High Street", "O'Brien 100% roof_line", "A\\B"}),
        ("muller", {"Müller, 12 High Street"}),
        ("STREET mü", {"Müller, 12 High Street"}),
        ("%", {"O'Brien 100% roof_line"}),
        ("_", {"O'Brien 100% roof_line"}),
        ("\\", {"A\\B"}),
        ("'", {"O'Brien 100% roof_line"}),
        ("'; DROP TABLE jobs; --", set()),
        ("high low", set()),
    ],
)
def test_search(store, search, found):
    """All words, in any order, whatever signs they hold."""
    for title in ("Müller, 12 High Street", "O'Brien 100% roof_line", "A\\B"):
        jobs.create(store, draft(title))

    assert {entry.title for entry in jobs.listed(store, search)} == found


def test_the_last_saved_job_is_listed_first(store):
    """What somebody works on is on top."""
    ids = [jobs.create(store, draft(str(i))).job_id for i in range(3)]
    jobs.save(store, ids[0], draft("again"), 1)

    assert [entry.id for entry in jobs.listed(store)] == [ids[0], ids[2], ids[1]]
    assert [entry.id for entry in jobs.listed(store, limit=1)] == [ids[0]]


@pytest.mark.parametrize("title", [*NASTY, "'; DROP TABLE jobs; --", "zero\0byte", ""])
def test_odd_titles_are_only_text(store, title):
    """Markup, SQL and control signs are kept in the job and harmless in the list."""
    saved = jobs.create(store, draft(title), Signature(title, title))

    assert jobs.load(store, saved.job_id).document == document(title)
    entry = jobs.listed(store)[0]
    assert entry.title.isprintable()
    assert entry.saved_by.isprintable()


TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=60)


@settings(
    max_examples=60,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(title=TEXT, note=TEXT, remark=st.floats(0, 100), indent=st.integers(0, 4))
def test_whatever_is_a_job_comes_back(store, title, note, remark, indent):
    """Any title, note and layout of the file."""
    content = json.dumps(
        json.loads(document(title, remark=remark)), indent=indent, ensure_ascii=False
    ).encode()
    saved = jobs.create(store, make_draft(content, {}), Signature("x", note))

    assert jobs.load(store, saved.job_id).document == content
    assert jobs.history(store, saved.job_id) == [saved]


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "is empty"),
        (b"{", "cut off"),
        (b"[" * 100_000, "nests brackets"),
        (b'{"photomeasure_job": 2}', "newer program"),
        (b'{"photomeasure_job": NaN, "elevations": [1]}', "photomeasure_job"),
        (document(TITLE, "../front.jpg"), "plain file name"),
        (document(TITLE, "front.jpg"), "is not in the store"),
        (document(TITLE, "a.jpg", "A.jpg"), "capitals"),
    ],
)
def test_what_is_no_job_is_not_saved(content, words):
    """The job file is checked before anything is written."""
    with pytest.raises(InputError, match=words):
        make_draft(content, {"a.jpg": "0" * 64, "A.jpg": "0" * 64})


def test_a_job_with_a_photo_that_is_not_kept(store):
    """No revision may name what is not there."""
    with pytest.raises(NotInStore, match=r"front\.png"):
        jobs.create(store, draft(front="0" * 64))

    assert jobs.listed(store) == []


def test_a_stored_job_measures_as_its_file(store, tmp_path):
    """The copies in the store give the same lengths, cautions and all."""
    write_photo(tmp_path)
    path = write_job(tmp_path, job({**front(), "photo": "front.jpg"}))
    saved = bring_in_job_file(store, path, ANN)
    stored = jobs.load(store, saved.job_id)

    assert stored.document == path.read_bytes()
    measured = job_json(measure_job(jobs.measurable(store, stored)))
    assert measured == job_json(measure_job(load_job(path)))


def test_photos_named_by_paths_get_plain_names(store, tmp_path):
    """How somebody's folders are called does not travel with the job."""
    for folder in ("a", "b"):
        (tmp_path / folder).mkdir()
        write_photo(tmp_path / folder)
    write_photo(tmp_path)
    names = (str(tmp_path / "a" / "front.jpg"), "front.jpg", "b/../b/front.jpg")
    entries = [{**front(), "name": n[-20:], "photo": n} for n in names]
    saved = bring_in_job_file(store, write_job(tmp_path, job(*entries)), ANN)

    assert [name for name, _ in saved.photos] == [
        "front-2.jpg",
        "front-3.jpg",
        "front.jpg",
    ]
    content = jobs.load(store, saved.job_id).document
    assert str(tmp_path).encode() not in content
    assert json.loads(content)["elevations"][1]["photo"] == "front.jpg"


def test_a_job_file_with_a_missing_photo_is_not_saved(store, tmp_path):
    """One sentence names it."""
    path = write_job(tmp_path, job({**front(), "photo": "gone.jpg"}))
    with pytest.raises(InputError, match=r"gone\.jpg: there is no such file"):
        bring_in_job_file(store, path, ANN)

    assert jobs.listed(store) == []


def test_deleting_deletes(store, tmp_path):
    """Rows, history and photos go; other jobs and their photos stay."""
    only, both = (photos.add(store, picture(tmp_path, i)).sha256 for i in (1, 2))
    gone = jobs.create(store, draft("gone", a=only, b=both))
    jobs.save(store, gone.job_id, draft("gone again", b=both), 1)
    stays = jobs.create(store, draft("stays", b=both))
    jobs.delete(store, gone.job_id)

    assert [entry.id for entry in jobs.listed(store)] == [stays.job_id]
    with pytest.raises(NotInStore):
        jobs.load(store, gone.job_id)
    assert [path.name for path in photos.files(store)] == [both]
    assert check(store).problems == ()


def test_nothing_of_a_deleted_job_can_be_read_back(store, tmp_path):
    """The bytes are gone from every file, while the store is still open."""
    if not store.database.is_sqlite:
        pytest.skip("a server's files are not this program's to read")
    secret = "Zebedee Unlikely of Nowhere Road"  # noqa: S105 - an invented customer
    sha256 = photos.add(store, picture(tmp_path, 1)).sha256
    job_id = jobs.create(store, draft(secret, a=sha256), Signature(secret, secret)).job_id
    jobs.save(store, job_id, draft(secret + " 2", a=sha256), 1)
    packed = [_packed(store, job_id, number) for number in (1, 2)]
    searched = [secret.encode(), secret.casefold().encode(), job_id.encode(), *packed]

    assert all(any(text in data for data in _files(store)) for text in searched)
    jobs.delete(store, job_id)
    for data in _files(store):
        assert not any(text in data for text in searched)


def _packed(store, job_id, number):
    """Return the beginning of a revision as it is coded in the database."""
    from photomeasure.store.documents import pack

    return pack(jobs.load(store, job_id, number).document)[:64]


def _files(store):
    return [p.read_bytes() for p in sorted(store.home.rglob("*")) if p.is_file()]
