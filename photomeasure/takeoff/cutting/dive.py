"""A good whole-number answer for large jobs: fix, solve again, fix again."""

import math

from photomeasure.takeoff.cutting.clock import Clock
from photomeasure.takeoff.cutting.instance import Instance
from photomeasure.takeoff.cutting.knapsack import Knapsack
from photomeasure.takeoff.cutting.master import Master, Prices
from photomeasure.takeoff.cutting.pattern import Pattern
from photomeasure.takeoff.cutting.pricing import attractive, whole_prices
from photomeasure.takeoff.cutting.solution import Solution
from photomeasure.takeoff.cutting.whole import search

MANY_SIZES = 150
"""Up to so many sizes branch and bound is quicker at once (measured)."""

SHARES_FIXED = (0.15, 0.05)
"""Share of the fractional columns that one step rounds up, dive after dive:
fewer at a time takes longer and is mostly better (measured, 1,000 sizes: 0.5
and 1 to 2 s of processor time, 0.1 to 0.9 % above the bound)."""

SURE = 1e-3
"""A column so near a whole number of uses is taken as such."""

FEW_LEFT = 40
"""Fractional columns that branch and bound settles at once; with 200 it takes
seconds and is no better (measured)."""

SHARE_FOR_CHOICE = 0.2
"""Share of the time left that the last step of a dive may take at most."""


def dive(
    instance: Instance,
    patterns: tuple[Pattern, ...],
    costs: tuple[int, int],
    share: float,
    clock: Clock,
) -> tuple[Solution | None, tuple[Pattern, ...]]:
    """Round the linear programme's largest columns up, step by step.

    Parameters
    ----------
    instance : Instance
        The job.
    patterns : tuple of Pattern
        Those of the linear relaxation; more are generated on the way.
    costs : (int, int)
        Proven lower bound, and the most that is of interest.
    share : float
        Share of the fractional columns that one step rounds up.
    clock : Clock
        Time left.

    Returns
    -------
    Solution or None
        None if the rounding led nowhere or the time ran out.
    tuple of Pattern
        The patterns, with those generated on the way.
    """
    master = Master(instance)
    master.add_patterns(patterns)
    while not clock.is_over():
        prices = master.solve_linear()
        if not master.is_solved():
            break
        _refresh(master, prices)
        if _fix(master, share) <= FEW_LEFT:
            master.restrict_cost(*costs)
            brief = clock.part(SHARE_FOR_CHOICE)
            return search(master, brief).solution, tuple(master.patterns)
    return None, tuple(master.patterns)


def _refresh(master: Master, prices: Prices) -> None:
    """Add patterns that suit what is left to cut, and solve once more."""
    knapsack = Knapsack(master.instance, whole_prices(prices))
    fresh = attractive(master, knapsack, prices, charge=1)
    if fresh:
        master.add_patterns(fresh)
        master.solve_linear()


def _fix(master: Master, share: float) -> int:
    """Round the surest columns up; return how many were fractional."""
    usage = master.usage()
    parts = [use - math.floor(use + SURE) for use in usage]
    open_columns = [i for i, part in enumerate(parts) if part > SURE]
    open_columns.sort(key=lambda i: (-parts[i], i))
    raised = set(open_columns[: math.ceil(share * len(open_columns))])
    for column, use in enumerate(usage):
        times = math.floor(use + SURE) + (column in raised)
        if times:
            master.use_at_least(column, times)
    return len(open_columns)
