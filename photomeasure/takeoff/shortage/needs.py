"""How many boards the plan of each draw would need, with few plans actually made.

The boards a draw needs are those of the plan of its true lengths: fewest joints first,
then fewest boards, as :func:`photomeasure.takeoff.cutting.solve` ranks them. Few plans
tell all of them. A plan serves every draw whose longer ends still fit its boards, which
bounds the need from above. The sum of lengths bounds it from below. And of two sets of
lengths with joints alike, the one that is longer everywhere needs no fewer boards: so the
plan of the shortest corner of a box of draws bounds all of them from below. A box whose
bounds differ is halved. The longest corner, which bounds from above, is the slowest to plan
and tells least (measured): it is planned only for draws that no other plan serves.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from calibration.errors import InputError
from photomeasure.takeoff.cutting import (
    Limits,
    Material,
    MaterialPlan,
    Problem,
    Run,
    Stock,
    solve,
)
from photomeasure.takeoff.cutting.checks import LONGEST_BOARD_MM
from photomeasure.takeoff.cutting.network import build_networks
from photomeasure.takeoff.shortage.draws import IntArray

MOST_PLANS: Final = 60
"""Plans made for one material; of draws still open then two bounds are known."""

PLAN_LIMITS: Final = Limits(time_s=5.0)
"""Time of one such plan. The dozen runs of a house take a fiftieth of it (measured), so
that a slow or busy computer comes to the same numbers."""

NEVER: Final = np.iinfo(np.int64).max
"""More boards than any draw needs."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Need:
    """Boards of one material that each draw needs.

    Attributes
    ----------
    material : Material
    stock_length_mm : int
        Which boards are counted; other lengths stay as planned.
    planned : int
        Boards of this length in the plan of the measured lengths.
    boards : (S,) int64
        Boards of this length that suffice for each draw.
    least : (S,) int64
        What each draw needs at least; equal to ``boards`` wherever that was proven.
    cut_short : bool
        Whether any plan ended with its time.
    """

    material: Material
    stock_length_mm: int
    planned: int
    boards: IntArray
    least: IntArray
    cut_short: bool = False

    @property
    def undecided(self) -> int:
        """Draws whose need is only known to lie between two numbers."""
        return int(np.sum(self.least < self.boards))


def boards_needed(
    problem: Problem, plan: MaterialPlan, more_mm: Mapping[str, IntArray]
) -> Need:
    """Return the boards of one material that each draw of the lengths needs.

    Parameters
    ----------
    problem : Problem
        As planned.
    plan : MaterialPlan
        Of the material.
    more_mm : mapping of str to (S,) int64
        For each run of the material by its id: millimetres beyond the planned length.

    Returns
    -------
    Need
    """
    count = len(next(iter(more_mm.values())))
    counting = _Counting(problem, plan, more_mm, count)
    counting.run()
    return Need(
        material=plan.material,
        stock_length_mm=counting.main_mm,
        planned=counting.planned,
        boards=counting.high,
        least=counting.low,
        cut_short=counting.cut_short,
    )


