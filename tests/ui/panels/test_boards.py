"""The boards' panel: facts and rules of the house, and what follows from them."""

import pytest

from calibration.errors import InputError
from photomeasure.display import Display
from photomeasure.takeoff.assemble import take_off
from photomeasure.takeoff.pricing import example_book
from ui.panels import fields
from ui.panels.boards_changes import with_line_facts, with_rule, without_rule
from ui.panels.boards_view import takeoff_markup
from ui.panels.boards_work import BoardsWork
from ui.panels.desk import EXAMPLE
from ui.texts import catalogue

HOSTILE = "<script>alert(1)</script>${alert(2)}{{3}}"


def drawn(desk, opened, book=EXAMPLE, display=Display.MM):
    takeoff = desk.taken(opened)
    return takeoff_markup(takeoff, desk.priced(takeoff, book), display)


def test_what_stops_the_work_stands_first(desk, bare):
    """A house of unknown age is stopped, with its reason, before anything else."""
    shown = drawn(desk, bare)

    assert shown.index('role="alert"') < shown.index("Before you start")
    assert "may hold asbestos" in shown


def test_the_panel_says_what_the_command_says(desk, house):
    """Quantities, pieces and price are those of the take-off that commands print."""
    takeoff = take_off(desk.office.measured(house), desk.office.job(house).takeoff).takeoff
    shown = drawn(desk, house)

    assert not takeoff.stops
    for piece in takeoff.pieces:
        assert piece.name in shown
    for quantity in takeoff.quantities:
        assert quantity.item.description in shown
    for verdict in takeoff.verdicts:
        assert verdict.clause in shown
    assert "These prices are invented" in shown


def test_missing_prices_are_named_and_there_is_no_total(desk, house):
    """A book that lacks a row gives no price, and says which row."""
    from photomeasure.store import price_books

    book = b"code,description,unit,pack,price\nterms/currency,,GBP,,\nlabour/*,,h,any,30\n"
    price_books.save(desk.office.store, "own.csv", book)
    shown = drawn(desk, house, "own.csv")

    assert "No total:" in shown
    assert "no row in the price book" in shown
    assert "pm-total" not in shown


def test_the_plan_is_drawn_to_one_scale(desk, house):
    """Bars are as long as boards, pieces as long as pieces."""
    import re

    takeoff = desk.taken(house)
    shown = drawn(desk, house)
    widths = [float(w) for w in re.findall(r'<rect[^>]*? width="([\d.]+)"', shown)]
    lengths = []
    longest = max(board.stock.length_mm for board in takeoff.plan.boards)
    materials = dict.fromkeys(board.stock.material for board in takeoff.plan.boards)
    for material in materials:
        for board in takeoff.plan.boards:
            if board.stock.material == material:
                lengths += [board.stock.length_mm, *(cut.length_mm for cut in board.cuts)]

    assert widths == [pytest.approx(1200 * mm / longest, abs=0.06) for mm in lengths]


def test_lengths_in_feet(desk, house):
    """The unit changes what is shown."""
    assert " ft " in drawn(desk, house, display=Display.FEET)


def test_hostile_names_stay_text(desk, house):
    """A line's name is text in every part of the panel."""
    from photomeasure.store.jobs import Signature

    def rename(document):
        document["elevations"][0]["lines"][0]["name"] = HOSTILE
        document["elevations"][0]["soffits"][0]["lines"] = [HOSTILE]
        return document

    shown = drawn(desk, desk.office.change(house.id, rename, Signature()))

    assert "<script" not in shown
    assert "&lt;script&gt;" in shown


def test_one_fact_is_saved_and_the_rest_stays(desk, house):
    """A field changes its own word; a mistake changes nothing and is told."""
    context = BoardsWork(desk)
    year = next(field for field in fields.ALL if field.key == "year_built")
    told, shown = context.save(
        (house.id, "mm", EXAMPLE), lambda b: fields.put(b, year.path, 1931)
    )
    block = desk.open(house.id).document["takeoff"]

    assert told == ""
    assert "pm-panel" in shown
    assert block["year_built"] == 1931
    assert block["roof"]["fascia_depth_mm"] == 210

    told, _ = context.save((house.id, "mm", ""), lambda b: fields.put(b, year.path, 99999))
    assert "“Year built”" in told
    assert desk.open(house.id).document["takeoff"]["year_built"] == 1931


@pytest.mark.parametrize(
    ("key", "typed", "value"),
    [
        ("fascia_depth_mm", "225", 225),
        ("fascia_depth_mm", "8 7/8 in", 225),
        ("eaves_height_mm", "5.1 m", 5100.0),
        ("eaves_height_mm", "16 ft 9 in", 5105.4),
        ("pitch_deg", "37,5", 37.5),
        ("year_built", " 1986 ", 1986),
        ("colour", "anthracite", "anthracite"),
        ("country", "usa", "usa"),
        ("pitch_deg", "", None),
    ],
)
def test_fields_read_what_people_type(key, typed, value):
    """Lengths in any unit, decimal commas, nothing for not stated."""
    field = next(field for field in fields.ALL if field.key == key)

    assert field.read(typed, key) == value


