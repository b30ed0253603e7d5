"""The take-off as a whole: traceable, in order, scaling, planned anew after taping."""

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calibration.errors import InputError
from photomeasure.takeoff.assemble import take_off
from photomeasure.takeoff.cutting import faults_of
from photomeasure.takeoff.model import End, Hand, Section
from photomeasure.takeoff.rules import countries, load_rules
from photomeasure.takeoff.taped import plan_anew, replan_table
from tests.photomeasure.takeoff.houses import (
    GABLED,
    depth,
    eaves,
    elevation,
    ends,
    gabled,
    measured,
    rakes,
    soffit,
    spec,
)

ORDER = list(Section)


def taken(job=None, **words):
    return take_off(job or gabled(), spec(**{**GABLED, **words}), draws=0)


def amounts(takeoff):
    """Return amounts by code, equal codes together."""
    found = {}
    for quantity in takeoff.quantities:
        found[quantity.item.code] = found.get(quantity.item.code, 0) + quantity.amount
    return found


@pytest.mark.parametrize("country", countries())
@pytest.mark.parametrize("work", ["replace", "cover"])
def test_every_quantity_can_be_traced(country, work):
    """To lines that exist, to rules that exist and are printed, and to a sum."""
    found = taken(country=country, work=work, verge="dry verge").takeoff
    lines = {piece.line for piece in found.pieces}
    printed = {rule.key for rule in found.rules}
    known = set(load_rules(country).rules)

    assert found.pieces
    for quantity in found.quantities:
        assert set(quantity.lines) <= lines
        assert set(quantity.rules) <= printed <= known
        assert quantity.working
        assert quantity.amount > 0
    sections = [ORDER.index(q.item.section) for q in found.quantities]
    assert sections == sorted(sections)


def test_the_plan_is_sound_and_every_piece_is_one_of_its_cuts():
    """Part and place name the cut that a piece is made by."""
    found = taken()
    cuts = {
        (cut.part, cut.along_mm): cut.length_mm
        for board in found.planned.plan.boards
        for cut in board.cuts
    }
    pieces = {(piece.part, piece.along_mm): piece for piece in found.takeoff.pieces}
    boxes = {(shape.name, 0) for shape in found.takeoff.shapes}

    assert faults_of(found.planned.plan, found.planned.problem) == ()
    assert set(cuts) == set(pieces) | boxes
    assert all(piece.long_point_mm <= cuts[key] for key, piece in pieces.items())


def test_soffits_are_mitred_at_corners_and_rakes_cut_plumb():
    """290 overhang less 18 fascia: 272 shorter along the wall at an outside corner."""
    pieces = taken().takeoff.pieces
    mitred = [p for p in pieces if End.MITRE in (p.start, p.end)]
    barges = [p for p in pieces if p.part.endswith("barge")]

    assert [p.long_point_mm - p.short_point_mm for p in mitred] == [272, 272]
    assert {p.line for p in mitred} == {"front: front eaves", "rear: rear eaves"}
    assert {p.hand for p in barges} == {Hand.LEFT, Hand.RIGHT}
    assert any(p.end is End.PLUMB and p.end_angle_rad > 0.6 for p in barges)


def test_corners_and_ends_get_their_trims():
    """One external corner between two ends, one free end, one gable."""
    found = amounts(taken().takeoff)

    assert found["trim/external-corner/225/white"] == 1
    assert found["trim/end-cap/225/white"] == 1
    assert found["trim/apex/225/white"] == 1
    assert "trim/internal-corner/225/white" not in found


def test_cover_boards_leave_the_old_ones():
    """Nothing is stripped, pins instead of screws, no packers, and a caution."""
    found = taken(work="cover").takeoff
    codes = amounts(found)

    assert not [code for code in codes if code.startswith("strip-out") or "packer" in code]
    assert any(code.startswith("fixing/pin/50") for code in codes)
    assert not any(code.startswith("fixing/screw") for code in codes)
    assert any("Cover boards go over old timber" in text for text in found.cautions)


