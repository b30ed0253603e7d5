"""Chances of running short against plans made for every single draw."""

from dataclasses import replace
from statistics import NormalDist

import numpy as np
import pytest

from calibration.uncertain import Input, Uncertain
from photomeasure.takeoff.assemble import take_off
from photomeasure.takeoff.cutting import Material, solve
from photomeasure.takeoff.shortage import Need, boards_needed, draw_lengths, needs
from photomeasure.takeoff.shortage.report import (
    _deciding,
    chance_short,
    order,
    surely_short,
)
from photomeasure.takeoff.tally import in_range
from tests.photomeasure.takeoff.houses import (
    GABLED,
    depth,
    eaves,
    elevation,
    ends,
    gabled,
    measured,
    soffit,
    spec,
)

DRAWS = 40
FRONT = {"lines": ends(front_eaves=("gable", "gable")), "roof": {"rafter_centres_mm": 600}}


def taken(job, draws=DRAWS, **words):
    return take_off(job, spec(**words), draws=draws)


def draws_of(work, count, seed=3):
    """Draw the lengths of a house's runs and share them out to its parts."""
    sources = {run.source.line: run.source for run in work.runs}
    draws = draw_lengths(tuple(sources.values()), count, np.random.default_rng(seed))
    column = {line: i for i, line in enumerate(draws.lines)}
    return draws, {run.part: draws.more_mm[:, column[run.source.line]] for run in work.runs}


@pytest.mark.parametrize("front_mm", [4985.0, 7400.0, 9900.0, 15_100.0])
def test_the_need_of_every_draw_is_that_of_its_own_plan(front_mm):
    """Bounds and shared plans give what planning each draw anew gives."""
    job = taken(gabled(front_mm), draws=0, **GABLED)
    _, more = draws_of(job.work, 12)
    problem = job.planned.problem
    for plan in job.planned.plan.materials:
        mine = {r.part: more[r.part] for r in job.work.runs if r.material == plan.material}
        if not mine:
            continue
        need = boards_needed(problem, plan, mine)

        assert need.undecided == 0
        for k, boards in enumerate(need.boards):
            runs = tuple(
                replace(run, length_mm=run.length_mm + int(mine[run.id][k]))
                for run in problem.runs
                if run.id in mine
            )
            alone = replace(problem, runs=runs, pieces=(), keep_mm=60_000)
            assert len(solve(alone).boards) == boards


def test_draws_keep_the_correlation_of_the_scale():
    """Two eaves of one photo are long together; those of two photos are not."""
    job = measured(
        elevation(
            "front",
            (eaves("one", 8000.0), eaves("two", 6000.0), depth(200.0)),
            (soffit("s", 250.0),),
        ),
        elevation(
            "rear",
            (eaves("three", 7000.0, photo="rear"), depth(200.0, photo="rear")),
            (soffit("s", 250.0),),
        ),
    )
    house = taken(job, draws=0).work.house
    draws = draw_lengths(house.eaves, 20_000, np.random.default_rng(1))
    found = np.cov(draws.lengths_mm.T)
    same, other = (np.corrcoef(draws.lengths_mm.T)[0, k] for k in (1, 2))

    # One standard deviation of a variance from 20,000 draws is 1 %.
    assert np.sqrt(np.diag(found)) == pytest.approx([e.u_mm for e in house.eaves], rel=0.04)
    assert same > 0.95
    assert abs(other) < 0.03


def one_long_run(length_mm, u_mm):
    """Return a house of one eaves whose soffit and fascia need boards of 5 m."""
    front = (
        eaves("front eaves", length_mm, scale_sd=0.0, pick_mm=u_mm / np.sqrt(2.0)),
        depth(200.0),
    )
    return measured(elevation("front", front, (soffit("s", 250.0),)))


@pytest.mark.parametrize("length_mm", [4967.0, 5007.0, 5027.0])
def test_a_run_near_a_board_length_is_as_uncertain_as_its_length(length_mm):
    """One board does up to 5,007 mm: the normal distribution says how often it is more.

    Up to 5,000 mm it stays whole. Beyond that it has a joint, whose gap of 10 mm leaves
    7 mm once the saw has had its 3.
    """
    found = taken(one_long_run(length_mm, 20.0), draws=4000, **FRONT).takeoff
    short = {
        s.boards: s.chance for s in found.shortages if s.material.board == "fascia board"
    }

    # Three standard deviations of a share from 4,000 draws.
    chance = NormalDist(length_mm, 20.0).cdf(5007.0)
    assert short[1] == pytest.approx(1.0 - chance, abs=3 * np.sqrt(0.25 / 4000))


def test_the_order_covers_the_doubt():
    """More boards are bought than the plan uses where running short is likely."""
    found = taken(one_long_run(4990.0, 20.0), draws=1000, **FRONT).takeoff
    bought = {q.item.code: q for q in found.quantities}
    fascia = bought["board/fascia-board/200/white/5000"]

    assert len([b for b in found.plan.boards if b.stock.material.width_mm == 200]) == 1
    assert fascia.amount == 2
    assert "the plan of the measured lengths uses 1" in fascia.working
    assert "order.short_share" in fascia.rules


