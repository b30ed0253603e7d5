"""Money adds up, packs are whole, and what has no price is named."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from photomeasure.takeoff.model import Section, Unit
from photomeasure.takeoff.pricing import (
    MarginBasis,
    Price,
    PriceBook,
    Terms,
    estimate,
    estimate_without_prices,
    example_book,
    in_words,
    rounded,
    shared_out,
)
from tests.photomeasure.takeoff.pricing.books import book
from tests.photomeasure.takeoff.sample_takeoff import quantity, sample_takeoff

CENT = Decimal("0.01")


def takeoff(*quantities):
    """Return the sample with other quantities."""
    return replace(sample_takeoff(), quantities=quantities)


def nails(amount, code="nail/65", unit=Unit.EACH):
    """Return a quantity of nails."""
    return quantity(code, "Nail", amount, Section.FIXINGS, unit=unit)


def row(code="nail/65", pack="100", price="13.75", **more):
    """Return one price."""
    facts = {"unit": Unit.EACH, "description": "Nail", **more}
    held = None if pack is None else Decimal(pack)
    return Price(code=code, pack=held, price=Decimal(price), **facts)


def priced(quantities, *rows, **terms):
    """Price quantities by rows."""
    prices = PriceBook(name="b", terms=Terms(currency="GBP", **terms), prices=rows)
    return estimate(takeoff(*quantities), prices)


def test_totals_are_those_of_a_pocket_calculator():
    """Three lines, overhead, margin on price and tax, each sum done by hand."""
    done = priced(
        [nails("130"), nails("7.66", "vent", Unit.METRE), nails("3.14", "fit", Unit.HOUR)],
        row(),
        row("vent", "1", "2.35", unit=Unit.METRE, hours=Decimal("0.04")),
        row("fit", None, "38.20", unit=Unit.HOUR),
        labour_hour=Decimal(34),
        overhead=Decimal("0.09"),
        margin=Decimal("0.18"),
        margin_basis=MarginBasis.PRICE,
        tax=Decimal("0.2"),
    )

    # 2 x 13.75 = 27.50; 8 x 2.35 = 18.80 and 7.66 x 0.04 x 34 = 10.4176;
    # 3.14 x 38.20 = 119.948.
    assert [charge.cost for charge in done.charges] == [
        Decimal("27.50"),
        Decimal("29.22"),
        Decimal("119.95"),
    ]
    totals = done.totals
    assert totals.cost == Decimal("176.67")
    assert totals.overhead == Decimal("15.90")  # 15.9003
    assert totals.margin == Decimal("42.27")  # 192.57 x 18 / 82 = 42.2715
    assert totals.net == Decimal("234.84")
    assert totals.tax == Decimal("46.97")  # 46.968
    assert totals.total == Decimal("281.81")


def test_the_example_book_prices_the_sample_house_completely():
    """Every code of the sample has a row in the shipped example."""
    done = estimate(sample_takeoff(), example_book())

    assert done.gaps == ()
    assert done.totals.total > 0
    assert done.terms.invented


def test_packs_are_rounded_up_once_for_the_whole_job():
    """Twice 60 nails are two boxes of 100, not one and not the sum of two roundings."""
    done = priced([nails("60"), nails("60"), nails("0.2")], row())

    (charge,) = done.charges
    assert (charge.amount, charge.packs) == (Decimal("120.2"), 2)
    assert charge.goods == Decimal("27.50")


@pytest.mark.parametrize(
    ("amount", "pack", "waste", "packs"),
    [
        ("100", "100", "0", 1),
        ("100.0001", "100", "0", 2),
        ("0.1", "100", "0", 1),
        ("100", "100", "0.05", 2),
        ("7.66", "1", "0.05", 9),
        ("3", "0.3", "0", 10),
        ("0.7", "0.1", "0", 7),  # binary arithmetic rounds this up to 8 or down to 6
    ],
)
def test_packs_are_exact(amount, pack, waste, packs):
    """An amount that fills its packs exactly needs no further pack."""
    done = priced([nails(amount)], row(pack=pack, waste=Decimal(waste)))

    assert done.charges[0].packs == packs


def test_what_is_included_costs_nothing_on_purpose():
    """Packers that the firm has anyway: in packs, at nothing, and the total stands."""
    prices = book("nail/65,Nail,each,200,included,,", "a/b,x,m,any,2,,10")
    done = estimate(takeoff(nails("250"), nails("3", "a/b", Unit.METRE)), prices)

    packers, metres = done.charges
    assert (packers.packs, packers.goods, packers.gap) == (2, 0, None)
    assert (metres.packs, metres.goods) == (None, Decimal("6.60"))
    assert done.totals.cost == Decimal("6.60")


def test_a_missing_price_is_named_and_leaves_no_total():
    """Nothing is priced at zero, and the nearest code of the book is offered."""
    done = priced([nails("60"), nails("5", "nail/75")], row())

    assert done.totals is None
    assert done.priced_so_far == Decimal("13.75")
    assert [gap.sentence for gap in done.gaps] == [
        "nail/75: no row in the price book; add one (the nearest is nail/65)."
    ]


def test_a_price_by_another_unit_is_no_price():
    """Metres are not charged at the price of one."""
    done = priced([nails("5", unit=Unit.METRE)], row(row=7))

    assert done.totals is None
    assert done.gaps[0].reason == "priced by each in row 7, needed by m"


def test_hours_without_the_price_of_an_hour_are_no_price():
    """Labour that nobody priced leaves the job without a total."""
    done = priced([nails("5")], row(hours=Decimal("0.1")))

    assert done.totals is None
    assert "labour-hour" in done.gaps[0].sentence


def test_nothing_to_price_has_no_total():
    """An empty take-off is not a job for nothing."""
    assert priced([], row()).totals is None


def test_without_a_book_every_item_is_named():
    """No book: all items once, no packs, no price, no total."""
    sample = sample_takeoff()
    done = estimate_without_prices(sample)

    assert len(done.gaps) == len({q.item.code for q in sample.quantities})
    assert done.totals is None
    assert done.terms is None


@pytest.mark.parametrize(
    ("basis", "margin"), [(MarginBasis.COST, "25.00"), (MarginBasis.PRICE, "33.33")]
)
def test_margin_is_a_share_of_what_the_book_says(basis, margin):
    """A quarter of a cost of 100 is 25.00, a quarter of the price is 33.33."""
    done = priced(
        [nails("1")], row(price="100"), margin=Decimal("0.25"), margin_basis=basis
    )

    assert done.totals.margin == Decimal(margin)


def test_no_tax_is_not_a_tax_of_zero():
    """A book that states no rate gives a total before tax; one that states 0 gives 0."""
    stated = priced([nails("1")], row(), tax=Decimal(0)).totals
    silent = priced([nails("1")], row()).totals

    assert stated.tax == 0
    assert silent.tax is None
    assert stated.total == silent.total == Decimal("13.75")


def test_the_row_with_fewest_stars_is_taken():
    """One row for all sizes, one for a size, one for a colour: the closest one counts."""
    prices = book(
        "board/*/*/5000,any,each,1,10,,",
        "board/18x225/*/5000,size,each,1,11,,",
        "board/*/white/5000,colour,each,1,12,,",
        "board/18x225/white/5000,both,each,1,13,,",
    )

    found = [
        prices.find(f"board/{rest}").description
        for rest in ("18x225/white/5000", "18x225/grey/5000", "9/white/5000", "9/grey/5000")
    ]
    assert found == ["both", "size", "colour", "any"]
    assert prices.find("board/18x225/white") is None
    assert prices.find("board/a/b/5000/c") is None


AMOUNTS = st.decimals("0.001", "5000", places=3)
PRICES = st.decimals("0.01", "2000", places=4)
RATES = st.decimals("0", "0.95", places=4)


@settings(max_examples=50, deadline=None)
@given(
    lines=st.lists(st.tuples(AMOUNTS, PRICES, AMOUNTS), min_size=1, max_size=12),
    rates=st.tuples(RATES, RATES, RATES),
    basis=st.sampled_from(MarginBasis),
    currency=st.sampled_from(["GBP", "JPY", "KWD"]),
)
def test_every_total_is_the_sum_of_its_lines(lines, rates, basis, currency):
    """Whatever the numbers: printed lines add up, and packs hold what is needed."""
    overhead, margin, tax = rates
    terms = Terms(
        currency=currency,
        labour_hour=Decimal("33.37"),
        overhead=overhead,
        margin=margin,
        margin_basis=basis,
        tax=tax,
    )
    rows = tuple(
        row(f"i/{n}", pack=str(pack), price=str(price), hours=Decimal("0.013"))
        for n, (_, price, pack) in enumerate(lines)
    )
    wanted = tuple(nails(str(line[0]), f"i/{n}") for n, line in enumerate(lines))
    prices = PriceBook(name="b", terms=terms, prices=rows)
    done = estimate(takeoff(*wanted), prices)
    totals = done.totals

    assert totals.cost == sum(c.goods + c.labour for c in done.charges)
    assert totals.net == totals.cost + totals.overhead + totals.margin
    assert totals.total == totals.net + totals.tax
    for value in (totals.overhead, totals.margin, totals.tax, totals.cost):
        assert value == rounded(value, currency)
    for charge in done.charges:
        held = charge.packs * charge.price.pack
        assert held >= charge.amount > held - charge.price.pack
    base = totals.net if basis is MarginBasis.PRICE else totals.cost + totals.overhead
    # One unit of the coarsest currency: rounding, and nothing else.
    assert abs(totals.margin - base * margin) <= 1


@settings(max_examples=150, deadline=None)
@given(
    cents=st.integers(0, 10**9),
    weights=st.lists(st.decimals(0, 10**6, places=2), min_size=1, max_size=12),
)
def test_shares_add_up_and_are_close(cents, weights):
    """Parts of a total add up to it and each is within one minor unit of its share."""
    total = cents * CENT
    parts = shared_out(total, weights, "GBP")

    whole = sum(weights)
    assert len(parts) == len(weights)
    if whole:
        assert sum(parts) == total
        for part, weight in zip(parts, weights, strict=True):
            assert abs(part - total * weight / whole) < CENT
    else:
        assert set(parts) == {Decimal(0)}


@pytest.mark.parametrize(
    ("value", "currency", "words"),
    [
        ("0.005", "GBP", "£0.01"),
        ("1234567.1", "EUR", "€1,234,567.10"),
        ("1234.5", "JPY", "JPY 1,235"),
        ("1.2345", "KWD", "KWD 1.235"),
        ("3", "", "3.00"),
    ],
)
def test_money_in_words(value, currency, words):
    """Two decimals unless the currency has others, halves up."""
    assert in_words(Decimal(value), currency) == words
