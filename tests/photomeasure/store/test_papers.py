"""Papers hang on their revision; price books keep every state."""

import pytest

from calibration.errors import InputError, JobChangedElsewhere, NotInStore, StoreDamaged
from photomeasure.store import jobs, papers, price_books
from photomeasure.store.tables import PAPERS
from tests.photomeasure.store.samples import draft


def sheet(content: bytes = b"%PDF invented", **changes: str) -> papers.Sheet:
    """Return a quotation."""
    words = {"kind": "quotation", "name": "offer.pdf", "media_type": "application/pdf"}
    return papers.Sheet(**{**words, **changes}, content=content)


def test_papers_come_back(store):
    """With the revision they show."""
    job_id = jobs.create(store, draft()).job_id
    kept = papers.keep(store, job_id, 1, sheet(), "Ann")
    jobs.save(store, job_id, draft("b"), 1)
    later = papers.keep(store, job_id, 2, sheet(b"other"), "Bob")

    assert papers.of_job(store, job_id) == [later, kept]
    assert papers.content(store, kept) == b"%PDF invented"
    assert papers.content(store, later) == b"other"


def test_a_paper_of_one_revision_is_replaced_by_a_new_one(store):
    """The same revision gives the same quotation."""
    job_id = jobs.create(store, draft()).job_id
    papers.keep(store, job_id, 1, sheet(b"a"))
    kept = papers.keep(store, job_id, 1, sheet(b"b"))

    assert papers.of_job(store, job_id) == [kept]
    assert papers.content(store, kept) == b"b"


def test_papers_go_with_their_job(store):
    """And cannot be made for a revision that is not there."""
    job_id = jobs.create(store, draft()).job_id
    kept = papers.keep(store, job_id, 1, sheet())
    with pytest.raises(NotInStore):
        papers.keep(store, job_id, 2, sheet())
    jobs.delete(store, job_id)

    assert papers.of_job(store, job_id) == []
    with pytest.raises(NotInStore):
        papers.content(store, kept)


@pytest.mark.parametrize(
    "changes",
    [
        {"name": "../offer.pdf"},
        {"name": "a/b"},
        {"name": "nul"},
        {"name": ""},
        {"kind": "Quotation"},
        {"kind": "../x"},
        {"kind": ""},
        {"kind": "x" * 51},
        {"media_type": "a\nb"},
    ],
)
def test_papers_lead_nowhere(changes):
    """Kind and name become folders and files of a package."""
    with pytest.raises(InputError, match="paper"):
        sheet(**changes)


def test_a_damaged_paper_is_never_given_out(store):
    """Its hash is checked when it is read."""
    job_id = jobs.create(store, draft()).job_id
    kept = papers.keep(store, job_id, 1, sheet())
    with store.database.writing() as connection:
        connection.execute(PAPERS.update().values(content=b"x\x9cnonsense"))

    with pytest.raises(StoreDamaged):
        papers.content(store, kept)


def test_price_books_keep_every_state(store):
    """An old quotation can be explained; two people are told of each other."""
    first = price_books.save(store, "boards.toml", b"a = 1", who="Ann")
    second = price_books.save(store, "boards.toml", b"a = 2", 1, "Bob")
    price_books.save(store, "another.toml", b"")
    with pytest.raises(JobChangedElsewhere, match="Bob has saved revision 2"):
        price_books.save(store, "boards.toml", b"a = 3", 1, "Ann")

    assert [book.name for book in price_books.listed(store)] == [
        "another.toml",
        "boards.toml",
    ]
    assert price_books.load(store, "boards.toml") == (second, b"a = 2")
    assert price_books.load(store, "boards.toml", 1) == (first, b"a = 1")
    assert price_books.save(store, "boards.toml", b"a = 2", 2) == second


def test_price_books_that_are_not_there(store):
    """And names that lead elsewhere."""
    price_books.save(store, "boards.toml", b"a = 1")
    price_books.delete(store, "boards.toml")
    for ask in (price_books.load, price_books.delete):
        with pytest.raises(NotInStore):
            ask(store, "boards.toml")
    with pytest.raises(InputError, match="plain"):
        price_books.save(store, "../boards.toml", b"")
    with pytest.raises(JobChangedElsewhere):
        price_books.save(store, "boards.toml", b"", 1)
