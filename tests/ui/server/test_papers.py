"""Papers and price books over the server's routes."""

import pytest

from photomeasure.store import papers, price_books
from photomeasure.store.papers import Sheet
from tests.ui.server.kit import HOSTILE, new_job

BOOK = b"code,description,unit,pack,price\nterms/currency,,GBP,,\nlabour/*,,h,any,30\n"


@pytest.fixture
def job(client, store):
    """Return a job with one paper."""
    made = new_job(client)
    sheet = Sheet(
        kind="order", name="order.pdf", media_type="application/pdf", content=b"%PDF-x"
    )
    papers.keep(store, made, 1, sheet)
    return made


def test_a_paper_is_given_out_as_a_file(client, job):
    """It is a download, never shown as part of the page."""
    answer = client.get(f"/work-on/{job}/papers/1/order/order.pdf")

    assert answer.content == b"%PDF-x"
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.headers["content-disposition"] == 'attachment; filename="order.pdf"'
    assert answer.headers["x-content-type-options"] == "nosniff"


def test_papers_of_another_job_are_not_given_out(client, job):
    """Each job has its own."""
    other = new_job(client)

    assert client.get(f"/work-on/{job}/papers/1/order/order.pdf").status_code == 200
    assert client.get(f"/work-on/{other}/papers/1/order/order.pdf").status_code == 404


@pytest.mark.parametrize(
    "key",
    ["2/order/order.pdf", "1/quotation/order.pdf", "1/order/x.pdf", "x/order/order.pdf"],
)
def test_no_such_paper(client, job, key):
    """A sentence, whatever the address holds."""
    answer = client.get(f"/work-on/{job}/papers/{key}")

    assert answer.status_code == 404
    assert answer.json()["message"].endswith(".")


def send(client, name, content):
    return client.post("/price-books", files={"book": (name, content)})


def test_a_price_book_is_kept_and_its_earlier_states_too(client, store):
    """Sending one of the same name again makes a new state."""
    first = send(client, "own.csv", BOOK)
    send(client, "own.csv", BOOK.replace(b"30", b"31"))

    assert first.json() == {"name": "own.csv", "said": "own.csv is kept: 1 prices."}
    assert [(b.name, b.number) for b in price_books.listed(store)] == [("own.csv", 2)]


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("own.csv", b""),
        ("own.csv", b"\x00\x01"),
        ("own.csv", BOOK.replace(b"30", b"-30")),
        ("own.xlsx", b"PK\x03\x04 no zip"),
        (HOSTILE, b"<html>"),
    ],
)
def test_what_is_no_price_book_is_refused(client, store, name, content):
    """In words, and nothing is kept."""
    answer = send(client, name, content)

    assert answer.status_code == 422
    assert answer.json()["message"].endswith(".")
    assert price_books.listed(store) == []


def test_hostile_names_of_books_become_plain(client, store):
    """A book's name leads nowhere."""
    send(client, "../../" + HOSTILE + ".csv", BOOK)
    (book,) = price_books.listed(store)

    assert not set('<>"/\\') & set(book.name)
