"""Every pattern that a better solution could use.

A pattern whose reduced cost exceeds the gap between the lower bound and the
cost wanted occurs in no solution of that cost. What remains is often few
enough for branch and bound to decide the matter, which is how a job is proven
whose linear bound and whole-number answer differ.

References
----------
Reduced-cost fixing applied to patterns, as in Baldacci, Christofides and
Mingozzi (2008), Mathematical Programming 115. From memory.
"""

from photomeasure.takeoff.cutting.bound import Bound
from photomeasure.takeoff.cutting.clock import Clock
from photomeasure.takeoff.cutting.gap import value_floor
from photomeasure.takeoff.cutting.instance import Instance
from photomeasure.takeoff.cutting.knapsack import Knapsack
from photomeasure.takeoff.cutting.pattern import Pattern

MOST_PATTERNS = 20_000
"""Beyond this branch and bound takes minutes (measured), so we do not try."""

STEPS_A_PATTERN = 20
"""Tree nodes looked at for each pattern allowed; 400,000 take two seconds."""

STEPS_A_LOOK = 1024
"""How often the clock is looked at: asking it costs as much as a step."""


def improving_patterns(
    instance: Instance,
    bound: Bound,
    ceiling: int | None,
    clock: Clock,
    most: int = MOST_PATTERNS,
) -> tuple[Pattern, ...] | None:
    """List the maximal patterns that a solution of some cost could use.

    Parameters
    ----------
    instance : Instance
        The job.
    bound : Bound
        A proven lower bound with its prices.
    ceiling : int or None
        Cost that the solution may not exceed; None for any cost.
    clock : Clock
        Time left.
    most : int
        More patterns than this are too many.

    Returns
    -------
    tuple of Pattern or None
        None if there are too many.
    """
    knapsack = Knapsack(instance, bound.values, keep_tables=True)
    walker = _Walker(instance, knapsack, clock, most)
    for stock in range(len(instance.stocks)):
        floor = value_floor(instance, knapsack, bound, ceiling, stock)
        if not walker.collect(stock, floor):
            return None
    return tuple(walker.found)


class _Walker:
    """Depth-first walk over the counts of a pattern, largest sizes first."""

    def __init__(
        self, instance: Instance, knapsack: Knapsack, clock: Clock, most: int
    ) -> None:
        self.most = most
        self.instance = instance
        self.values = knapsack.values
        self.order = tuple(reversed(knapsack.order))
        self.rest = [*(knapsack.before[size] for size in self.order)]
        self.clock = clock
        self.found: list[Pattern] = []
        self.steps = 0
        self._stock = 0
        self._floor = 0
        self._lightest = min(instance.weights)

    def collect(self, stock: int, floor: int) -> bool:
        """Add one board's patterns; False if there are too many."""
        self._stock, self._floor = stock, floor
        return self._extend(0, self.instance.stocks[stock].capacity, 0, {})

    def _extend(
        self, place: int, room: int, value: int, counts: dict[int, int]
    ) -> bool:
        """Try every further size from ``place`` on, then none."""
        self.steps += 1
        for index in range(place, len(self.order)):
            size = self.order[index]
            weight, worth = self.instance.weights[size], self.values[size]
            copies = 0
            if self.instance.fits(size, self._stock):
                copies = min(room // weight, self.instance.most[size])
            for n in range(copies, 0, -1):
                after, gain = room - n * weight, value + n * worth
                if gain + int(self.rest[index][after]) < self._floor:
                    continue
                if not self._extend(index + 1, after, gain, {**counts, size: n}):
                    return False
            if value + int(self.rest[index][room]) < self._floor:
                return True
        self._keep(room, counts)
        return self._may_go_on()

    def _may_go_on(self) -> bool:
        """Whether patterns, steps and time are within their limits."""
        in_time = self.steps % STEPS_A_LOOK or not self.clock.is_over()
        few = len(self.found) <= self.most
        few = few and self.steps <= STEPS_A_PATTERN * self.most
        return few and bool(in_time)

    def _keep(self, room: int, counts: dict[int, int]) -> None:
        """Keep a pattern if no size more would fit on it."""
        if counts and not (room >= self._lightest and self._could_grow(room, counts)):
            self.found.append(Pattern(self._stock, tuple(sorted(counts.items()))))

    def _could_grow(self, room: int, counts: dict[int, int]) -> bool:
        """Whether another copy of something useful fits."""
        return any(
            weight <= room
            and counts.get(size, 0) < self.instance.most[size]
            and self.instance.fits(size, self._stock)
            for size, weight in enumerate(self.instance.weights)
        )
