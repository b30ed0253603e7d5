"""From the linear programme's prices to patterns worth adding."""

import math
from fractions import Fraction

from photomeasure.takeoff.cutting.bound import PRICE_SCALE, Bound
from photomeasure.takeoff.cutting.instance import Instance
from photomeasure.takeoff.cutting.knapsack import Knapsack
from photomeasure.takeoff.cutting.master import Master, Prices
from photomeasure.takeoff.cutting.pattern import Pattern

PATTERNS_A_ROUND = 20
"""New patterns of one board in one round; measured: more slows the programme."""

SMOOTHING = 80
"""Share of the best bound's prices in the smoothed ones, percent (measured:
70 to 85 are equally good)."""

LINEAR_TOLERANCE = 1e-6
"""HiGHS solves to 1e-7; a gain below ten times that is taken for none."""


def whole_prices(prices: Prices) -> tuple[int, ...]:
    """Round the prices of the sizes down to whole units, none below zero."""
    return tuple(max(0, math.floor(price * PRICE_SCALE)) for price in prices.sizes)


def whole_piece_price(prices: Prices) -> int:
    """Round the price of a piece of a run to whole units."""
    return round(prices.piece * PRICE_SCALE)


def length_prices(instance: Instance) -> tuple[int, ...]:
    """Price every size by the length it takes up on the best board to be bought."""
    bought = [stock for stock in instance.stocks if stock.cost]
    if not bought:
        return (0,) * len(instance.lengths)
    best = min(bought, key=lambda stock: Fraction(stock.cost, stock.capacity))
    return tuple(
        PRICE_SCALE * best.cost * weight // best.capacity for weight in instance.weights
    )


def smooth(centre: Bound | None, latest: tuple[int, ...]) -> tuple[int, ...]:
    """Mix the prices of the best bound, made feasible, with the latest ones."""
    if centre is None or not centre.scale:
        return latest
    factor = PRICE_SCALE / float(centre.scale)
    feasible = (int(value * factor) for value in centre.values)
    return tuple(
        (SMOOTHING * old + (100 - SMOOTHING) * new) // 100
        for old, new in zip(feasible, latest, strict=True)
    )


def attractive(
    master: Master, knapsack: Knapsack, prices: Prices, *, charge: int
) -> list[Pattern]:
    """List new patterns that are worth more than they cost.

    Parameters
    ----------
    master : Master
        The programme, for its boards and known patterns.
    knapsack : Knapsack
        Tables for the latest prices or for smoothed ones.
    prices : Prices
        The latest, which decide what a pattern is worth.
    charge : int
        1, or 0 while the programme only looks for feasibility.

    Returns
    -------
    list of Pattern
        In a fixed order.
    """
    latest = whole_prices(prices)
    same = latest == knapsack.values
    fresh: dict[Pattern, None] = {}
    for index, stock in enumerate(master.instance.stocks):
        floor = charge * stock.cost - prices.boards[index] + LINEAR_TOLERANCE
        least = math.ceil(floor * PRICE_SCALE)
        for pattern in knapsack.patterns(index, least if same else 0, PATTERNS_A_ROUND):
            worth = sum(latest[size] * n for size, n in pattern.counts)
            if worth > least and not master.knows(pattern):
                fresh[pattern] = None
    return list(fresh)
