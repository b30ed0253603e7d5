"""Price books as XLSX: formulas, odd cells, bombs and damage."""

import datetime as dt
import io
import zipfile
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import Workbook

from photomeasure.takeoff.pricing.reader import book_from_bytes
from tests.photomeasure.takeoff.pricing.books import HEADER, outcome, saved, sheet, text
from tests.photomeasure.takeoff.pricing.test_books import GOOD, faults


def with_part(name, content):
    """Return a spreadsheet in which one part is replaced or added."""
    kept = io.BytesIO(sheet([HEADER.split(",")]))
    changed = io.BytesIO()
    with zipfile.ZipFile(kept) as old, zipfile.ZipFile(changed, "w", 8) as new:
        for part in old.infolist():
            if part.filename != name:
                new.writestr(part, old.read(part))
        new.writestr(name, content)
    return changed.getvalue()


ENTITY = '<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "aaaa">]><x>&a;</x>'

HOSTILE = {
    "bomb": ("xl/media/big.bin", b"\0" * 61_000_000, "unpacks to more"),
    "entities": ("xl/workbook.xml", ENTITY, "declares entities"),
    "wide entities": ("xl/workbook.xml", ENTITY.encode("utf-16"), "declares entities"),
    "broken part": ("xl/workbook.xml", b"<x", "damaged or protected"),
}


@pytest.mark.parametrize("case", HOSTILE)
def test_hostile_spreadsheets_are_refused(case):
    """Bombs and entity tricks end before anything is parsed."""
    name, content, said = HOSTILE[case]
    (sentence,) = faults(with_part(name, content), "book.xlsx")

    assert said in sentence


def priced_sheet(price, **cells):
    """Return a workbook whose nail has this price cell."""
    workbook = Workbook()
    for line in text("nail/65,Nail,each,1,,,").splitlines():
        workbook.active.append([cell or None for cell in line.split(",")])
    workbook.active["D3"] = 1
    workbook.active["E3"] = price
    for place, value in cells.items():
        workbook.active[place] = value
    return workbook


def test_a_formula_that_was_never_calculated_is_refused():
    """It has no value that anybody has seen; hours are no exception."""
    (price,) = faults(saved(priced_sheet("=1+1")), "book.xlsx")
    (hours,) = faults(saved(priced_sheet(2, F3="=1+1")), "book.xlsx")

    assert price.startswith("book.xlsx: row 3: price: holds a formula")
    assert hours.startswith("book.xlsx: row 3: hours: holds a formula")


def test_a_formula_counts_by_its_saved_value():
    """The value that the spreadsheet program showed when it saved the file."""
    changed = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(saved(priced_sheet("=5+6")))) as old,
        zipfile.ZipFile(changed, "w") as new,
    ):
        for part in old.infolist():
            content = old.read(part)
            for empty in (b"<v></v>", b"<v />", b"<v/>"):
                content = content.replace(empty, b"<v>11.000000000000002</v>")
            new.writestr(part, content)

    (price,) = book_from_bytes(changed.getvalue(), "book.xlsx").prices
    assert price.price == Decimal(11)


@pytest.mark.parametrize(
    ("value", "said"),
    [(True, "true or false"), ("#REF!", "shows the error"), ("x" * 1001, "1001 letters")],
)
def test_cells_that_are_no_numbers(value, said):
    """What a spreadsheet makes of a typing mistake is told."""
    (sentence,) = faults(saved(priced_sheet(value)), "book.xlsx")

    assert said in sentence


def test_a_date_in_place_of_a_size_is_told():
    """Spreadsheets turn 1-2 into a date without a word."""
    workbook = priced_sheet(2, A3=dt.datetime(2025, 2, 1))  # noqa: DTZ001
    (sentence,) = faults(saved(workbook), "book.xlsx")

    assert "row 3: code: became a date" in sentence


def test_the_first_visible_sheet_is_read():
    """Notes on hidden sheets do not matter."""
    workbook = Workbook()
    workbook.active.append(["notes"])
    workbook.active.sheet_state = "hidden"
    rows = workbook.create_sheet("prices")
    for line in text(GOOD).splitlines():
        rows.append(line.split(","))

    assert len(book_from_bytes(saved(workbook), "b.xlsx").prices) == 1


def test_a_lone_cell_far_below_is_refused():
    """A sheet that claims a million rows is refused, not walked through."""
    workbook = priced_sheet(2)
    workbook.active["A1048576"] = "x"
    (sentence,) = faults(saved(workbook), "book.xlsx")

    assert "has more than 20000 rows" in sentence


SPREADSHEET = sheet([line.split(",") for line in text(GOOD).splitlines()])


@settings(max_examples=80, deadline=None)
@given(place=st.integers(0, len(SPREADSHEET) - 1), value=st.integers(0, 255))
def test_no_damaged_spreadsheet_crashes_the_reader(place, value):
    """One wrong byte anywhere is a book or a refusal."""
    data = bytearray(SPREADSHEET)
    data[place] = value

    assert outcome(bytes(data)).isprintable()