def test_a_wide_soffit_takes_two_boards_and_a_trim_between():
    """700 mm over boards of 405 at most."""
    job = measured(
        elevation(
            "front", (eaves("front eaves", 4000.0), depth(200.0)), (soffit("s", 700.0),)
        )
    )
    found = take_off(
        job, spec(lines=ends(front_eaves=("gable", "external corner"))), draws=0
    ).takeoff
    strips = [piece for piece in found.pieces if "strip" in piece.part]

    assert len(strips) == 2
    # The second strip starts where the mitre has taken the first strip's width off.
    assert strips[0].long_point_mm - strips[1].long_point_mm == 341
    assert amounts(found)["trim/soffit-joint/white"] > Decimal("3.6")


def test_a_bent_rake_is_two_barge_boards():
    """A gable traced in one line from foot over apex to foot."""
    from photomeasure.job.schema import Role
    from tests.photomeasure.takeoff.houses import line

    points = [(0.0, 5000.0), (4000.0, 8000.0), (8000.0, 5000.0)]
    job = measured(elevation("side", (line("gable", Role.VERGE, points),)))
    found = take_off(job, spec(roof={"barge_depth_mm": 200}), draws=0).takeoff

    assert {piece.line for piece in found.pieces} == {
        "side: gable (left)",
        "side: gable (right)",
    }
    assert amounts(found)["trim/apex/200/white"] == 1
    with pytest.raises(InputError, match="trace each slope as a line of its own"):
        take_off(job, spec(lines=[{"name": "gable", "taped_mm": 5000}]), draws=0)


def test_the_same_line_in_two_photos_is_one_board_run():
    """It counts once, with the combined length."""
    lines = [
        (eaves("front eaves", length, photo=photo), depth(208.0, photo=photo))
        for photo, length in (("near", 6000.0), ("far", 6040.0))
    ]
    job = measured(
        *(elevation(str(i), two, (soffit("s", 290.0),)) for i, two in enumerate(lines))
    )
    found = take_off(job, spec(lines=ends(front_eaves=("gable", "gable"))), draws=0)

    (run,) = found.work.house.eaves
    assert 6000 < run.length_mm < 6040
    assert {piece.line for piece in found.takeoff.pieces} == {"0: front eaves"}


def test_a_stated_gap_and_stock_length_shape_the_pieces():
    """No gap, one board of 6 m: one piece as long as the run."""
    job = measured(
        elevation(
            "front", (eaves("front eaves", 5900.0), depth(200.0)), (soffit("s", 250.0),)
        )
    )
    stock = [
        {
            "board": name,
            "width_mm": width,
            "colour": "white",
            "length_mm": 6000,
            "price": "40",
        }
        for name, width in (("fascia board", 200), ("soffit board", 250))
    ]
    rules = {"gaps.board_end_mm": 0, "gaps.fixed_end_mm": 0}
    words = {"lines": ends(front_eaves=("gable", "gable")), "rules": rules, "stock": stock}
    found = take_off(job, spec(**words), draws=0).takeoff

    assert {piece.long_point_mm for piece in found.pieces} == {5900}
    assert {board.stock.price for board in found.plan.boards} == {Decimal(40)}
    assert {rule.key for rule in found.rules if rule.overridden} == {
        "gaps.board_end_mm",
        "gaps.fixed_end_mm",
    }


BARGE = "board/barge-board/225/white/5000"


def test_barge_boards_are_cut_from_fascia_boards_and_it_is_said():
    """One stock, one order: its words name both; by rule a stock of their own."""
    own = taken(rules={"boards.barge.same_as_fascia": False}).takeoff
    shared = taken().takeoff
    (ordered,) = (q.item for q in shared.quantities if "fascia-board" in q.item.code)

    assert ordered.description.endswith("for fascia and barge boards")
    assert "boards.barge.same_as_fascia" in {rule.key for rule in shared.rules}
    assert BARGE not in amounts(shared)
    # Two slopes of 5,000 and what the plumb cuts lean take more than two boards.
    assert amounts(own)[BARGE] == 3
    assert {p.material.board for p in own.pieces if p.part.endswith("barge")} == {
        "barge board"
    }
    assert {p.material.board for p in shared.pieces if p.part.endswith("barge")} == {
        "fascia board"
    }


