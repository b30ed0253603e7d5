"""A lower bound that holds exactly, whatever the solver's rounding.

The linear programme's prices are rounded to whole numbers, and the bound is
worked out from them anew with whole-number tables. Bad prices make the bound
weak, never wrong.
"""

import math
from dataclasses import dataclass
from fractions import Fraction

from photomeasure.takeoff.cutting.instance import Instance
from photomeasure.takeoff.cutting.knapsack import Knapsack
from photomeasure.takeoff.cutting.network import Network

PRICE_SCALE = 10**9
"""Whole price units to one unit of cost: rounding costs 1e-9 of a board, and
64-bit tables have room for boards of a billion cost units."""


@dataclass(frozen=True, slots=True)
class Bound:
    """A lower bound on cost, with the prices that prove it.

    Attributes
    ----------
    cost : Fraction
        No solution costs less, in cost units of the instance.
    values : tuple of int
        Price of each size, in units of ``1 / PRICE_SCALE``.
    scale : Fraction
        Prices divided by this are feasible for every board without limit.
    """

    cost: Fraction
    values: tuple[int, ...]
    scale: Fraction

    @property
    def whole_cost(self) -> int:
        """Costs are whole, so the bound may be rounded up."""
        return math.ceil(self.cost)


def lower_bound(instance: Instance, knapsack: Knapsack, piece_price: int) -> Bound:
    """Bound the cost from below by Lagrangian relaxation of the demand.

    Parameters
    ----------
    instance : Instance
        The job.
    knapsack : Knapsack
        Tables for the prices of the sizes.
    piece_price : int
        Price of one piece of a divided run, counted against the budget.

    Returns
    -------
    Bound
        With the scale ``T`` by which the prices must be divided.

    Notes
    -----
    With prices ``p``, scale ``T`` and ``V_s`` the most valuable pattern of
    board ``s``, every solution costs at least::

        (sum d p + sum SP(p) + sum_limited n_s min(0, T c_s - V_s)) / T

    where ``SP`` is the cheapest division of a stretch and ``T`` the largest
    ``V_s / c_s`` of the boards without limit.

    References
    ----------
    Farley (1990), "A note on bounding a class of linear programming problems,
    including cutting stock problems", Operations Research 38; extended here to
    limited boards and divided runs. From memory.
    """
    demand = sum(d * v for d, v in zip(instance.demand, knapsack.values, strict=True))
    demand += sum(
        net.count * _cheapest(net, instance.size_of, knapsack.values, piece_price)
        for net in instance.networks
    )
    if instance.piece_budget is not None:
        demand -= piece_price * instance.piece_budget
    worth = [knapsack.value(s) for s in range(len(instance.stocks))]
    scale = _scale(instance, worth)
    total = demand + sum(
        stock.limit * min(Fraction(0), scale * stock.cost - value)
        for stock, value in zip(instance.stocks, worth, strict=True)
        if stock.limit is not None
    )
    cost = max(Fraction(0), Fraction(total) / scale) if scale else Fraction(0)
    return Bound(cost, knapsack.values, scale)


def shortage(instance: Instance, knapsack: Knapsack, piece_price: int) -> int:
    """Value wanted beyond all that limited boards could give; > 0 proves a lack.

    Sizes that a board without limit holds must be worthless in ``knapsack``.
    """
    wanted = sum(d * v for d, v in zip(instance.demand, knapsack.values, strict=True))
    wanted += sum(
        net.count * _cheapest(net, instance.size_of, knapsack.values, piece_price)
        for net in instance.networks
    )
    if instance.piece_budget is not None:
        wanted -= piece_price * instance.piece_budget
    return wanted - sum(
        stock.limit * knapsack.value(index)
        for index, stock in enumerate(instance.stocks)
        if stock.limit is not None
    )


def _scale(instance: Instance, worth: list[int]) -> Fraction:
    """Divisor that makes the prices feasible for boards without limit."""
    free = [
        Fraction(value, stock.cost)
        for stock, value in zip(instance.stocks, worth, strict=True)
        if stock.limit is None
    ]
    return max(free) if free else Fraction(PRICE_SCALE)


def _cheapest(
    net: Network, size_of: dict[int, int], values: tuple[int, ...], piece_price: int
) -> int:
    """Price of the cheapest division of one stretch."""
    price: list[int | None] = [0] + [None] * (len(net.nodes_mm) - 1)
    for arc in net.arcs:
        start = price[arc.tail]
        if start is not None:
            offer = start + values[size_of[arc.length_mm]] + piece_price
            known = price[arc.head]
            price[arc.head] = offer if known is None else min(known, offer)
    return price[-1] or 0
