"""Third aim: among the cheapest plans, the longest offcut worth keeping.

An offcut is asked for as if it were one more piece, on a bought board. If
that can be had for the same cost, so can every shorter one; so the longest is
found by halving, first with the linear bound alone, then in whole numbers.
"""

from collections.abc import Callable
from dataclasses import dataclass

from photomeasure.takeoff.cutting.clock import Clock
from photomeasure.takeoff.cutting.counts import count_choices
from photomeasure.takeoff.cutting.generation import Relaxation, relax
from photomeasure.takeoff.cutting.instance import Instance
from photomeasure.takeoff.cutting.minimum import find, prove
from photomeasure.takeoff.cutting.pattern import Pattern
from photomeasure.takeoff.cutting.result import Board, longest_offcut
from photomeasure.takeoff.cutting.solution import Solution
from photomeasure.takeoff.cutting.stock import Saw
from photomeasure.takeoff.cutting.whole import Answer

LayOut = Callable[[Instance, Solution], tuple[Board, ...]]
"""Turns a solution into boards, surplus left out."""


@dataclass(frozen=True, slots=True)
class Kept:
    """A plan and its longest offcut.

    Attributes
    ----------
    boards : tuple of Board
        The plan.
    offcut_mm : int
        Longest offcut of a bought board, 0 if none is worth keeping.
    bound_mm : int
        No plan of this cost leaves a longer one, >= ``offcut_mm``.
    """

    boards: tuple[Board, ...]
    offcut_mm: int
    bound_mm: int


@dataclass(slots=True, kw_only=True)
class OffcutSearch:
    """The search for the longest offcut at a given cost.

    Attributes
    ----------
    saw : Saw
        Kerf and trim.
    keep_mm : int
        Shortest offcut worth keeping.
    lay_out : callable
        Turns a solution into boards.
    clock : Clock
        Time left.
    patterns : tuple of Pattern
        Patterns without an offcut made so far.
    """

    saw: Saw
    keep_mm: int
    lay_out: LayOut
    clock: Clock
    patterns: tuple[Pattern, ...]
    _provable: bool = True

    def longest(
        self, instance: Instance, costs: tuple[int, int], boards: tuple[Board, ...]
    ) -> Kept:
        """Lengthen the longest offcut as far as it goes.

        Parameters
        ----------
        instance : Instance
            The job.
        costs : (int, int)
            Proven lower bound and cost of the plan.
        boards : tuple of Board
            The plan.

        Returns
        -------
        Kept
            Proven where offcut and bound agree.
        """
        if not costs[1]:
            return Kept(boards, 0, 0)  # nothing is bought
        best, bound = boards, 0
        # With the number of boards of each length given the bounds are sharp.
        for share in count_choices(instance, *costs) or [instance]:
            kept = self._lengthen(share, costs[1], best)
            best, bound = kept.boards, max(bound, kept.bound_mm)
        reached = longest_offcut(best)
        offcut = reached if reached >= self.keep_mm else 0
        return Kept(best, offcut, max(offcut, bound))

    def _lengthen(self, instance: Instance, cost: int, boards: tuple[Board, ...]) -> Kept:
        """Lengthen the longest offcut of a plan with some boards to choose from."""
        best, reached = boards, longest_offcut(boards)
        least = max(reached + 1, self.keep_mm)
        lengths = [r for r in possible_offcuts(instance, self.saw) if r >= least]
        # Lengths from `ruled_out` on are proven impossible, those from `high`
        # on are not looked at any more.
        ruled_out = high = self._linear_limit(instance, cost, lengths)
        low, aim = 0, high - 1
        self._provable = True
        while low < high and not self.clock.is_over():
            asked, answer = self._attempt(instance, cost, lengths[aim])
            if answer.solution:
                best = self.lay_out(asked, answer.solution)
                reached = longest_offcut(best)
                low = max(aim, _last_up_to(lengths, reached)) + 1
            else:
                # What cannot be left rules out everything longer.
                ruled_out = aim if answer.closed else ruled_out
                high = aim
            aim = (low + high) // 2
        return Kept(best, reached, lengths[ruled_out - 1] if ruled_out else 0)

    def _linear_limit(self, instance: Instance, cost: int, lengths: list[int]) -> int:
        """Count the lengths that the linear bound does not rule out."""
        low, high = 0, len(lengths)
        while low < high and not self.clock.is_over():
            aim = (low + high) // 2
            relaxed = self._relaxed(instance, cost, lengths[aim])[1]
            if relaxed.bound is not None and relaxed.lower <= cost:
                low = aim + 1
            else:
                high = aim
        return high

    def _attempt(
        self, instance: Instance, cost: int, offcut_mm: int
    ) -> tuple[Instance, Answer]:
        """Look for a plan that leaves the offcut, or prove that there is none."""
        asked, relaxed = self._relaxed(instance, cost, offcut_mm)
        answer = find(asked, relaxed, cost, self.clock)
        if answer.solution is None and not answer.closed and self._provable:
            answer = prove(asked, relaxed, cost, self.clock)
            # A shorter offcut leaves more room, so that still more patterns are in
            # question: where they were too many once, they are so from then on.
            self._provable = answer.closed
        return asked, answer

    def _relaxed(
        self, instance: Instance, cost: int, offcut_mm: int
    ) -> tuple[Instance, Relaxation]:
        """Bound the cost of a plan that leaves an offcut of a length."""
        asked = instance.with_offcut(offcut_mm, self.saw)
        relaxed = relax(asked, self.patterns, self.clock, stop_at=cost)
        offcut = len(instance.lengths)
        self.patterns = tuple(p for p in relaxed.patterns if p.counts[-1][0] < offcut)
        return asked, relaxed


def possible_offcuts(instance: Instance, saw: Saw) -> list[int]:
    """List the offcuts that some pattern of a bought board leaves, shortest first.

    Parameters
    ----------
    instance : Instance
        The job, without a kept offcut.
    saw : Saw
        Kerf and trim.

    Returns
    -------
    list of int
        Millimetres, each once.
    """
    capacity = max(stock.capacity for stock in instance.stocks)
    # Bit n of `sums` is set if some pieces together weigh n.
    sums, mask = 1, (1 << (capacity + 1)) - 1
    for weight, copies in zip(instance.weights, instance.most, strict=True):
        for _ in range(copies):
            sums |= (sums << weight) & mask
    used = [weight for weight in range(1, capacity + 1) if sums >> weight & 1]
    bought = {s.stock.length_mm for s in instance.stocks if not s.stock.in_hand}
    left = {stock - saw.trim_mm - weight for stock in bought for weight in used}
    return sorted(length for length in left if length > 0)


def _last_up_to(lengths: list[int], reached: int) -> int:
    """Index of the last length not above ``reached``, -1 if there is none."""
    return sum(length <= reached for length in lengths) - 1