@pytest.mark.parametrize(
    ("key", "typed"), [("pitch_deg", "steep"), ("span_mm", "wide"), ("year_built", "nan")]
)
def test_fields_refuse_what_is_no_value(key, typed):
    """The refusal names the field."""
    field = next(field for field in fields.ALL if field.key == key)

    with pytest.raises(InputError, match=key):
        field.read(typed, key)


def test_every_field_shows_what_it_read():
    """What was typed comes back after a reload."""
    for field in fields.ALL:
        typed = field.choices[0] if field.choices else "12"
        block = fields.put({}, field.path, field.read(typed, field.key))
        assert field.shown(block, Display.MM) == typed


def test_a_rule_is_overridden_where_the_person_is(desk, house):
    """The take-off uses the value and says whose it is; it can be taken back."""
    context = BoardsWork(desk)
    key = "fixings.fascia.centres_mm"
    told, shown = context.save((house.id, "mm", ""), lambda b: with_rule(b, key, "300"))

    assert told == ""
    assert "your own value" in shown
    assert desk.open(house.id).document["takeoff"]["rules"] == {key: 300}

    _, shown = context.save((house.id, "mm", ""), lambda b: without_rule(b, key))
    assert "your own value" not in shown
    assert "rules" not in desk.open(house.id).document["takeoff"]


@pytest.mark.parametrize("typed", ["0", "wide", "[1, 2]", "-5", "true"])
def test_values_that_a_rule_cannot_have(desk, house, typed):
    """They are told and no take-off is made from them."""
    key = "fixings.fascia.centres_mm"
    _, shown = BoardsWork(desk).save(
        (house.id, "mm", ""), lambda b: with_rule(b, key, typed)
    )

    assert "pm-alert" in shown
    assert key in shown


def test_ends_of_a_line():
    """Facts of one line are put in, changed and taken out."""
    block = fields.with_line({}, "eaves", {"start": "hip", "end": None})
    assert block == {"lines": [{"name": "eaves", "start": "hip"}]}
    both = fields.with_line(block, "eaves", {"end": "gable"})
    assert fields.line_facts(both, "eaves") == {
        "name": "eaves",
        "start": "hip",
        "end": "gable",
    }

    assert fields.with_line(both, "eaves", {"start": None, "end": None}) == {}


def test_facts_of_one_line_are_typed_shown_and_counted(desk, house):
    """All go the same way; a line that is left out is no part of the take-off."""
    context = BoardsWork(desk)
    typed = {
        field.key: field.choices[0] if field.choices else "180" for field in fields.LINE
    }
    place = (house.id, "mm", "")
    told, shown = context.save(
        place, lambda block: with_line_facts(block, "front eaves", *typed.values())
    )
    _, *boxes = context.line(house.id, "mm", "front eaves")
    lines = desk.open(house.id).document["takeoff"]["lines"]
    kept = next(line for line in lines if line["name"] == "front eaves")

    assert told == ""
    assert boxes == list(typed.values())
    assert (kept["leave_out"], kept["fascia_depth_mm"], kept["foot"]) == (
        True,
        180,
        "plumb",
    )

    none = [""] * len(fields.LINE)
    _, again = context.save(
        place, lambda block: with_line_facts(block, "front eaves", *none)
    )
    _, *boxes = context.line(house.id, "mm", "front eaves")

    assert boxes == none
    assert again.count("front eaves") > shown.count("front eaves")


def test_a_fact_of_a_line_that_cannot_be_read_is_told(desk, house):
    """By the field's own words, and nothing is saved."""
    before = desk.open(house.id).number
    typed = ["long" if field.key == "taped_mm" else "" for field in fields.LINE]
    told, _ = BoardsWork(desk).save(
        (house.id, "mm", ""), lambda block: with_line_facts(block, "front eaves", *typed)
    )

    assert catalogue()["line_facts"]["taped_mm"] in told
    assert desk.open(house.id).number == before


def test_the_example_book_is_no_name_of_a_kept_book(desk):
    """Nobody's own book can stand for the example, or the other way round."""
    assert desk.book(EXAMPLE).name == example_book().name
    assert desk.book("") is None


def test_a_missing_price_is_kept_where_the_person_is(desk, house):
    """The first price makes the firm's book; the item is no longer missing."""
    context = BoardsWork(desk)
    takeoff = desk.taken(house)
    code = takeoff.quantities[0].item.code
    told, _, _, _, shown = context.keep_price(house.id, "mm", EXAMPLE, code, "12.50")

    assert told == ""
    assert "pm-panel" in shown
    assert desk.usual_book() == "own-prices.csv"
    gaps = [gap.item.code for gap in desk.priced(takeoff, "own-prices.csv").gaps]
    assert code not in gaps
    assert len(gaps) > 0


@pytest.mark.parametrize(("code", "price"), [(None, "1"), ("no/item", "1"), ("", "x")])
def test_prices_of_nothing(desk, house, code, price):
    """A refusal is shown and no book is made."""
    told, *_ = BoardsWork(desk).keep_price(house.id, "mm", "", code, price)

    assert "pm-alert" in told
    assert desk.usual_book() == ""
