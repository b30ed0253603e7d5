"""The parts of the optimiser, each on its own."""

from collections import Counter
from dataclasses import replace
from fractions import Fraction
from itertools import combinations_with_replacement, product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from photomeasure.takeoff.cutting import Limits, Problem, faults_of, solve
from photomeasure.takeoff.cutting.attainable import MOST_UNITS, next_attainable
from photomeasure.takeoff.cutting.bound import PRICE_SCALE, lower_bound
from photomeasure.takeoff.cutting.clock import Clock
from photomeasure.takeoff.cutting.counts import count_choices
from photomeasure.takeoff.cutting.dive import MANY_SIZES
from photomeasure.takeoff.cutting.enumeration import improving_patterns
from photomeasure.takeoff.cutting.gap import within_gap
from photomeasure.takeoff.cutting.generation import relax
from photomeasure.takeoff.cutting.instance import (
    Instance,
    build_instance,
    limit_pieces,
)
from photomeasure.takeoff.cutting.knapsack import Knapsack
from photomeasure.takeoff.cutting.master import Master
from photomeasure.takeoff.cutting.minimum import find, minimise
from photomeasure.takeoff.cutting.offcut import OffcutSearch, possible_offcuts
from photomeasure.takeoff.cutting.solution import is_complete
from tests.photomeasure.takeoff.cutting.jobs import WHITE, board, job, pieces
from tests.photomeasure.takeoff.cutting.published import INSTANCES
from tests.photomeasure.takeoff.cutting.strategies import house_jobs, tiny_jobs

AMPLE_S = 60.0
"""Time that none of these needs."""


def instance_of(problem: Problem) -> Instance:
    """Whole-number instance with the shortest divisions."""
    return limit_pieces(build_instance(problem, WHITE), 0, problem.saw)


def estate(count: int, seed: int = 1) -> Problem:
    """Pieces of all lengths for boards of 5 and 4 m."""
    draw = np.random.default_rng(seed)
    wanted = [int(length) for length in draw.integers(300, 3900, count)]
    return Problem(stocks=(board(5000), board(4000)), pieces=pieces(wanted))


@given(tiny_jobs(most_runs=0), st.lists(st.integers(0, 9), min_size=8, max_size=8))
@settings(max_examples=100, deadline=None)
def test_knapsack_finds_the_most_valuable_pattern(problem: Problem, worth: list[int]):
    """Its value equals that of the best of all counts that fit."""
    instance = instance_of(problem)
    values = tuple(worth[: len(instance.lengths)])
    knapsack = Knapsack(instance, values)

    for index, stock in enumerate(instance.stocks):
        every = product(*(range(most + 1) for most in instance.most))
        best = max(
            sum(n * v for n, v in zip(counts, values, strict=True))
            for counts in every
            if sum(n * w for n, w in zip(counts, instance.weights, strict=True))
            <= stock.capacity
        )
        assert knapsack.value(index) == best


@given(house_jobs(), st.integers(0, 2**32))
@settings(max_examples=40, deadline=None)
def test_bound_holds_for_any_prices(problem: Problem, seed: int):
    """Nonsense prices give a weak bound and never a wrong one."""
    instance = instance_of(problem)
    draw = np.random.default_rng(seed).integers(0, 2 * PRICE_SCALE, 20)
    prices = tuple(int(price) for price in draw[: len(instance.lengths)])
    best = minimise(instance, Clock(AMPLE_S))

    assert lower_bound(instance, Knapsack(instance, prices), 0).cost <= best.lower


def test_bound_of_no_prices_is_nothing():
    """Worthless pieces bound nothing, and nothing is divided by zero."""
    instance = instance_of(job(5000, [2000, 1000]))

    assert lower_bound(instance, Knapsack(instance, (0, 0)), 0).cost == Fraction(0)


def test_linear_bound_of_the_textbook_instance():
    """K1's linear optimum is published as 452.25; ours keeps nine digits of it."""
    k1 = INSTANCES["K1"]
    relaxed = relax(instance_of(job(k1.stock, k1.wanted)), (), Clock(AMPLE_S))

    assert relaxed.bound is not None
    assert float(relaxed.bound.cost) == pytest.approx(452.25, abs=1e-5)
    assert relaxed.bound.cost <= Fraction(45225, 100)


def test_proper_patterns_close_the_gap_of_k10():
    """Over patterns that cut no more than is wanted the bound is 2.09, not 1.96."""
    k10 = INSTANCES["K10"]
    relaxed = relax(instance_of(job(k10.stock, k10.wanted)), (), Clock(AMPLE_S))

    assert relaxed.bound is not None
    assert 2.0 < float(relaxed.bound.cost) < 2.1
    assert relaxed.lower == 3


def test_all_maximal_patterns_are_listed_without_a_ceiling():
    """Of K3's 308 patterns, as the encyclopedia counts them, 213 are maximal."""
    k3 = INSTANCES["K3"]
    fitting = [
        rolls
        for number in range(1, 5)
        for rolls in combinations_with_replacement(k3.wanted, number)
        if sum(rolls) <= k3.stock
    ]
    maximal = [r for r in fitting if sum(r) + min(k3.wanted) > k3.stock]
    instance = instance_of(job(k3.stock, k3.wanted))
    relaxed = relax(instance, (), Clock(AMPLE_S))
    assert relaxed.bound is not None

    patterns = improving_patterns(instance, relaxed.bound, None, Clock(AMPLE_S))

    assert patterns is not None
    assert len(fitting) == 308
    assert len(set(patterns)) == len(patterns) == len(maximal)


