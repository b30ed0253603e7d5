"""Price books of all kinds: what is read, and what is said of what is not."""

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calibration.errors import InputError
from photomeasure.takeoff.model import Unit
from photomeasure.takeoff.pricing import BadPriceBook, UnreadableBook, read_book
from photomeasure.takeoff.pricing.cells import MAX_BYTES, MAX_ROWS
from photomeasure.takeoff.pricing.errors import MAX_FAULTS
from photomeasure.takeoff.pricing.reader import book_from_bytes
from tests.photomeasure.run import is_one_sentence
from tests.photomeasure.takeoff.pricing.books import (
    CURRENCY,
    HEADER,
    book,
    outcome,
    sheet,
    text,
)

GOOD = "nail/65,Nail,each,100,13.75,0.1,5"


def faults(data, name="book.csv"):
    """Return the sentences of a book that must be refused."""
    given_bytes = data if isinstance(data, bytes) else data.encode()
    with pytest.raises(InputError) as caught:
        book_from_bytes(given_bytes, name)
    error = caught.value
    sentences = error.sentences if isinstance(error, BadPriceBook) else (str(error),)
    assert all(map(is_one_sentence, sentences)), sentences
    return sentences


def test_a_row_is_read_as_written():
    """Every column of a good row reaches the price."""
    (price,) = book(GOOD).prices

    assert (price.code, price.description, price.unit) == ("nail/65", "Nail", Unit.EACH)
    assert (price.pack, price.price) == (Decimal(100), Decimal("13.75"))
    assert (price.hours, price.waste, price.row) == (Decimal("0.1"), Decimal("0.05"), 3)


FORMS = {
    "mark": b"\xef\xbb\xbf" + text(GOOD).encode(),
    "utf-16": text(GOOD).encode("utf-16"),
    "windows lines": text(GOOD).replace("\n", "\r\n").encode(),
    "semicolons": text(GOOD).replace(",", ";").encode(),
    "decimal comma": text(GOOD).replace(",", ";").replace("13.75", "13,75").encode(),
    "tabs": text(GOOD).replace(",", "\t").encode(),
    "capitals": text(GOOD.replace("nail/65", " Nail/65 ")).upper().encode(),
    "comments": ("# mine\n\n" + text(GOOD)).encode(),
}


@pytest.mark.parametrize("form", FORMS)
def test_the_csv_of_any_spreadsheet_is_read(form):
    """Marks, encodings, separators and line ends of the usual programs."""
    (price,) = book_from_bytes(FORMS[form], "book.csv").prices

    assert (price.code, price.price) == ("nail/65", Decimal("13.75"))


def test_xlsx_gives_the_same_book_as_csv():
    """The same rows as a spreadsheet, numbers as numbers."""
    rows = [line.split(",") for line in text(GOOD).splitlines()]
    rows[2][3:] = [100, 13.75, 0.1, 5]

    assert book_from_bytes(sheet(rows), "book.csv") == book(GOOD)


BAD_ROWS = {
    "no unit": ("nail/65,Nail,,1,1,,", "unit: is missing"),
    "wrong unit": ("nail/65,Nail,box,1,1,,", '"box" is no unit; use one of each, m'),
    "negative": ("nail/65,Nail,each,1,-1,,", "-1 is negative"),
    "zero": ("nail/65,Nail,each,1,0,,", "price: is 0; write a number above it"),
    "zero pack": ("nail/65,Nail,each,0,1,,", "pack: is 0"),
    "no pack": ("nail/65,Nail,each,,1,,", "pack: is missing"),
    "no pack of what is included": ("nail/65,Nail,each,,included,,", "pack: is missing"),
    "no price": ("nail/65,Nail,each,1,,,", "price: is missing"),
    "words": ("nail/65,Nail,each,1,ask,,", '"ask" is not a number'),
    "sign": ("nail/65,Nail,each,1,£3,,", '"£3" is not a number'),
    "thousands": ('nail/65,Nail,each,1,"1,234.50",,', "is not a number"),
    "two ways": ('nail/65,Nail,each,1,"1,250",,', "can be read as 1.250 or as 1250"),
    "not a number": ("nail/65,Nail,each,1,NaN,,", "is not a number"),
    "endless": ("nail/65,Nail,each,1,1e999999999,,", "is not a number"),
    "huge": ("nail/65,Nail,each,1,99999999999,,", "beyond all prices"),
    "too fine": ("nail/65,Nail,each,1,1.2345678,,", "more than 6 decimals"),
    "foreign digits": ("nail/65,Nail,each,1,١٢,,", "is not a number"),
    "no code": (",Nail,each,1,1,,", "code: is missing"),
    "blank in code": ("nail 65,Nail,each,1,1,,", '"nail 65" is no code'),
    "star in word": ("nail/6*,Nail,each,1,1,,", "is no code"),
    "waste": ("nail/65,Nail,each,1,1,,101", "waste: is 101; write at most 100"),
    "hours": ("nail/65,Nail,each,1,1,-2,", "-2 is negative"),
    "unknown term": ("terms/discount,x,percent,,5,,", "is no term"),
    "term's unit": ("terms/tax,VAT,each,,20,,", '"each" is not its unit; write percent'),
    "margin": ("terms/margin-on-price,x,percent,,100,,", "write at most 95"),
    "empty rate": ("terms/tax,VAT,percent,,,,", "price: is missing; write the rate"),
    "second currency": (CURRENCY, "is in row 2 too"),
    "long text": (f"nail/65,{'x' * 2000},each,1,1,,", "holds 2000 letters"),
}