def test_a_barge_board_of_its_own_name_is_a_stock_of_its_own():
    """The job's word comes before the rule."""
    found = taken(boards={"barge": {"board": "oak plank", "widths_mm": [250]}}).takeoff

    assert "board/oak-plank/250/white/5000" in amounts(found)


GROWING = ("trim/wall-channel/white", "labour/fascia", "strip-out/weight")
SCREWS_A_CENTRE = 2


@settings(max_examples=6, deadline=None)
@given(st.integers(3000, 11_000), st.integers(0, 900))
def test_a_longer_house_never_takes_less(length, more):
    """Channel, hours and weight grow with the eaves.

    Screws are counted piece by piece, each rounded up to whole centres, and the
    cutting may share a longer run out in another way: so a piece may save one centre.
    """
    before, after = (taken(gabled(float(size))) for size in (length, length + more))
    short, long = amounts(before.takeoff), amounts(after.takeoff)

    assert all(long[code] >= short[code] for code in GROWING)
    screw = "fixing/screw/65/white"
    assert long[screw] >= short[screw] - SCREWS_A_CENTRE * len(before.takeoff.pieces)


def test_twice_the_house_is_twice_the_metres():
    """What is counted by the metre doubles, but for rounding up to centimetres."""
    one, two = (amounts(taken(gabled(scale=scale)).takeoff) for scale in (1.0, 2.0))

    for code in ("strip-out/weight", "labour/fascia", "labour/barge"):
        assert float(two[code]) == pytest.approx(2 * float(one[code]), abs=0.05)


def test_after_taping_what_is_cut_stays_cut():
    """The first fascia board is cut, the front is taped 60 mm longer."""
    before = taken()
    boards = before.planned.plan.boards
    number = next(
        i
        for i, board in enumerate(boards, 1)
        if board.cuts[0].part == "front: front eaves fascia"
    )
    longer = before.work.house.eaves[0].length_mm + 60

    after = plan_anew(before, [number], {"front eaves": longer})

    kept = {(c.part, c.along_mm, c.length_mm) for c in boards[number - 1].cuts}
    again = {(c.part, c.along_mm) for b in after.replan.plan.boards for c in b.cuts}
    spare = {(c.part, c.along_mm) for c in after.replan.spare}
    assert faults_of(after.replan.plan, after.replan.problem) == ()
    assert not {(part, along) for part, along, _ in kept} & again - spare
    fascia = [p for p in after.pieces if p.part == "front: front eaves fascia"]
    places = sum(p.long_point_mm + 10 for p in fascia)
    assert places == longer
    assert "still to cut" in replan_table(after)


def test_planning_anew_refuses_what_is_not_there():
    """A board beyond the plan, a line that nobody drew, a job without a plan."""
    found = taken()
    with pytest.raises(InputError, match="name one from 1 to"):
        plan_anew(found, [99], {})
    with pytest.raises(InputError, match="'nowhere' is not known"):
        plan_anew(found, [], {"nowhere": 1000.0})
    empty = take_off(measured(elevation("side", rakes(8000.0, 3000.0))), spec(), draws=0)
    with pytest.raises(InputError, match="there is no plan"):
        plan_anew(empty, [], {})


def test_fascia_lines_beside_an_eaves_line_are_not_counted_twice():
    """They are the same edge unless somebody says otherwise."""
    from photomeasure.job.schema import Role
    from tests.photomeasure.takeoff.houses import line

    fascia = line("fascia", Role.FASCIA, [(0.0, 5200.0), (6000.0, 5200.0)])
    lines = (eaves("front eaves", 6000.0), fascia, depth(200.0))
    job = measured(elevation("front", lines, (soffit("s", 250.0),)))
    alone = measured(elevation("front", (fascia, depth(200.0)), (soffit("s", 250.0),)))
    both, one = (take_off(each, spec(), draws=0).takeoff for each in (job, alone))

    assert {piece.line for piece in both.pieces} == {"front: front eaves"}
    assert any("not counted again" in text for text in both.cautions)
    assert {piece.line for piece in one.pieces} == {"front: fascia"}
