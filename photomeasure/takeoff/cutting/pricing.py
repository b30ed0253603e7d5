"""From the linear programme's prices to patterns worth adding."""

import math

from photomeasure.takeoff.cutting.bound import PRICE_SCALE
from photomeasure.takeoff.cutting.knapsack import Knapsack
from photomeasure.takeoff.cutting.master import Master, Prices
from photomeasure.takeoff.cutting.pattern import Pattern

PATTERNS_A_ROUND = 20
"""New patterns of one board in one round; measured: more slows the programme."""

LINEAR_TOLERANCE = 1e-6
"""HiGHS solves to 1e-7; a gain below ten times that is taken for none."""


def whole_prices(prices: Prices) -> tuple[int, ...]:
    """Round the prices of the sizes down to whole units, none below zero."""
    return tuple(max(0, math.floor(price * PRICE_SCALE)) for price in prices.sizes)


def whole_piece_price(prices: Prices) -> int:
    """Round the price of a piece of a run to whole units."""
    return round(prices.piece * PRICE_SCALE)


def attractive(
    master: Master, knapsack: Knapsack, prices: Prices, *, charge: int
) -> list[Pattern]:
    """List new patterns that are worth more than they cost.

    Parameters
    ----------
    master : Master
        The programme, for its boards and known patterns.
    knapsack : Knapsack
        Tables for the whole prices.
    prices : Prices
        For what limited boards are worth.
    charge : int
        1, or 0 while the programme only looks for feasibility.

    Returns
    -------
    list of Pattern
        In a fixed order.
    """
    fresh: list[Pattern] = []
    for index, stock in enumerate(master.instance.stocks):
        floor = charge * stock.cost - prices.boards[index] + LINEAR_TOLERANCE
        found = knapsack.patterns(
            index, math.ceil(floor * PRICE_SCALE), PATTERNS_A_ROUND
        )
        fresh += [pattern for pattern in found if not master.knows(pattern)]
    return list(dict.fromkeys(fresh))
