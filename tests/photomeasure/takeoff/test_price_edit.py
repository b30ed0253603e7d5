"""One price is put into a book, and nothing else of it changes."""

import pytest

from photomeasure.takeoff.model import Item, Section, Unit
from photomeasure.takeoff.pricing import BadPriceBook, UnreadableBook, example_book
from photomeasure.takeoff.pricing.edit import new_book, with_price
from photomeasure.takeoff.pricing.reader import EXAMPLE, book_from_bytes

SEALANT = Item(
    code="sealant/white",
    description="sealant, white",
    unit=Unit.EACH,
    section=Section.TRIMS,
)
LABOUR = Item(
    code="labour/fit",
    description="fit, with a comma",
    unit=Unit.HOUR,
    section=Section.LABOUR,
)


def price_of(data, code):
    return book_from_bytes(data, "own.csv").find(code)


def test_a_new_book_holds_its_first_price():
    """Headings and currency come with it."""
    data = with_price(new_book("usa"), "own.csv", SEALANT, "4.20")
    found = price_of(data, "sealant/white")

    assert book_from_bytes(data, "own.csv").terms.currency == "USD"
    assert (str(found.price), str(found.pack), found.unit) == ("4.20", "1", Unit.EACH)


def test_what_is_sold_in_any_amount_has_no_pack():
    """Hours and metres are not rounded up."""
    data = with_price(new_book("uk"), "own.csv", LABOUR, "31")

    assert price_of(data, "labour/fit").pack is None
    assert price_of(data, "labour/fit").description == "fit, with a comma"


def test_a_price_is_replaced_and_the_rest_stays():
    """Comments, other rows and their order are as before."""
    from importlib.resources import files

    before = (files("photomeasure.takeoff.pricing") / EXAMPLE).read_bytes()
    added = with_price(before, "own.csv", SEALANT, "4.20")
    changed = with_price(added, "own.csv", SEALANT, "5.55")
    old = {p.code: (p.price, p.pack, p.hours, p.waste) for p in example_book().prices}
    new = {
        p.code: (p.price, p.pack, p.hours, p.waste)
        for p in book_from_bytes(changed, "own.csv").prices
    }

    assert str(new.pop("sealant/white")[0]) == "5.55"
    assert new == old
    assert changed.count(b"sealant/white") == added.count(b"sealant/white")
    assert b"Every price, rate and percentage here is invented" in changed


def test_books_with_semicolons_and_decimal_commas():
    """As spreadsheets of half of Europe write them."""
    book = b"code;description;unit;pack;price\nterms/currency;;EUR;;\n"
    data = with_price(book, "own.csv", SEALANT, "4.20")

    assert b";4,20" in data
    assert str(price_of(data, "sealant/white").price) == "4.20"


@pytest.mark.parametrize("price", ["", "free", "-1", "0", "nan", "1e3", "=1+1", "1;2"])
def test_what_is_no_price(price):
    """The book's own reader refuses it with its row."""
    with pytest.raises(BadPriceBook):
        with_price(new_book("uk"), "own.csv", SEALANT, price)


@pytest.mark.parametrize("data", [b"PK\x03\x04 a spreadsheet", b"", b"no,headings\n1,2\n"])
def test_what_is_no_book_to_write_in(data):
    """A spreadsheet is changed where it was made."""
    with pytest.raises(UnreadableBook):
        with_price(data, "own.xlsx", SEALANT, "1")
