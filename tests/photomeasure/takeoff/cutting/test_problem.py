"""Bad input is refused with one sentence that says what to do."""

from dataclasses import replace
from decimal import Decimal

import pytest

from calibration.errors import InputError
from photomeasure.takeoff.cutting import (
    Limits,
    Material,
    Piece,
    Problem,
    Run,
    Saw,
    Stock,
    Supports,
    solve,
)
from photomeasure.takeoff.cutting.errors import (
    BadCuttingInput,
    MissingPrice,
    NoStock,
    PieceTooLong,
    StockShort,
)
from tests.photomeasure.takeoff.cutting.jobs import GREY, WHITE, board, in_hand, pieces


def run(**rules) -> Run:
    """Make a run of nine metres."""
    return Run(id="front", length_mm=9000, material=WHITE, **rules)


BAD = [
    ("no width", lambda: Material("fascia", 0, "white"), "width_mm is 0"),
    ("no colour", lambda: Material("fascia", 200, " "), "the name is"),
    ("no length", lambda: board(0), "length_mm is 0"),
    ("a length in kilometres", lambda: board(5_000_000), "no board is so long"),
    ("a fraction of a millimetre", lambda: Piece("a", 10.5, WHITE), "is 10.5"),
    ("a truth value", lambda: Piece("a", True, WHITE), "is True"),
    ("no name", lambda: Piece("", 10, WHITE), "the name is ''"),
    ("less than no boards", lambda: board(5000, count=-1), "count is -1"),
    ("a board for nothing", lambda: board(5000, "0"), "the price is 0"),
    ("a price that is no number", lambda: board(5000, "NaN"), "the price is NaN"),
    (
        "in hand, uncounted",
        lambda: Stock(material=WHITE, length_mm=900, in_hand=True),
        "say how many",
    ),
    (
        "in hand, priced",
        lambda: replace(in_hand(900), price=Decimal(3)),
        "leave its price out",
    ),
    ("a negative kerf", lambda: Saw(kerf_mm=-1), "kerf_mm is -1"),
    ("supports on one another", lambda: Supports(0), "spacing_mm is 0"),
    ("an apex at the end", lambda: run(apexes_mm=(9000,)), "apex 9000 mm"),
    ("supports out of order", lambda: run(supports=(600, 300)), "support 300 mm"),
    ("cut beyond the end", lambda: run(cut_mm=((0, 9100),)), "already cut"),
    ("no piece so short", lambda: run(min_piece_mm=0), "min_piece_mm is 0"),
    ("no time", lambda: Limits(time_s=0), "the time is 0"),
    ("time that is no number", lambda: Limits(time_s=float("nan")), "time is nan"),
    (
        "nothing worth keeping",
        lambda: Problem(stocks=(board(5000),), keep_mm=0),
        "keep_mm is 0",
    ),
]


@pytest.mark.parametrize(("make", "says"), [b[1:] for b in BAD], ids=[b[0] for b in BAD])
def test_values_out_of_range_are_refused(make, says):
    """The message names the value, and it is one sentence."""
    with pytest.raises(BadCuttingInput, match=says) as caught:
        make()

    assert str(caught.value).endswith(".")
    assert str(caught.value).count(". ") == 0


def test_two_parts_of_one_name_are_refused():
    """A piece and a run may not share a name either."""
    front = Run(id="front", length_mm=900, material=WHITE)

    with pytest.raises(BadCuttingInput, match="front: 2 parts share this name"):
        Problem(stocks=(board(5000),), pieces=(Piece("front", 9, WHITE),), runs=(front,))


def test_a_material_without_boards_is_named():
    """Boards of another colour are of no use."""
    with pytest.raises(NoStock, match="fascia 18 200 grey: no board length"):
        Problem(stocks=(board(5000),), pieces=(Piece("a", 900, GREY),))


def test_boards_that_trim_leaves_nothing_of_do_not_count():
    """A board of 20 mm with 10 mm off each end is no board."""
    with pytest.raises(NoStock):
        Problem(stocks=(board(20),), pieces=pieces([5]), saw=Saw(0, 10))


def test_a_missing_price_is_named_and_never_zero():
    """One priced board makes the others' prices necessary."""
    with pytest.raises(MissingPrice, match="4000 mm board has no price"):
        Problem(stocks=(board(5000, "20"), board(4000)), pieces=pieces([900]))


def test_a_piece_longer_than_every_board_is_named():
    """Trim counts: 4990 mm do not come from a 5 m board trimmed by 10 mm."""
    with pytest.raises(PieceTooLong, match="p0000: 4990 mm is longer than the 4980"):
        Problem(stocks=(board(5000),), pieces=pieces([4990]), saw=Saw(3, 10))


@pytest.mark.parametrize("wanted", [[3000, 3000], [2600, 2600, 2600, 100]])
def test_too_few_boards_are_told(wanted):
    """It is proven that the pieces do not fit, not only that none were found."""
    problem = Problem(stocks=(board(5000, count=1),), pieces=pieces(wanted))

    with pytest.raises(StockShort, match="cannot yield every piece; add boards"):
        solve(problem)


def test_every_refusal_is_an_input_error():
    """So that the command line maps them to one exit status."""
    kinds = (BadCuttingInput, MissingPrice, NoStock, PieceTooLong, StockShort)

    assert all(issubclass(kind, InputError) for kind in kinds)


def test_nothing_to_cut_is_a_plan_without_boards():
    """An empty job is no error."""
    plan = solve(Problem(stocks=(board(5000),)))

    assert plan.boards == ()
    assert plan.proven


def test_prices_are_kept_to_the_penny():
    """Decimal money goes in and comes out unrounded."""
    problem = Problem(
        stocks=(board(5000, "19.99"), board(3000, "12.345")),
        pieces=pieces([4000, 2900]),
    )

    assert solve(problem).materials[0].cost.value == Decimal("32.335")


def test_materials_are_planned_apart():
    """White pieces never come from grey boards."""
    grey = Stock(material=GREY, length_mm=5000)
    problem = Problem(
        stocks=(board(5000), grey),
        pieces=(*pieces([2000]), Piece("g", 2000, GREY)),
    )

    assert len(solve(problem).boards) == 2
