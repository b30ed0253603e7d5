"""Which patterns a solution up to some cost could use at all.

A pattern whose reduced cost exceeds the gap between the lower bound and the
cost wanted occurs in no solution of that cost.
"""

import math
from collections.abc import Iterable
from fractions import Fraction

from photomeasure.takeoff.cutting.bound import Bound
from photomeasure.takeoff.cutting.instance import Instance
from photomeasure.takeoff.cutting.knapsack import Knapsack
from photomeasure.takeoff.cutting.pattern import Pattern


def value_floor(
    instance: Instance,
    knapsack: Knapsack,
    bound: Bound,
    ceiling: int | None,
    stock: int,
) -> int:
    """Value a pattern must have for its reduced cost to fit in the gap.

    Parameters
    ----------
    instance : Instance
        The job.
    knapsack : Knapsack
        Tables for the prices of the bound.
    bound : Bound
        A proven lower bound with its prices.
    ceiling : int or None
        Cost that a solution may not exceed; None for any cost.
    stock : int
        Index of the pattern's board.

    Returns
    -------
    int
        In the price units of the bound; 0 keeps every pattern.
    """
    if ceiling is None or bound.cost == 0:
        return 0
    board = instance.stocks[stock]
    price = bound.scale * board.cost
    if board.limit is not None:
        price -= min(Fraction(0), price - knapsack.value(stock))
    return math.ceil(price - (ceiling - bound.cost) * bound.scale)


def within_gap(
    instance: Instance, patterns: Iterable[Pattern], bound: Bound, ceiling: int
) -> tuple[Pattern, ...]:
    """Drop the patterns that no solution up to a cost could use."""
    knapsack = Knapsack(instance, bound.values)
    floors = [
        value_floor(instance, knapsack, bound, ceiling, stock)
        for stock in range(len(instance.stocks))
    ]
    return tuple(
        pattern
        for pattern in patterns
        if sum(bound.values[size] * n for size, n in pattern.counts)
        >= floors[pattern.stock]
    )
