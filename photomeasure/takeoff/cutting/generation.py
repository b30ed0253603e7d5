"""Column generation: patterns are made only when their price calls for them.

References
----------
Gilmore and Gomory (1961), "A linear programming approach to the cutting-stock
problem", Operations Research 9. From memory.
"""

import math
from dataclasses import dataclass

from photomeasure.takeoff.cutting.attainable import next_attainable
from photomeasure.takeoff.cutting.bound import Bound, lower_bound, shortage
from photomeasure.takeoff.cutting.clock import Clock
from photomeasure.takeoff.cutting.instance import Instance
from photomeasure.takeoff.cutting.knapsack import Knapsack
from photomeasure.takeoff.cutting.master import Master, Prices
from photomeasure.takeoff.cutting.pattern import Pattern, lone_patterns
from photomeasure.takeoff.cutting.pricing import (
    LINEAR_TOLERANCE,
    attractive,
    length_prices,
    smooth,
    whole_piece_price,
    whole_prices,
)


@dataclass(frozen=True, slots=True)
class Relaxation:
    """What column generation leaves behind.

    Attributes
    ----------
    bound : Bound or None
        Best proven lower bound; None if the boards cannot suffice.
    lower : int
        The bound, raised to a cost that boards can add up to; 0 without one.
    patterns : tuple of Pattern
        All patterns made, in order.
    """

    bound: Bound | None
    lower: int
    patterns: tuple[Pattern, ...]


def relax(
    instance: Instance,
    known: tuple[Pattern, ...],
    clock: Clock,
    stop_at: int | None = None,
) -> Relaxation:
    """Solve the linear relaxation by column generation.

    Parameters
    ----------
    instance : Instance
        The job.
    known : tuple of Pattern
        Patterns to begin with, e.g. from first fit.
    clock : Clock
        Time left; a bound is returned in any case.
    stop_at : int or None
        Stop when the bound exceeds this cost.

    Returns
    -------
    Relaxation
        Its bound is exact even when the time ran out.
    """
    master = Master(instance)
    begin = dict.fromkeys((*known, *lone_patterns(instance)))
    plenty = _always_enough(instance)
    master.add_patterns(begin, cost=plenty)
    if not plenty:
        master.add_shortages(1.0)
        if not _suffices(master, clock):
            return Relaxation(None, 0, tuple(master.patterns))
        master.charge_patterns()
    bound = _converge(master, clock, stop_at)
    lower = next_attainable((s.cost for s in instance.stocks), bound.whole_cost)
    return Relaxation(bound, lower, tuple(master.patterns))


def _always_enough(instance: Instance) -> bool:
    """Whether boards without limit hold every size."""
    free = [s for s, stock in enumerate(instance.stocks) if stock.limit is None]
    return instance.piece_budget is None and all(
        any(instance.fits(size, stock) for stock in free)
        for size in range(len(instance.lengths))
    )


def _suffices(master: Master, clock: Clock) -> bool:
    """Generate patterns until nothing is short; False if that is impossible."""
    instance = master.instance
    free = [s for s, stock in enumerate(instance.stocks) if stock.limit is None]
    while not clock.is_over():
        prices = master.solve_linear()
        if prices.objective < LINEAR_TOLERANCE:
            return True
        values = tuple(
            0 if any(instance.fits(size, s) for s in free) else value
            for size, value in enumerate(whole_prices(prices))
        )
        knapsack = Knapsack(instance, values)
        piece_price = whole_piece_price(prices)
        if shortage(instance, knapsack, piece_price) > 0:
            return False
        fresh = attractive(
            master, Knapsack(instance, whole_prices(prices)), prices, charge=0
        )
        if not fresh:
            # The rounding of prices hides what is left; treat as sufficient.
            return True
        master.add_patterns(fresh, cost=False)
    return True


def _converge(master: Master, clock: Clock, stop_at: int | None) -> Bound:
    """Add patterns until the bound meets the linear programme."""
    by_length = _length_bound(master.instance)
    centre: Bound | None = None
    while True:
        prices = master.solve_linear()
        centre, fresh = _price(master, prices, centre)
        best = max(by_length, centre, key=lambda bound: bound.cost)
        met = best.whole_cost >= math.ceil(prices.objective - LINEAR_TOLERANCE)
        passed = stop_at is not None and best.whole_cost > stop_at
        if met or passed or not fresh or clock.is_over():
            return best
        master.add_patterns(fresh)


def _length_bound(instance: Instance) -> Bound:
    """Bound the cost by lengths alone, every millimetre at the same price."""
    knapsack = Knapsack(instance, length_prices(instance))
    return lower_bound(instance, knapsack, 0)


def _price(
    master: Master, prices: Prices, centre: Bound | None
) -> tuple[Bound, list[Pattern]]:
    """Improve the bound and find new patterns, at smoothed prices if they do.

    Prices between those of the best bound and the latest ones swing less, and
    half as many rounds are needed (Wentges 1997, from memory; measured with
    1,000 sizes). The bound holds at any prices; patterns count only if they
    pay at the latest ones.
    """
    latest = whole_prices(prices)
    bounds = [] if centre is None else [centre]
    fresh: list[Pattern] = []
    for values in dict.fromkeys((smooth(centre, latest), latest)):
        knapsack = Knapsack(master.instance, values)
        piece_price = whole_piece_price(prices)
        bounds.append(lower_bound(master.instance, knapsack, piece_price))
        fresh = attractive(master, knapsack, prices, charge=1)
        if fresh:
            break
    return max(bounds, key=lambda bound: bound.cost), fresh