@pytest.mark.parametrize("case", BAD_ROWS)
def test_a_bad_row_is_told_with_its_number(case):
    """One sentence: row, column, what is wrong and what to do."""
    row, said = BAD_ROWS[case]
    (sentence,) = faults(text(row, "screw/1,Screw,each,1,1,,"))

    assert sentence.startswith("book.csv: row 3")
    assert said in sentence


def test_a_point_before_three_digits_is_doubted_beside_decimal_commas():
    """Where commas are decimal, 1.250 may be twelve hundred and fifty."""
    semicolons = text("nail/65,Nail,each,1,1.250,,").replace(",", ";")
    (sentence,) = faults(semicolons)

    assert "can be read as 1.250 or as 1250" in sentence
    assert book("nail/65,Nail,each,1,1.250,,").prices[0].price == Decimal("1.25")


def test_all_faults_of_a_book_are_told_at_once():
    """The whole list, in the file's order, so that one round of correcting is enough."""
    said = faults(
        text(GOOD, GOOD, "a,b,each,1,-1,,", "terms/tax,VAT,percent,,no,,", "c,,kg,1,x,,")
    )

    places = ["row 4: code", "row 5: price", "row 6: price", "row 7: price"]
    assert len(said) == 4
    assert all(place in sentence for place, sentence in zip(places, said, strict=True))
    assert "has a price in row 3 already" in said[0]


def test_many_faults_are_capped():
    """A wrong file is not told row by row to its end."""
    said = faults(text(*(f"i/{n},x,each,1,-1,," for n in range(500))))

    assert len(said) == MAX_FAULTS + 1
    assert "475 more rows are wrong" in said[-1]


def test_a_book_says_its_currency_and_one_margin():
    """Neither is guessed."""
    rows = ["terms/margin-on-cost,m,percent,,5,,", "terms/margin-on-price,m,percent,,5,,"]
    (two,) = faults(text(GOOD, *rows))
    (none,) = faults(f"{HEADER}\n{GOOD}\n")

    assert "book.csv: rows 4 and 5: state a margin on cost and one on price" in two
    assert "names no currency" in none


UNUSABLE = {
    "empty": (b"", "is empty"),
    "blank": (b"\n,,\n\n", "is empty"),
    "only header": (text().encode(), "holds no price"),
    "no heading": (b"code,price\nx,1\n", "lacks the headings description, unit, pack"),
    "heading twice": (f"{HEADER},price\n".encode(), 'has "price" twice'),
    "latin 1": (
        text("a,Tür,each,1,1,,").encode("latin-1"),
        "row 3: is not written in UTF-8",
    ),
    "binary": (b"code\0\1\2", "is no text"),
    "open quote": (text('a,"b,each,1,1,,').encode(), "unfinished quotation mark"),
    "too long": (b"x" * (MAX_BYTES + 1), "is larger than 5 MB"),
    "old": (b"\xd0\xcf\x11\xe0" + b"\0" * 600, "old or a protected spreadsheet"),
    "cut zip": (sheet([["a"]])[:300], "damaged or protected"),
    "zip of nothing": (b"PK\x03\x04" + b"\0" * 60, "damaged or protected"),
    "rows": ((HEADER + "\n" * (MAX_ROWS + 5) + "x").encode(), "has more than 20000 rows"),
}


@pytest.mark.parametrize("case", UNUSABLE)
def test_a_file_that_is_no_price_book_is_refused(case):
    """One sentence on the whole file."""
    data, said = UNUSABLE[case]
    (sentence,) = faults(data)

    assert said in sentence


def test_a_file_that_is_not_there_is_refused(tmp_path):
    """Missing files, folders and impossible names."""
    for path in (tmp_path / "none.csv", tmp_path, tmp_path / "a\0b"):
        with pytest.raises(UnreadableBook) as caught:
            read_book(path)
        assert is_one_sentence(str(caught.value))


@settings(max_examples=150, deadline=None)
@given(st.binary(max_size=300) | st.text(max_size=300).map(str.encode))
def test_no_bytes_crash_the_reader(data):
    """Anything is a book or a refusal."""
    for start in (b"", b"PK\x03\x04", f"{HEADER}\n".encode()):
        assert outcome(start + data).isprintable()
