"""Published instances come out at their known optimum, and proven."""

import math

import pytest

from photomeasure.takeoff.cutting import Limits, Material, solve
from photomeasure.takeoff.cutting.first_fit import first_fit
from photomeasure.takeoff.cutting.instance import build_instance
from tests.photomeasure.takeoff.cutting.jobs import WHITE, job
from tests.photomeasure.takeoff.cutting.published import INSTANCES, Published

PROOF = Limits(time_s=60)
"""Far more than any of these takes, so that a slow machine proves them too."""

every_instance = pytest.mark.parametrize(
    "instance", INSTANCES.values(), ids=INSTANCES.keys()
)


@every_instance
def test_known_optimum_is_reached_and_proven(instance: Published):
    """Boards and bound equal the published optimum."""
    plan = solve(job(instance.stock, instance.wanted), PROOF).materials[0]

    assert len(plan.boards) == instance.boards
    assert plan.cost.bound == instance.boards * instance.stock
    assert plan.cost.proven


@every_instance
def test_bound_is_not_below_the_sum_of_lengths(instance: Published):
    """The proven bound is at least L1, all lengths over the board, rounded up."""
    plan = solve(job(instance.stock, instance.wanted), PROOF).materials[0]
    total = sum(length * n for length, n in instance.wanted.items())

    assert plan.cost.bound >= math.ceil(total / instance.stock) * instance.stock


@every_instance
def test_first_fit_needs_what_it_is_known_to_need(instance: Published):
    """Our first fit is the textbook's, so that the comparison is fair."""
    start = first_fit(build_instance(job(instance.stock, instance.wanted), WHITE))

    assert start is not None
    assert sum(n for _, n in start.patterns) == instance.first_fit


def test_kerf_is_converted_exactly():
    """A kerf k turns lengths l into l + k and the board L into L + k."""
    k16 = INSTANCES["K16"]
    with_kerf = solve(job(k16.stock, k16.wanted, kerf_mm=3), PROOF)
    by_hand = job(k16.stock + 3, {length + 3: n for length, n in k16.wanted.items()})

    # K16 wastes nothing, so any kerf costs a board.
    assert len(with_kerf.boards) == 6
    assert len(solve(by_hand, PROOF).boards) == 6


@pytest.mark.parametrize("name", ["K3", "K7", "K11", "K16"])
def test_conversion_with_kerf_and_trim_on_both_sides(name: str):
    """Instances blown up by kerf and trim keep their optimum."""
    known = INSTANCES[name]
    kerf, trim = 3, 7
    # Undo the conversion: lengths shrink by the kerf, the board grows by trims.
    wanted = {4 * length - kerf: n for length, n in known.wanted.items()}
    stock = 4 * known.stock - kerf + 2 * trim

    plan = solve(job(stock, wanted, kerf_mm=kerf, trim_mm=trim), PROOF)

    assert len(plan.boards) == known.boards
    assert plan.materials[0].cost.proven


def test_removing_the_46_never_costs_a_board():
    """First fit's anomaly K14/K15 does not touch the optimum."""
    with_it, without_it = INSTANCES["K14"], INSTANCES["K15"]

    assert len(solve(job(524, with_it.wanted), PROOF).boards) == 7
    assert len(solve(job(524, without_it.wanted), PROOF).boards) == 7


def test_materials_are_told_apart():
    """Label and order of a material come from type, width and colour."""
    wide = Material("fascia 18", 225, "white")

    assert sorted([wide, WHITE]) == [WHITE, wide]
    assert wide.label == "fascia 18 225 white"
