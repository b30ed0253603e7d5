"""Whatever goes wrong in the store is found, and named in one sentence."""

from collections.abc import Callable

import pytest

from photomeasure.store import Store, jobs, papers, photos, price_books
from photomeasure.store.check import check
from photomeasure.store.documents import digest, pack
from photomeasure.store.tables import (
    JOBS,
    PAPERS,
    PRICE_BOOKS,
    REVISION_PHOTOS,
    REVISIONS,
)
from tests.photomeasure.run import is_one_sentence
from tests.photomeasure.store.samples import draft, picture


@pytest.fixture
def filled(store, tmp_path) -> Store:
    """Return a store with one of each."""
    sha256 = photos.add(store, picture(tmp_path, 1)).sha256
    saved = jobs.create(store, draft(front=sha256))
    jobs.save(store, saved.job_id, draft("changed", front=sha256), 1)
    sheet = papers.Sheet(kind="result", name="r.json", media_type="a/b", content=b"{}")
    papers.keep(store, saved.job_id, 2, sheet)
    price_books.save(store, "boards.toml", b"a = 1")
    return store


def test_a_sound_store(filled):
    """Everything is looked at and nothing is found."""
    found = check(filled)

    assert found.problems == ()
    assert (found.jobs, found.revisions, found.photos) == (1, 2, 1)
    assert (found.papers, found.price_books, found.unnamed) == (1, 1, 0)


def _run(*statements: object) -> Callable[[Store], None]:
    def damage(store: Store) -> None:
        with store.database.writing() as connection:
            for statement in statements:
                connection.execute(statement)

    return damage


def _lose_photo(store: Store) -> None:
    next(iter(photos.files(store))).unlink()


def _change_photo(store: Store) -> None:
    path = next(iter(photos.files(store)))
    path.write_bytes(path.read_bytes() + b" ")


_OTHER = b'{"photomeasure_job": 1, "elevations": [{"name": "a", "photo": "b.png"}]}'

DAMAGES = [
    ("photo gone", _lose_photo, "is missing"),
    ("photo changed", _change_photo, "was changed"),
    ("job file changed", _run(REVISIONS.update().values(document=pack(_OTHER))), "damaged"),
    ("no job file", _run(REVISIONS.update().values(document=b"")), "is damaged"),
    (
        "other photos",
        _run(REVISIONS.update().values(document=pack(_OTHER), sha256=digest(_OTHER))),
        "other photos",
    ),
    (
        "no JSON",
        _run(REVISIONS.update().values(document=pack(b"{"), sha256=digest(b"{"))),
        "not a job file",
    ),
    ("photo rows gone", _run(REVISION_PHOTOS.delete()), "other photos"),
    (
        "newest revision gone",
        _run(REVISIONS.delete().where(REVISIONS.c.number == 2)),
        "lost its revision 2",
    ),
    ("all revisions gone", _run(REVISIONS.delete()), "lost its revision"),
    ("wrong newest", _run(JOBS.update().values(latest=1)), "revision"),
    ("paper changed", _run(PAPERS.update().values(content=pack(b"x"))), "paper"),
    ("prices changed", _run(PRICE_BOOKS.update().values(sha256="0" * 64)), "price book"),
]


@pytest.mark.parametrize(
    ("damage", "words"), [row[1:] for row in DAMAGES], ids=[row[0] for row in DAMAGES]
)
def test_damage_is_found(filled, damage, words):
    """Every kind, as one sentence with what to do."""
    damage(filled)
    found = [str(problem) for problem in check(filled).problems]

    assert any(words in text for text in found)
    assert all(is_one_sentence(text) for text in found)


def test_every_changed_byte_of_the_database_is_found_or_harmless(filled, tell):
    """Wherever a byte of the file changes: nothing wrong is ever given out."""
    import numpy as np

    from calibration.errors import StorageError
    from photomeasure.store import find_place, open_store

    if not filled.database.is_sqlite:
        pytest.skip("a server's files are not this program's to change")
    job_id = jobs.listed(filled)[0].id
    truth = [jobs.load(filled, job_id, number).document for number in (1, 2)]
    filled.database.forget()
    filled.close()
    path = filled.home / "photomeasure.sqlite3"
    whole = path.read_bytes()
    draw = np.random.default_rng(5)
    refused = same = 0
    for at in draw.integers(0, len(whole), 150):
        changed = bytearray(whole)
        changed[at] ^= int(draw.integers(1, 256))
        path.write_bytes(changed)
        for extra in filled.home.glob("*-wal"):
            extra.unlink()
        try:
            with open_store(find_place(filled.home, {})) as store:
                found = [jobs.load(store, job_id, number).document for number in (1, 2)]
        except StorageError:
            refused += 1
            continue
        assert found == truth
        same += 1
    tell(f"changed bytes of a database: {refused} refused, {same} harmless, 0 wrong jobs")

    assert refused
    assert same
