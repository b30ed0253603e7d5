"""After taping, what is cut stays cut and the rest is planned anew."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from photomeasure.takeoff.cutting import (
    Cut,
    CuttingPlan,
    Problem,
    Run,
    Saw,
    Supports,
    faults_of,
    replan,
    solve,
)
from photomeasure.takeoff.cutting.errors import BadCuttingInput
from tests.photomeasure.takeoff.cutting.jobs import WHITE, board, in_hand, pieces

RUN = Run(id="front", length_mm=12_000, material=WHITE, supports=Supports(600))


def place_of(plan: CuttingPlan, part: str, along_mm: int = 0) -> int:
    """Place of the board a part is cut from."""
    return next(
        place
        for place, cut_board in enumerate(plan.boards)
        if any((c.part, c.along_mm) == (part, along_mm) for c in cut_board.cuts)
    )


def test_nothing_cut_and_nothing_taped_leaves_the_plan():
    """Planning the same job again gives the same plan."""
    problem = Problem(stocks=(board(5000),), pieces=pieces([3000, 2500]), runs=(RUN,))
    plan = solve(problem)

    after = replan(problem, plan, (), {})

    assert (after.problem, after.plan, after.kept) == (problem, plan, ())


def test_cut_pieces_are_not_planned_again():
    """What the kept board holds is gone from the job, its offcut is in hand."""
    problem = Problem(stocks=(board(5000),), pieces=pieces([3000, 2500, 1900]))
    plan = solve(problem)
    first = place_of(plan, "p0000")

    after = replan(problem, plan, [first], {})

    done = {cut.part for cut in plan.boards[first].cuts}
    assert {p.id for p in after.problem.pieces} == {"p0000", "p0001", "p0002"} - done
    assert after.kept == (plan.boards[first],)
    assert faults_of(after.plan, after.problem) == ()


def test_offcut_of_a_cut_board_serves_the_rest():
    """The 2000 mm left of the first board give the piece that grew to 1990."""
    problem = Problem(stocks=(board(5000), board(2400)), pieces=pieces([3000, 2300]))
    plan = solve(problem)
    first = place_of(plan, "p0000")

    after = replan(problem, plan, [first], {"p0001": 1990})

    assert [b.stock.length_mm for b in after.plan.boards] == [2000]
    assert after.plan.materials[0].cost.value == 0


def test_a_cut_piece_that_is_too_short_becomes_an_offcut():
    """Taped 20 mm longer, the piece is planned anew; the old one is in hand."""
    problem = Problem(stocks=(board(5000),), pieces=pieces([3000, 2500]))
    plan = solve(problem)

    after = replan(problem, plan, [place_of(plan, "p0000")], {"p0000": 3020})

    assert [cut.part for cut in after.spare] == ["p0000"]
    assert [p.length_mm for p in after.problem.pieces] == [3020, 2500]
    # The old 3000 mm piece gives the 2500 mm one, so only one board is bought.
    assert [b.stock.length_mm for b in after.plan.boards] == [3000, 5000]


def test_a_cut_piece_that_is_too_long_is_shortened_on_site():
    """Ten millimetres too many are no reason to buy a board."""
    problem = Problem(stocks=(board(5000),), pieces=pieces([3000]))
    plan = solve(problem)

    after = replan(problem, plan, [0], {"p0000": 2990})

    assert after.shorten == (Cut("p0000", 0, 2990),)
    assert after.plan.boards == ()


def test_the_uncut_pieces_of_a_run_take_up_what_the_tape_finds():
    """With its first piece cut, 30 mm more go into the rest of the run."""
    problem = Problem(stocks=(board(5000),), runs=(RUN,))
    plan = solve(problem)
    joints = plan.joints_of("front")

    after = replan(problem, plan, [place_of(plan, "front")], {"front": 12_030})

    assert after.problem.runs[0].cut_mm == ((0, joints[0]),)
    assert after.plan.joints_of("front")[0] == joints[0]
    lengths = [c.length_mm for b in after.plan.boards for c in b.cuts]
    assert sum(lengths) == 12_030 - joints[0]
    assert faults_of(after.plan, after.problem) == ()


def test_the_last_piece_of_a_run_that_grew_is_planned_anew():
    """It no longer reaches the end, so it becomes spare."""
    problem = Problem(stocks=(board(5000),), runs=(RUN,))
    plan = solve(problem)
    last = plan.joints_of("front")[-1]

    after = replan(problem, plan, [place_of(plan, "front", last)], {"front": 12_030})

    assert [cut.along_mm for cut in after.spare] == [last]
    assert after.problem.runs[0].cut_mm == ()


def test_the_last_piece_of_a_run_that_shrank_is_shortened():
    """It keeps its joint and loses what is too much."""
    problem = Problem(stocks=(board(5000),), runs=(RUN,))
    plan = solve(problem)
    last = plan.joints_of("front")[-1]

    after = replan(problem, plan, [place_of(plan, "front", last)], {"front": 11_960})

    assert [cut.length_mm for cut in after.shorten] == [11_960 - last]
    assert after.problem.runs[0].cut_mm == ((last, 11_960),)


def test_supports_beyond_the_taped_end_are_dropped():
    """A run taped shorter ends before its last listed support."""
    listed = replace(RUN, supports=(4500, 5000, 9000, 9500, 11_900))
    problem = Problem(stocks=(board(5000),), runs=(listed,))

    after = replan(problem, solve(problem), (), {"front": 11_800})

    assert after.problem.runs[0].supports == (4500, 5000, 9000, 9500)


def test_delivered_boards_are_in_hand():
    """Boards already there cost nothing; only what goes beyond them does."""
    problem = Problem(stocks=(board(5000, "20"),), pieces=pieces([4000, 3900, 3800]))
    plan = solve(problem)

    ordered = replan(problem, plan, [0], {}, delivered=False)
    there = replan(problem, plan, [0], {}, delivered=True)

    assert ordered.plan.materials[0].cost.value == 40
    assert there.plan.materials[0].cost.value == 0


def test_counted_boards_are_used_up():
    """The offcut in hand that was cut is not there a second time."""
    problem = Problem(stocks=(board(5000), in_hand(2100)), pieces=pieces([2000, 1950]))
    plan = solve(problem)
    used = next(i for i, b in enumerate(plan.boards) if b.stock.in_hand)

    after = replan(problem, plan, [used], {})

    assert [s.count for s in after.problem.stocks if s.length_mm == 2100] == [0]


@pytest.mark.parametrize(
    ("boards", "taped", "says"),
    [
        ([7], {}, "board 7: it is not in the plan"),
        ([-1], {}, "board -1: it is not in the plan"),
        ([], {"p9": 100}, "p9: it is not part of the job"),
        ([], {"p0000": 0}, "p0000: the taped length is 0"),
    ],
)
def test_what_is_not_in_the_plan_is_refused(boards, taped, says):
    """Boards and names must be those of the plan."""
    problem = Problem(stocks=(board(5000),), pieces=pieces([3000]))

    with pytest.raises(BadCuttingInput, match=says):
        replan(problem, solve(problem), boards, taped)


@given(st.data())
@settings(max_examples=40, deadline=None)
def test_whatever_is_cut_and_taped_everything_is_cut_once(data: st.DataObject):
    """Kept and new boards together give every piece and every run."""
    wanted = data.draw(st.lists(st.integers(500, 4000), min_size=1, max_size=6))
    problem = Problem(
        stocks=(board(5000),), pieces=pieces(wanted), runs=(RUN,), saw=Saw(3, 0)
    )
    plan = solve(problem)
    cut = data.draw(st.sets(st.integers(0, len(plan.boards) - 1)))
    names = [part.id for part in problem.parts]
    changes = data.draw(
        st.dictionaries(st.sampled_from(names), st.integers(-40, 40), max_size=4)
    )
    planned = {part.id: part.length_mm for part in problem.parts}
    taped = {name: planned[name] + change for name, change in changes.items()}

    after = replan(problem, plan, cut, taped)

    assert faults_of(after.plan, after.problem) == ()
    assert after.kept == tuple(plan.boards[place] for place in sorted(cut))
    spare = [(c.part, c.along_mm) for c in after.spare]
    short = {(c.part, c.along_mm): c.length_mm for c in after.shorten}
    total = dict.fromkeys(names, 0)
    for cut_board in (*after.kept, *after.plan.boards):
        for c in cut_board.cuts:
            key = (c.part, c.along_mm)
            if cut_board in after.plan.boards:
                total[c.part] += c.length_mm
            elif key not in spare:
                total[c.part] += short.get(key, c.length_mm)
    assert total == {**planned, **taped}


def test_gaps_stay_when_the_run_is_taped_longer():
    """The cut piece keeps its place with its gap, the rest grows to the taped end."""
    run = replace(RUN, gap_mm=10)
    problem = Problem(stocks=(board(5000),), runs=(run,))
    plan = solve(problem)
    cut = next(c for b in plan.boards for c in b.cuts if c.along_mm == 0)

    after = replan(problem, plan, [place_of(plan, "front")], {"front": 12_100})

    spans = [(0, cut.length_mm + 10)]
    spans += [
        (c.along_mm, c.along_mm + c.length_mm + 10)
        for b in after.plan.boards
        for c in b.cuts
    ]
    assert faults_of(after.plan, after.problem) == ()
    assert max(spans)[1] == 12_100
    assert [a for a, _ in sorted(spans)][1:] == [b for _, b in sorted(spans)][:-1]