class _Counting:
    """Bounds on the need of every draw, drawn together until they meet."""

    def __init__(
        self,
        problem: Problem,
        plan: MaterialPlan,
        more_mm: Mapping[str, IntArray],
        count: int,
    ) -> None:
        material = plan.material
        self.runs = tuple(run for run in problem.runs if run.material == material)
        self.main_mm = _main_length(problem, plan)
        self.planned = sum(
            not b.stock.in_hand and b.stock.length_mm == self.main_mm for b in plan.boards
        )
        self.problem = replace(
            problem,
            stocks=_stocks(problem, plan, self.main_mm),
            # No offcut is that long: the third aim of a plan costs most of its time and
            # changes no number of boards.
            keep_mm=LONGEST_BOARD_MM + 1,
            runs=self.runs,
            pieces=tuple(p for p in problem.pieces if p.material == material),
        )
        zero = np.zeros(count, dtype=np.int64)
        self.more: IntArray = np.array(
            [more_mm.get(run.id, zero) for run in self.runs], dtype=np.int64
        ).reshape(len(self.runs), count)
        self.pieces: IntArray = np.array(
            [self._fewest(run, row) for run, row in zip(self.runs, self.more, strict=True)],
            dtype=np.int64,
        ).reshape(len(self.runs), count)
        self.low = self._by_sum()
        self.high: IntArray = np.full(count, NEVER, dtype=np.int64)
        self.plans = 0
        self.cut_short = False

    def run(self) -> None:
        """Plan corner and middle of ever smaller boxes of draws until all is known."""
        self._learn(np.zeros(len(self.runs), dtype=np.int64), None)
        boxes = self._alike()
        while boxes and self.plans < MOST_PLANS:
            boxes.sort(key=len)
            box = self._open(boxes.pop())
            if not len(box):
                continue
            group = self.pieces[:, box[0]]
            more = self.more[:, box]
            middle = np.argsort(more.sum(axis=0), kind="stable")[len(box) // 2]
            for lengths in (more.min(axis=1), more[:, middle]):
                self._learn(lengths, group)
                if not len(self._open(box)):
                    break
            left = self._open(box)
            if len(left) and len(box) > 1:
                boxes += self._halves(left)
        for group in self._alike():
            unserved = group[self.high[group] == NEVER]
            if len(unserved):
                longest = self.more[:, unserved].max(axis=1)
                self._learn(longest, self.pieces[:, group[0]])
        unplanned = self.high == NEVER
        # Without any plan that fits, one board more than the worst seen is a guess on
        # the safe side.
        known = self.high[~unplanned].max(initial=self.planned)
        self.high = np.where(unplanned, known + 1, self.high)

    def _alike(self) -> list[IntArray]:
        """Return the draws in groups whose runs are divided into as many pieces."""
        _, group = np.unique(self.pieces, axis=1, return_inverse=True)
        kinds = group.reshape(-1)
        return [np.flatnonzero(kinds == kind) for kind in range(int(kinds.max()) + 1)]

    def _open(self, draws: IntArray) -> IntArray:
        """Return those of some draws whose need is not known yet."""
        return draws[self.low[draws] < self.high[draws]]

    def _halves(self, draws: IntArray) -> list[IntArray]:
        """Part draws in the middle of the length that differs most among them."""
        more = self.more[:, draws]
        widest = int(np.argmax(np.ptp(more, axis=1)))
        ranked = draws[np.argsort(more[widest], kind="stable")]
        return [part for part in np.array_split(ranked, 2) if len(part)]

    def _learn(self, more: IntArray, pieces: IntArray | None) -> None:
        """Plan one set of lengths and apply what it shows to every draw.

        Parameters
        ----------
        more : (R,) int64
            Millimetres beyond the planned length of each run.
        pieces : (R,) int64 or None
            Fewest pieces of each run at these lengths, if they are known.
        """
        self.plans += 1
        runs = tuple(
            replace(run, length_mm=max(1, run.length_mm + int(step)))
            for run, step in zip(self.runs, more, strict=True)
        )
        try:
            plan = solve(replace(self.problem, runs=runs), PLAN_LIMITS).materials[0]
        except InputError:
            return  # these lengths allow no joints
        self.cut_short |= plan.cut_short
        boards = _count_main(plan, self.main_mm)
        fits = self._served_by(plan, runs, more)
        self.high = np.where(fits, np.minimum(self.high, boards), self.high)
        if pieces is not None and plan.cost.proven:
            alike = np.all(self.pieces == pieces[:, None], axis=0)
            longer = np.all(self.more >= more[:, None], axis=0)
            self.low = np.where(alike & longer, np.maximum(self.low, boards), self.low)
        self.low = np.minimum(self.low, self.high)

    def _served_by(
        self, plan: MaterialPlan, runs: tuple[Run, ...], more: IntArray
    ) -> NDArray[np.bool_]:
        """Return the draws that this plan serves once its last pieces are cut longer."""
        place = {run.id: i for i, run in enumerate(runs)}
        extra = self.more - more[:, None]
        found = np.ones(self.more.shape[1], dtype=np.bool_)
        pieces = np.zeros(len(runs), dtype=np.int64)
        for board in plan.boards:
            grown = np.zeros(self.more.shape[1], dtype=np.int64)
            for cut in board.cuts:
                i = place.get(cut.part)
                if i is None:
                    continue
                pieces[i] += 1
                run = runs[i]
                span = cut.length_mm + run.gap_mm
                if cut.along_mm + span == run.length_mm:
                    grown += extra[i]
                    least = run.min_piece_mm if cut.along_mm else run.gap_mm + 1
                    found &= span + extra[i] >= least
            weights = sum(self.problem.saw.weight_mm(c.length_mm) for c in board.cuts)
            room = self.problem.saw.capacity_mm(board.stock.length_mm) - weights
            found &= grown <= room
        found &= np.all(self.pieces == pieces[:, None], axis=0)
        return found

    def _by_sum(self) -> IntArray:
        """Bound the boards of each draw by the sum of lengths, and by zero."""
        saw = self.problem.saw
        weight = np.zeros(self.more.shape[1], dtype=np.int64)
        for run, more, pieces in zip(self.runs, self.more, self.pieces, strict=True):
            weight += run.length_mm + more + pieces * (saw.kerf_mm - run.gap_mm)
        weight += sum(saw.weight_mm(p.length_mm) for p in self.problem.pieces)
        there = sum(
            (stock.count or 0) * saw.capacity_mm(stock.length_mm)
            for stock in self.problem.stocks
            if stock.in_hand
        )
        bound = -((there - weight) // saw.capacity_mm(self.main_mm))
        return np.maximum(bound, 0)

    def _fewest(self, run: Run, more: IntArray) -> IntArray:
        """Return the fewest pieces for each drawn length, by its few steps."""
        lengths = np.maximum(run.length_mm + more, 1)
        values, inverse = np.unique(lengths, return_inverse=True)
        found = np.zeros(len(values), dtype=np.int64)
        self._steps(run, values, found, (0, len(values) - 1))
        return found[inverse]

    def _steps(
        self, run: Run, values: IntArray, found: IntArray, ends: tuple[int, int]
    ) -> None:
        """Fill in between two places; equal ends have equal insides."""
        first, last = ends
        for place in ends:
            if not found[place]:
                found[place] = self._fewest_of(run, int(values[place]))
        if found[first] == found[last]:
            found[first : last + 1] = found[first]
        elif last - first > 1:
            middle = (first + last) // 2
            self._steps(run, values, found, (first, middle))
            self._steps(run, values, found, (middle, last))

    def _fewest_of(self, run: Run, length_mm: int) -> int:
        longest = max(
            self.problem.saw.longest_mm(stock.length_mm) for stock in self.problem.stocks
        )
        whole = replace(run, length_mm=length_mm)
        try:
            networks = build_networks((whole,), longest, self.problem.joint_step_mm)
        except InputError:
            return _NO_DIVISION
        return sum(net.count * net.fewest for net in networks)


_NO_DIVISION: Final = 1 << 20
"""Pieces of a run that no joints divide: more than any plan has."""


def _main_length(problem: Problem, plan: MaterialPlan) -> int:
    """Return the longest board that is bought, or that could be."""
    bought = [b.stock.length_mm for b in plan.boards if not b.stock.in_hand]
    new = [s.length_mm for s in problem.stocks_of(plan.material) if not s.in_hand]
    every = [s.length_mm for s in problem.stocks_of(plan.material)]
    return max(bought or new or every)


def _count_main(plan: MaterialPlan, main_mm: int) -> int:
    return sum(not b.stock.in_hand and b.stock.length_mm == main_mm for b in plan.boards)


def _stocks(problem: Problem, plan: MaterialPlan, main_mm: int) -> tuple[Stock, ...]:
    """Return the boards of one length without limit, all others as they are there."""
    material = plan.material
    there = [stock for stock in problem.stocks_of(material) if stock.in_hand]
    others: dict[int, int] = {}
    for board in plan.boards:
        length = board.stock.length_mm
        if not board.stock.in_hand and length != main_mm:
            others[length] = others.get(length, 0) + 1
    there += [
        Stock(material=material, length_mm=length, count=count, in_hand=True)
        for length, count in sorted(others.items())
    ]
    return (*there, Stock(material=material, length_mm=main_mm))