@given(house_jobs())
@settings(max_examples=40, deadline=None)
def test_patterns_outside_the_gap_are_not_missed(problem: Problem):
    """The optimum is still found among the patterns within the gap."""
    instance = instance_of(problem)
    best = minimise(instance, Clock(AMPLE_S))
    relaxed = relax(instance, (), Clock(AMPLE_S))
    assert best.lower is not None
    assert relaxed.bound is not None
    every = improving_patterns(instance, relaxed.bound, None, Clock(AMPLE_S))
    assert every is not None

    some = within_gap(instance, every, relaxed.bound, best.lower)
    answer = find(instance, replace(relaxed, patterns=some), best.lower, Clock(AMPLE_S))

    assert answer.solution is not None
    assert answer.solution.cost(instance) == best.lower


@given(st.lists(st.integers(7, 30), min_size=1, max_size=3), st.integers(0, 80))
def test_next_attainable_cost_is_the_first_sum_from_the_bound_on(costs, least):
    """It agrees with counting through every combination of boards."""
    counts = product(*(range(111 // cost + 1) for cost in costs))
    sums = {sum(n * c for n, c in zip(row, costs, strict=True)) for row in counts}

    assert next_attainable(costs, least) == min(s for s in sums if s >= least)


def test_attainable_costs_of_free_or_countless_boards_are_left_alone():
    """Nothing to add up, or too much to write down."""
    assert next_attainable([0], 7) == 7
    assert next_attainable([3], MOST_UNITS + 1) == MOST_UNITS + 1


def test_possible_offcuts_are_board_less_sums_of_pieces():
    """Boards of 10 with 6 and 3: 4 or 7 or 1 is left."""
    problem = job(10, [6, 3])

    assert possible_offcuts(instance_of(problem), problem.saw) == [1, 4, 7]


def test_a_large_job_comes_within_a_thousandth():
    """More sizes than branch and bound takes at once are rounded step by step."""
    problem = estate(MANY_SIZES + 50)
    instance = instance_of(problem)
    assert len(instance.lengths) > MANY_SIZES

    best = minimise(instance, Clock(AMPLE_S))

    assert best.solution is not None
    assert best.lower is not None
    assert is_complete(instance, best.solution)
    assert best.solution.cost(instance) <= 1.001 * best.lower


def test_out_of_time_the_plan_is_sound_and_the_gap_is_stated():
    """A millisecond gives a plan and a bound, and does not call it proven."""
    problem = estate(MANY_SIZES + 50)
    plan = solve(problem, Limits(time_s=0.001))
    cost = plan.materials[0].cost

    assert faults_of(plan, problem) == ()
    assert not plan.proven
    assert 0 <= cost.bound < cost.value
    assert cost.gap > 0


def test_out_of_time_a_small_bound_is_still_a_bound():
    """Whatever the time, the bound never exceeds the proven optimum."""
    problem = estate(40)
    proven = solve(problem, Limits(AMPLE_S)).materials[0].cost

    for time_s in (0.0005, 0.002, 0.005, 0.01):
        hasty = solve(problem, Limits(time_s)).materials[0].cost
        assert hasty.bound <= proven.value <= hasty.value


def test_large_job_same_plan():
    """Dives and offcuts are deterministic as well."""
    problem = estate(60, seed=5)

    assert solve(problem, Limits(AMPLE_S)) == solve(problem, Limits(AMPLE_S))


@given(house_jobs(), st.integers(0, 8000))
@settings(max_examples=60, deadline=None)
def test_choices_of_board_numbers_cover_every_plan(problem: Problem, spread: int):
    """Whatever boards a plan of some cost buys, one choice allows them all."""
    instance = instance_of(problem)
    best = minimise(instance, Clock(AMPLE_S))
    assert best.solution is not None
    assert best.lower is not None
    most = best.lower + spread // int(instance.cost_unit)
    choices = count_choices(instance, best.lower, most)
    used = Counter()
    for pattern, n in best.solution.patterns:
        used[pattern.stock] += n

    assert choices is None or any(
        all(used[i] <= (stock.limit or 0) for i, stock in enumerate(choice.stocks))
        for choice in choices
    )


def test_choices_of_board_numbers_are_maximal():
    """For 14 of boards at 5 and 4: three of 4, 5 and two of 4, two of 5 and one."""
    instance = instance_of(Problem(stocks=(board(5000), board(4000)), pieces=pieces([900])))
    choices = count_choices(instance, 0, 14)
    assert choices is not None

    found = {tuple(stock.limit for stock in c.stocks) for c in choices}

    assert found == {(0, 3), (1, 2), (2, 1)}


def test_too_many_choices_of_board_numbers_are_not_gone_through():
    """Four lengths and hundreds of boards are left to branch and bound."""
    lengths = (5000, 4999, 4997, 4993)
    instance = instance_of(Problem(stocks=tuple(map(board, lengths)), pieces=pieces([900])))

    assert count_choices(instance, 0, 10**6) is None


def test_without_prices_from_the_linear_programme_nothing_breaks():
    """A programme that has no solution prices everything at nothing."""
    master = Master(instance_of(job(5000, [2000])))

    prices = master.solve_linear()

    assert (prices.objective, prices.sizes) == (0.0, (0.0,))


@given(house_jobs())
@settings(max_examples=40, deadline=None)
def test_longest_offcut_found_without_the_linear_filter_is_the_same(problem: Problem):
    """Ruling lengths out one by one ends where the linear bound said it would."""
    filtered = solve(problem, Limits(AMPLE_S)).materials[0]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(OffcutSearch, "_linear_limit", lambda *args: len(args[-1]))
        tried = solve(problem, Limits(AMPLE_S)).materials[0]

    assert tried.offcut == filtered.offcut
    assert tried.offcut.proven
