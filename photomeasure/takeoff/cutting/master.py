"""The covering programme over patterns and divisions, given to HiGHS.

Rows: every size is covered; every limited board is used within its number;
each stretch is one path through its network; the budget of pieces is kept.
Columns: patterns, arcs and, while there are too few patterns, shortages.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import highspy
import numpy as np

from photomeasure.takeoff.cutting.instance import Instance
from photomeasure.takeoff.cutting.pattern import Pattern
from photomeasure.takeoff.cutting.solution import Solution

if TYPE_CHECKING:
    from photomeasure.takeoff.cutting.network import Arc

Entries = list[tuple[int, float]]


@dataclass(frozen=True, slots=True)
class Prices:
    """What the linear programme says.

    Attributes
    ----------
    objective : float
        Its optimum over the patterns so far.
    sizes : tuple of float
        Price of one more of each size.
    piece : float
        Price of one more piece of a divided run, >= 0.
    boards : tuple of float
        Price of one more of each limited board, <= 0; 0 for the others.
    """

    objective: float
    sizes: tuple[float, ...]
    piece: float
    boards: tuple[float, ...]


class Master:
    """The programme and its growing set of patterns.

    Parameters
    ----------
    instance : Instance
        The job.
    """

    def __init__(self, instance: Instance) -> None:
        self.instance = instance
        self.patterns: list[Pattern] = []
        self.highs = _QuietHighs()
        self._known: set[Pattern] = set()
        self._least_uses: dict[int, int] = {}
        self._columns = 0
        self._pattern_at: list[int] = []
        self._shortage_at: list[int] = []
        self._arc_at: list[tuple[int, Arc, int]] = []
        self._board_row: dict[int, int] = {}
        self._node_row: list[int] = []
        self._budget_row = -1
        self._rows = 0
        self._add_rows()
        self._add_arcs()

    def add_patterns(self, patterns: Iterable[Pattern], *, cost: bool = True) -> None:
        """Add patterns; without their cost for a test of feasibility."""
        for pattern in patterns:
            entries: Entries = [(size, float(n)) for size, n in pattern.counts]
            if pattern.stock in self._board_row:
                entries.append((self._board_row[pattern.stock], 1.0))
            self.patterns.append(pattern)
            self._known.add(pattern)
            price = self.instance.stocks[pattern.stock].cost if cost else 0
            self._pattern_at.append(self._add_column(price, entries))

    def knows(self, pattern: Pattern) -> bool:
        """Whether a pattern is there already."""
        return pattern in self._known

    def add_shortages(self, price: float) -> None:
        """Allow every size to be missing, at a price."""
        for size in range(len(self.instance.lengths)):
            self._shortage_at.append(self._add_column(price, [(size, 1.0)]))

    def charge_patterns(self) -> None:
        """Turn the test of feasibility into the real programme."""
        for pattern, column in zip(self.patterns, self._pattern_at, strict=True):
            cost = self.instance.stocks[pattern.stock].cost
            self.highs.changeColCost(column, float(cost))
        for column in self._shortage_at:
            self.highs.changeColBounds(column, 0.0, 0.0)

    def solve_linear(self) -> Prices:
        """Solve the linear programme from where it stood; no prices if it fails."""
        self.highs.run()
        if not self.is_solved():
            return Prices(
                objective=0.0,
                sizes=(0.0,) * len(self.instance.lengths),
                piece=0.0,
                boards=(0.0,) * len(self.instance.stocks),
            )
        duals = list(self.highs.getSolution().row_dual)
        budget = duals[self._budget_row] if self._budget_row >= 0 else 0.0
        boards = (
            duals[self._board_row[s]] if s in self._board_row else 0.0
            for s in range(len(self.instance.stocks))
        )
        return Prices(
            objective=self.highs.getInfo().objective_function_value,
            sizes=tuple(duals[: len(self.instance.lengths)]),
            piece=max(0.0, -budget),
            boards=tuple(boards),
        )

    def usage(self) -> tuple[float, ...]:
        """How often each pattern is used in the last solution."""
        values = self.highs.getSolution().col_value
        return tuple(values[column] for column in self._pattern_at)

    def use_at_least(self, pattern: int, times: int) -> None:
        """Demand that a pattern is used so often."""
        column = self._pattern_at[pattern]
        self._least_uses[pattern] = times
        self.highs.changeColBounds(column, float(times), highspy.kHighsInf)

    def is_solved(self) -> bool:
        """Whether the last run ended at an optimum."""
        return bool(self.highs.getModelStatus() == highspy.HighsModelStatus.kOptimal)

    def whole_solution(self) -> Solution:
        """Read the last solution, rounding off the solver's tolerance."""
        values = self.highs.getSolution().col_value
        used = (
            (pattern, round(values[column]))
            for pattern, column in zip(self.patterns, self._pattern_at, strict=True)
        )
        flows: tuple[dict[Arc, int], ...] = tuple({} for _ in self.instance.networks)
        for net, arc, column in self._arc_at:
            if round(values[column]):
                flows[net][arc] = round(values[column])
        return Solution(tuple((p, n) for p, n in used if n), flows)

    def restrict_cost(self, least: int, most: int) -> None:
        """Ask for a cost between two whole numbers and for whole patterns."""
        costs: Entries = []
        for index, stock in enumerate(self.instance.stocks):
            # A column that counts the boards lets the search branch on them,
            # which settles jobs with several board lengths (measured: 5 times).
            boards = self._add_column(0, [])
            self._add_row(0.0, 0.0, [*self._uses_of(index), (boards, -1.0)])
            costs.append((boards, float(stock.cost)))
        self._add_row(float(least), float(most), [c for c in costs if c[1]])
        self._limit_uses()
        kinds = np.full(self._columns, highspy.HighsVarType.kInteger)
        columns = np.arange(self._columns, dtype=np.int32)
        self.highs.changeColsIntegrality(self._columns, columns, kinds)

    def _limit_uses(self) -> None:
        """Use no pattern more often than any of its sizes is wanted.

        More would be surplus. It makes most columns 0 or 1, which is where
        branch and bound has its sharpest cuts.
        """
        wanted = self.instance.wanted_at_most
        for place, pattern in enumerate(self.patterns):
            least = self._least_uses.get(place, 0)
            most = max(wanted[size] for size, _ in pattern.counts)
            column = self._pattern_at[place]
            self.highs.changeColBounds(column, float(least), float(max(least, most)))

    def _uses_of(self, stock: int) -> Entries:
        """Entries of a row that counts the patterns of one board."""
        every = zip(self.patterns, self._pattern_at, strict=True)
        return [(column, 1.0) for pattern, column in every if pattern.stock == stock]

    def _add_rows(self) -> None:
        """Set out the rows, columns come later."""
        for demand in self.instance.demand:
            self._add_row(float(demand), highspy.kHighsInf)
        for index, stock in enumerate(self.instance.stocks):
            if stock.limit is not None:
                self._board_row[index] = self._rows
                self._add_row(-highspy.kHighsInf, float(stock.limit))
        for net in self.instance.networks:
            self._node_row.append(self._rows)
            for node in range(len(net.nodes_mm) - 1):
                supply = float(net.count if node == 0 else 0)
                self._add_row(supply, supply)
        if self.instance.piece_budget is not None:
            self._budget_row = self._rows
            self._add_row(-highspy.kHighsInf, float(self.instance.piece_budget))

    def _add_arcs(self) -> None:
        """Add every piece a run may be divided into."""
        size_of = self.instance.size_of
        for index, net in enumerate(self.instance.networks):
            first = self._node_row[index]
            for arc in net.arcs:
                entries: Entries = [(size_of[arc.length_mm], -1.0)]
                entries.append((first + arc.tail, 1.0))
                if arc.head < len(net.nodes_mm) - 1:
                    entries.append((first + arc.head, -1.0))
                if self._budget_row >= 0:
                    entries.append((self._budget_row, 1.0))
                self._arc_at.append((index, arc, self._add_column(0, entries)))

    def _add_row(self, lower: float, upper: float, entries: Entries = []) -> None:  # noqa: B006
        """Append one row."""
        columns = np.array([c for c, _ in entries], dtype=np.int32)
        values = np.array([v for _, v in entries], dtype=np.float64)
        self.highs.addRow(lower, upper, len(entries), columns, values)
        self._rows += 1

    def _add_column(self, cost: float, entries: Entries) -> int:
        """Append one column and return its number."""
        rows = np.array([r for r, _ in entries], dtype=np.int32)
        values = np.array([v for _, v in entries], dtype=np.float64)
        self.highs.addCol(
            float(cost), 0.0, highspy.kHighsInf, len(entries), rows, values
        )
        self._columns += 1
        return self._columns - 1


class _QuietHighs(highspy.Highs):
    """HiGHS that never prints.

    It greets on standard output when its callbacks are enabled, which its own
    constructor does before any option can be set (seen in 1.16).
    """

    def __init__(self) -> None:
        super().__init__()  # type: ignore[no-untyped-call]
        # One thread and a fixed seed: the same job gives the same plan.
        self.setOptionValue("threads", 1)
        self.setOptionValue("random_seed", 0)

    # typing.override needs Python 3.12; the spelling is the library's.
    def enableCallbacks(self) -> None:  # type: ignore[explicit-override]  # noqa: N802
        self.setOptionValue("output_flag", "false")
        super().enableCallbacks()  # type: ignore[no-untyped-call]