def test_the_deciding_length_is_the_doubtful_one():
    """A sure front and a doubtful rear: the rear is to be taped, and that settles it.

    The front leaves less of its board than any piece of the rear.
    """
    front = (eaves("front eaves", 4500.0, scale_sd=0.0, pick_mm=1.0), depth(200.0))
    rear = (
        eaves("rear eaves", 5005.0, scale_sd=0.0, pick_mm=14.0, photo="rear"),
        depth(200.0, photo="rear"),
    )
    job = measured(
        elevation("front", front, (soffit("s", 250.0),)),
        elevation("rear", rear, (soffit("s", 250.0),)),
    )
    lines = ends(front_eaves=("gable", "gable"), rear_eaves=("gable", "gable"))
    found = taken(job, draws=2000, lines=lines, roof=FRONT["roof"]).takeoff.deciding

    assert found is not None
    assert found.line == "rear: rear eaves"
    assert found.chance_now == pytest.approx(0.5, abs=0.05)
    assert found.chance_taped < 0.05


def test_taping_settles_what_it_says():
    """The doubt left by the conditional distribution, for one normal length and a noise.

    The sum of two independent normal errors of equal spread decides; once one is known
    the other leaves E[min(p, 1 - p)] = 1/4 (by the angle between them, 45 degrees of
    180). Twenty bins blur it by little.
    """
    random = np.random.default_rng(5)
    errors = random.standard_normal((40_000, 2))
    draws = draw_lengths([_Run("a"), _Run("b")], len(errors), random)
    draws = replace(draws, lengths_mm=5000.0 + errors)
    need = Need(
        material=Material("b", 1, "w"),
        stock_length_mm=5000,
        planned=1,
        boards=1 + (errors.sum(axis=1) > 0).astype(np.int64),
        least=np.ones(len(errors), dtype=np.int64),
    )

    found = _deciding(draws, [(need, 2)])

    assert found.chance_now == pytest.approx(0.5, abs=0.01)
    assert found.chance_taped == pytest.approx(0.25, abs=0.01)


class _Run:
    """A line of 5 m with 1 mm."""

    def __init__(self, name):
        self.line = name
        self.length = Uncertain(
            np.array([5000.0]), np.array([[1.0]]), (Input(name, name, False),)
        )


def test_orders_rise_with_care_and_chances_fall_with_boards():
    """More boards never run short more often; less chance accepted never buys fewer."""
    boards = np.repeat([3, 4, 5, 6], [50, 30, 15, 5])
    need = Need(
        material=Material("b", 1, "w"),
        stock_length_mm=5000,
        planned=3,
        boards=boards,
        least=boards,
    )

    assert [chance_short(need, n) for n in (2, 3, 4, 5, 6)] == [1.0, 0.5, 0.2, 0.05, 0.0]
    assert [order(need, share) for share in (0.6, 0.5, 0.2, 0.1, 0.05, 0.0)] == [
        3,
        3,
        4,
        5,
        5,
        6,
    ]


def test_what_was_only_narrowed_down_is_told_as_a_range():
    """Half of 100 draws need 4 boards, 10 of them for sure: 10 % to 50 % with 3."""
    need = Need(
        material=Material("b", 1, "w"),
        stock_length_mm=5000,
        planned=3,
        boards=np.repeat([4, 3], [50, 50]),
        least=np.repeat([4, 3], [10, 90]),
    )

    assert need.undecided == 40
    assert in_range(surely_short(need, 3), chance_short(need, 3)) == "10 % to 50 %"
    assert order(need, 0.05) == 4  # by the upper end


def test_bounds_hold_where_few_plans_are_made(monkeypatch):
    """With three plans allowed, every draw's own plan lies within its two bounds."""
    monkeypatch.setattr(needs, "MOST_PLANS", 3)
    job = taken(gabled(9900.0), draws=0, **GABLED)
    _, more = draws_of(job.work, 12)
    (plan,) = (p for p in job.planned.plan.materials if p.material.board == "fascia board")
    runs = [r for r in job.planned.problem.runs if r.material == plan.material]
    mine = {run.id: more[run.id] for run in runs}

    need = boards_needed(job.planned.problem, plan, mine)

    for k in range(12):
        longer = (replace(r, length_mm=r.length_mm + int(mine[r.id][k])) for r in runs)
        alone = replace(job.planned.problem, runs=tuple(longer), pieces=(), keep_mm=60_000)
        assert need.least[k] <= len(solve(alone).boards) <= need.boards[k]


def test_the_same_job_gives_the_same_order():
    """Seeded draws, seeded search."""
    first, second = (taken(gabled(9900.0), **GABLED).takeoff for _ in range(2))

    assert first.shortages == second.shortages
    assert first.deciding == second.deciding
    assert first.plan == second.plan
