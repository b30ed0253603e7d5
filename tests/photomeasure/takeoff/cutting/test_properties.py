"""What must hold for every job."""

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from photomeasure.takeoff.cutting import Limits, Problem, Stock, faults_of, solve
from photomeasure.takeoff.cutting.first_fit import first_fit
from photomeasure.takeoff.cutting.instance import build_instance, limit_pieces
from tests.photomeasure.takeoff.cutting.jobs import WHITE, board
from tests.photomeasure.takeoff.cutting.strategies import house_jobs

PROOF = Limits(time_s=60)
"""A dozen pieces on four odd board lengths can take seconds to prove."""

sensible = settings(max_examples=40, deadline=None)


def cost_of(problem: Problem) -> int:
    """Cost of the proven plan, millimetres of board."""
    plan = solve(problem, PROOF).materials[0]
    assert plan.cost.proven
    return int(plan.cost.value)


@given(house_jobs())
@sensible
def test_every_piece_is_cut_once_and_every_millimetre_accounted_for(problem: Problem):
    """Pieces, kerfs, trims and offcut add up to the board."""
    plan = solve(problem)

    assert faults_of(plan, problem) == ()
    assert sorted(c.part for b in plan.boards for c in b.cuts) == [
        p.id for p in problem.pieces
    ]
    for cut_board in plan.boards:
        kerfs = problem.saw.kerf_mm * len(cut_board.cuts)
        left = cut_board.stock.length_mm - cut_board.pieces_mm - kerfs
        assert cut_board.offcut_mm == max(0, left)


@given(house_jobs(), st.integers(300, 7000))
@sensible
def test_one_more_board_length_never_costs_more(problem: Problem, length_mm: int):
    """A length more to choose from cannot make the optimum worse."""
    richer = replace(problem, stocks=(*problem.stocks, board(length_mm)))

    assert cost_of(richer) <= cost_of(problem)


@given(house_jobs(), st.integers(300, 5000))
@sensible
def test_an_offcut_in_hand_never_costs_more(problem: Problem, length_mm: int):
    """What is in hand may be used and need not."""
    spare = Stock(material=WHITE, length_mm=length_mm, count=1, in_hand=True)
    richer = replace(problem, stocks=(*problem.stocks, spare))

    assert cost_of(richer) <= cost_of(problem)


@given(house_jobs(), st.data())
@sensible
def test_one_piece_less_never_costs_more(problem: Problem, data: st.DataObject):
    """The anomaly of first fit does not exist for the optimum."""
    gone = data.draw(st.sampled_from(problem.pieces))
    fewer = replace(problem, pieces=tuple(p for p in problem.pieces if p != gone))

    assert not fewer.pieces or cost_of(fewer) <= cost_of(problem)


@given(house_jobs(), st.integers(2, 7))
@sensible
def test_all_lengths_scaled_scale_the_cost(problem: Problem, factor: int):
    """The unit of length does not matter."""
    scaled = replace(
        problem,
        stocks=tuple(replace(s, length_mm=factor * s.length_mm) for s in problem.stocks),
        pieces=tuple(replace(p, length_mm=factor * p.length_mm) for p in problem.pieces),
        saw=replace(problem.saw, kerf_mm=factor * problem.saw.kerf_mm),
    )

    assert cost_of(scaled) == factor * cost_of(problem)


@given(house_jobs())
@sensible
def test_never_worse_than_first_fit_and_never_below_the_bound(problem: Problem):
    """Cost lies between the bound and first-fit decreasing."""
    instance = limit_pieces(build_instance(problem, WHITE), 0, problem.saw)
    start = first_fit(instance)
    plan = solve(problem).materials[0]

    assert start is not None
    assert plan.cost.bound <= plan.cost.value
    assert plan.cost.value <= start.cost(instance) * instance.cost_unit


@given(house_jobs(), st.randoms(use_true_random=False))
@sensible
def test_order_of_the_pieces_does_not_change_what_is_reached(problem, random):
    """Cost and offcut depend on the lengths alone."""
    shuffled = list(problem.pieces)
    random.shuffle(shuffled)
    plan = solve(problem).materials[0]
    other = solve(replace(problem, pieces=tuple(shuffled))).materials[0]

    assert (other.cost, other.offcut) == (plan.cost, plan.offcut)


@given(house_jobs())
@sensible
def test_same_job_same_plan(problem: Problem):
    """The solver is deterministic to the last cut."""
    assert solve(problem) == solve(problem)
