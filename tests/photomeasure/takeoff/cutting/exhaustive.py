"""Every plan of a tiny job, tried one after another.

Shares nothing with the solver but the problem's own rules: divisions are all
subsets of the allowed joints, boards are filled by trying every place.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from itertools import combinations, pairwise, product

from photomeasure.takeoff.cutting import Problem, Run, Stock, Supports


@dataclass(frozen=True, slots=True, order=True)
class Best:
    """Aims in their order, smaller is better."""

    joints: int
    cost: Decimal
    minus_offcut: int


def best_of(problem: Problem) -> Best | None:
    """Find the best plan of a tiny job in one material, or None if there is none."""
    most = sum(run.length_mm for run in problem.runs)
    for joints in range(most + 1):
        plans = (
            Best(joints, *_judge(problem, boards))
            for lengths in _all_lengths(problem, joints)
            for boards in _all_boards(problem, lengths)
        )
        found = min(plans, default=None)
        if found is not None:
            return found
    return None


def _all_lengths(problem: Problem, joints: int) -> Iterator[list[int]]:
    """Yield the lengths to cut for every combination of so many joints."""
    fixed = [piece.length_mm for piece in problem.pieces]
    for shares in product(range(joints + 1), repeat=len(problem.runs)):
        if sum(shares) == joints:
            every = zip(problem.runs, shares, strict=True)
            for divisions in product(*(list(_divisions(r, n)) for r, n in every)):
                parts = [
                    b - a - run.gap_mm
                    for run, nodes in zip(problem.runs, divisions, strict=True)
                    for a, b in pairwise(nodes)
                ]
                yield sorted(fixed + parts, reverse=True)


def _divisions(run: Run, count: int) -> Iterator[tuple[int, ...]]:
    """Yield every set of so many joints that a run's rules allow, with its ends."""
    if isinstance(run.supports, Supports):
        places = set(run.supports.positions_mm(run.length_mm))
    else:
        places = set(run.supports or range(1, run.length_mm))
    places -= {p for p in places for a in run.avoid_mm if abs(p - a) < run.clearance_mm}
    fixed = {0, run.length_mm, *run.apexes_mm}
    free = count - len(run.apexes_mm)
    for chosen in combinations(sorted(places - fixed), free) if free >= 0 else ():
        nodes = tuple(sorted({*chosen, *fixed}))
        if all(
            b - a > run.gap_mm and (b - a >= run.min_piece_mm or {a, b} <= fixed)
            for a, b in pairwise(nodes)
        ):
            yield nodes


Filling = list[tuple[Stock, int]]
"""Boards in use and the room left on each, in the converted lengths."""


def _all_boards(problem: Problem, lengths: list[int]) -> Iterator[Filling]:
    """Yield every way to put lengths on boards, one length after another."""

    def place(index: int, boards: Filling) -> Iterator[Filling]:
        if index == len(lengths):
            yield boards
            return
        weight = problem.saw.weight_mm(lengths[index])
        for i, (stock, room) in enumerate(boards):
            if weight <= room:
                filled = [*boards[:i], (stock, room - weight), *boards[i + 1 :]]
                yield from place(index + 1, filled)
        for stock in problem.stocks:
            used = sum(s is stock for s, _ in boards)
            room = problem.saw.capacity_mm(stock.length_mm) - weight
            if room >= 0 and (stock.count is None or used < stock.count):
                yield from place(index + 1, [*boards, (stock, room)])

    yield from place(0, [])


def _judge(problem: Problem, boards: Filling) -> tuple[Decimal, int]:
    """Cost of the boards, and the longest offcut of a bought one, negative."""
    bought = [(stock, room) for stock, room in boards if not stock.in_hand]
    cost = sum((stock.price or Decimal(stock.length_mm) for stock, _ in bought), Decimal(0))
    # Room is counted with the last kerf and both trims taken off; the offcut
    # keeps its far trim and lies behind the last kerf.
    saw = problem.saw
    offcuts = (max(0, room - saw.kerf_mm + saw.trim_mm) for _, room in bought)
    longest = max(offcuts, default=0)
    return cost, -longest if longest >= problem.keep_mm else 0
