"""The solver against every plan there is, on tiny jobs."""

import pytest
from hypothesis import assume, given, settings

from photomeasure.takeoff.cutting import Limits, Problem, Run, Saw, solve
from photomeasure.takeoff.cutting.errors import NoJointAllowed, StockShort
from tests.photomeasure.takeoff.cutting.exhaustive import Best, best_of
from tests.photomeasure.takeoff.cutting.jobs import WHITE, board, in_hand, pieces
from tests.photomeasure.takeoff.cutting.strategies import scarce_jobs, tiny_jobs

PROOF = Limits(time_s=60)


def reached(problem: Problem) -> Best:
    """Aims of the solver's plan, which must be proven."""
    plan = solve(problem, PROOF).materials[0]
    assert plan.proven
    return Best(plan.joints.value, plan.cost.value, -plan.offcut.value)


@given(tiny_jobs(most_runs=0))
@settings(max_examples=300, deadline=None)
def test_pieces_alone_as_good_as_trying_everything(problem: Problem):
    """Cost and offcut equal those of the best of all plans."""
    expected = best_of(problem)

    assert reached(problem) == expected


@given(tiny_jobs(most_runs=1))
@settings(max_examples=300, deadline=None)
def test_with_a_run_as_good_as_trying_everything(problem: Problem):
    """Joints, cost and offcut equal those of the best of all plans."""
    assume(sum(r.length_mm for r in problem.runs) // 12 + len(problem.pieces) <= 6)
    expected = best_of(problem)

    if expected is None:
        with pytest.raises(NoJointAllowed):
            solve(problem, PROOF)
    else:
        assert reached(problem) == expected


@given(scarce_jobs())
@settings(max_examples=200, deadline=None)
def test_scarce_boards_as_good_as_trying_everything(problem: Problem):
    """Where long boards run out, joints are added one at a time, or it says no."""
    expected = best_of(problem)

    if expected is None:
        with pytest.raises(StockShort, match="cannot yield"):
            solve(problem, PROOF)
    else:
        assert reached(problem) == expected


def test_a_scarce_long_board_costs_a_joint():
    """Two runs of 20 on boards of 11: only two are there, the rest are of 8."""
    runs = tuple(
        Run(id=f"r{i}", length_mm=20, material=WHITE, supports=(4, 8, 10, 12, 16))
        for i in range(2)
    )
    problem = Problem(stocks=(board(11, count=2), board(8)), runs=runs)
    expected = Best(joints=3, cost=best_of(problem).cost, minus_offcut=0)

    assert reached(problem) == expected


def test_offcut_in_hand_is_used_before_a_board_is_bought():
    """What is in hand is free, and its own offcut does not count as bought."""
    problem = Problem(stocks=(board(12), in_hand(7)), pieces=pieces([6, 5]), keep_mm=2)
    plan = solve(problem)

    assert reached(problem) == Best(0, 12, -7)
    assert [b.stock.length_mm for b in plan.boards] == [7, 12]


def test_kerf_stands_between_pieces_but_not_behind_the_last():
    """Two pieces of 5 and a kerf of 1 fill a board of 11 exactly."""
    problem = Problem(stocks=(board(11),), pieces=pieces([5, 5]), saw=Saw(1, 0))

    assert reached(problem) == Best(0, 11, 0)
