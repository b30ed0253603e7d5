"""One material's job in whole numbers, as the optimiser sees it."""

import math
from collections import Counter
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from photomeasure.takeoff.cutting.network import (
    Network,
    build_networks,
    keep_short_paths,
)
from photomeasure.takeoff.cutting.problem import Problem
from photomeasure.takeoff.cutting.stock import Material, Saw, Stock


@dataclass(frozen=True, slots=True, kw_only=True)
class StockType:
    """A board length to the optimiser.

    Attributes
    ----------
    stock : Stock
        What it stands for.
    capacity : int
        Sum of weights it holds.
    cost : int
        In whole cost units; 0 for what is in hand.
    limit : int or None
        How many there are.
    """

    stock: Stock
    capacity: int
    cost: int
    limit: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Instance:
    """Sizes, boards and divisions of one material.

    Attributes
    ----------
    lengths : tuple of int
        Different lengths that may be cut, longest first; with a kept offcut
        it comes last.
    weights : tuple of int
        Length each takes up on a board.
    demand : tuple of int
        Whole pieces of each; what runs need comes on top.
    most : tuple of int
        Copies of each that one board could ever need.
    stocks : tuple of StockType
        Boards to be had.
    networks : tuple of Network
        Divisions of the runs.
    cost_unit : Fraction
        What one unit of cost stands for, in money or millimetres.
    piece_budget : int or None
        Pieces the runs may be divided into altogether; None where the
        networks hold nothing but shortest divisions.
    keeps_offcut : bool
        Whether the last size is an offcut to be kept on a bought board.
    """

    lengths: tuple[int, ...]
    weights: tuple[int, ...]
    demand: tuple[int, ...]
    most: tuple[int, ...]
    stocks: tuple[StockType, ...]
    networks: tuple[Network, ...]
    cost_unit: Fraction
    piece_budget: int | None = None
    keeps_offcut: bool = False

    @property
    def size_of(self) -> dict[int, int]:
        """Index of each length; a kept offcut is no length to be cut."""
        cut = self.lengths[:-1] if self.keeps_offcut else self.lengths
        return {length: size for size, length in enumerate(cut)}

    @property
    def wanted_at_most(self) -> tuple[int, ...]:
        """Copies of each size that any division could ask for."""
        wanted = list(self.demand)
        size_of = self.size_of
        for net in self.networks:
            for arc in net.arcs:
                wanted[size_of[arc.length_mm]] += net.count
        return tuple(wanted)

    def holds_offcut(self, stock: int) -> bool:
        """Whether an offcut may be kept on a board: only where it was bought."""
        return self.stocks[stock].cost > 0

    def fits(self, size: int, stock: int) -> bool:
        """Whether a size can be cut from a board at all."""
        kept = self.keeps_offcut and size == len(self.lengths) - 1
        room = self.weights[size] <= self.stocks[stock].capacity
        return room and (not kept or self.holds_offcut(stock))

    def with_offcut(self, offcut_mm: int, saw: Saw) -> "Instance":
        """Ask besides that one bought board leaves an offcut of this length."""
        # The far trim is part of an offcut; no cut is needed behind it.
        weight = offcut_mm + saw.kerf_mm - saw.trim_mm
        return replace(
            self,
            lengths=(*self.lengths, offcut_mm),
            weights=(*self.weights, weight),
            demand=(*self.demand, 1),
            most=(*self.most, 1),
            keeps_offcut=True,
        )


def build_instance(problem: Problem, material: Material) -> Instance:
    """Put one material's part of a job into whole numbers.

    Parameters
    ----------
    problem : Problem
        The job.
    material : Material
        Which part of it.

    Returns
    -------
    Instance
        With every division of the runs; `limit_pieces` narrows it.
    """
    stocks = problem.stocks_of(material)
    unit, costs = _whole_costs([_cost(s, problem.is_priced(material)) for s in stocks])
    longest = max(problem.saw.longest_mm(stock.length_mm) for stock in stocks)
    runs = tuple(run for run in problem.runs if run.material == material)
    networks = build_networks(runs, longest, problem.joint_step_mm)
    wanted = Counter(p.length_mm for p in problem.pieces if p.material == material)
    base = Instance(
        lengths=tuple(wanted),
        weights=tuple(map(problem.saw.weight_mm, wanted)),
        demand=tuple(wanted.values()),
        most=(),
        stocks=tuple(
            StockType(
                stock=stock,
                capacity=problem.saw.capacity_mm(stock.length_mm),
                cost=cost,
                limit=stock.count,
            )
            for stock, cost in zip(stocks, costs, strict=True)
        ),
        networks=networks,
        cost_unit=unit,
    )
    return _with_sizes(base, problem.saw)


def limit_pieces(instance: Instance, extra: int, saw: Saw) -> Instance:
    """Narrow the divisions to ``extra`` joints more than the fewest.

    Parameters
    ----------
    instance : Instance
        From `build_instance`.
    extra : int
        Joints beyond the sum of the runs' own minima, >= 0.
    saw : Saw
        Kerf and trim.

    Returns
    -------
    Instance
        Without the divisions that use more.
    """
    fewest = sum(net.count * net.fewest for net in instance.networks)
    narrowed = replace(
        instance,
        networks=tuple(keep_short_paths(net, extra) for net in instance.networks),
        piece_budget=fewest + extra if extra else None,
    )
    return _with_sizes(narrowed, saw)


def _with_sizes(base: Instance, saw: Saw) -> Instance:
    """List the lengths that pieces and arcs ask for, longest first."""
    wanted = {
        length: count
        for length, count in zip(base.lengths, base.demand, strict=True)
        if count
    }
    most = Counter(wanted)
    for net in base.networks:
        for arc in net.arcs:
            most[arc.length_mm] += net.count
    lengths = tuple(sorted(most, reverse=True))
    capacity = max(stock.capacity for stock in base.stocks)
    weights = tuple(map(saw.weight_mm, lengths))
    return replace(
        base,
        lengths=lengths,
        weights=weights,
        demand=tuple(wanted.get(length, 0) for length in lengths),
        most=tuple(
            min(most[length], capacity // weight)
            for length, weight in zip(lengths, weights, strict=True)
        ),
    )


def _cost(stock: Stock, priced: bool) -> Decimal:  # noqa: FBT001 - one caller
    """Cost of one board: its price, or its length where nothing is priced."""
    if stock.in_hand:
        return Decimal(0)
    return stock.price if priced and stock.price else Decimal(stock.length_mm)


def _whole_costs(costs: list[Decimal]) -> tuple[Fraction, list[int]]:
    """Scale costs to the smallest whole numbers in the same proportion."""
    exact = [Fraction(cost) for cost in costs]
    scale = math.lcm(*(cost.denominator for cost in exact))
    whole = [int(cost * scale) for cost in exact]
    common = math.gcd(*whole) or 1
    return Fraction(common, scale), [cost // common for cost in whole]
