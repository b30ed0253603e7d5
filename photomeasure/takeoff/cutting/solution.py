"""A whole-number answer of the optimiser, and whether it covers everything."""

from collections import Counter
from dataclasses import dataclass

from photomeasure.takeoff.cutting.instance import Instance
from photomeasure.takeoff.cutting.network import Arc, Network
from photomeasure.takeoff.cutting.pattern import Pattern


@dataclass(frozen=True, slots=True)
class Solution:
    """Whole numbers of patterns and divisions.

    Attributes
    ----------
    patterns : tuple of (Pattern, int)
        How often each is cut, > 0.
    flows : tuple of dict of Arc to int
        For each network, how many members use each arc.
    """

    patterns: tuple[tuple[Pattern, int], ...]
    flows: tuple[dict[Arc, int], ...]

    def cost(self, instance: Instance) -> int:
        """Cost of its boards, in cost units."""
        return sum(instance.stocks[p.stock].cost * n for p, n in self.patterns)


def wanted(instance: Instance, flows: tuple[dict[Arc, int], ...]) -> Counter[int]:
    """Count the copies of each size that pieces and chosen divisions ask for."""
    size_of = instance.size_of
    total = Counter(dict(enumerate(instance.demand)))
    for flow in flows:
        for arc, count in flow.items():
            total[size_of[arc.length_mm]] += count
    return total


def is_complete(instance: Instance, solution: Solution) -> bool:
    """Whether rounding has left every demand, limit and path in order."""
    given: Counter[int] = Counter()
    boards: Counter[int] = Counter()
    for pattern, count in solution.patterns:
        boards[pattern.stock] += count
        for size, copies in pattern.counts:
            given[size] += copies * count
    needed = wanted(instance, solution.flows)
    limits = (
        stock.limit is None or boards[index] <= stock.limit
        for index, stock in enumerate(instance.stocks)
    )
    pieces = sum(sum(flow.values()) for flow in solution.flows)
    budget = instance.piece_budget
    return (
        all(given[size] >= count for size, count in needed.items())
        and all(limits)
        and (budget is None or pieces <= budget)
        and all(map(_is_flow, instance.networks, solution.flows))
    )


def _is_flow(net: Network, flow: dict[Arc, int]) -> bool:
    """Whether a flow brings every member from its start to its end."""
    balance: Counter[int] = Counter()
    for arc, count in flow.items():
        balance[arc.tail] += count
        balance[arc.head] -= count
    last = len(net.nodes_mm) - 1
    return all(
        balance[node] == (net.count if node == 0 else -net.count if node == last else 0)
        for node in range(last + 1)
    )
