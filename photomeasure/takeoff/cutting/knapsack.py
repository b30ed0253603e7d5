"""The most valuable pattern of a board, by dynamic programming.

Values are whole numbers, so every table entry is exact and a bound built on
it holds without any rounding error.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from photomeasure.takeoff.cutting.instance import Instance
from photomeasure.takeoff.cutting.pattern import Pattern, fill

Table = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Chunk:
    """Several copies of one size, taken together or not at all.

    Chunks of 1, 2, 4, ... copies build any number up to the bound.
    """

    size: int
    copies: int
    weight: int
    value: int


class Knapsack:
    """Best values for every capacity, smallest sizes first, kept offcut last.

    Parameters
    ----------
    instance : Instance
        Sizes and boards.
    values : tuple of int
        Value of one copy of each size, >= 0.
    keep_tables : bool
        Whether to keep the table before each size, for `Knapsack.before`.
    """

    def __init__(
        self, instance: Instance, values: tuple[int, ...], *, keep_tables: bool = False
    ) -> None:
        self.instance = instance
        self.values = values
        self.order = _order(instance)
        self.before: dict[int, Table] = {}
        self._chunks: list[Chunk] = []
        self._taken: list[npt.NDArray[np.bool_]] = []
        capacity = max(stock.capacity for stock in instance.stocks)
        self._plain = self._best = np.zeros(capacity + 1, dtype=np.int64)
        self._ends: list[list[int]] = [[] for _ in instance.stocks]
        self._fill(keep_tables)

    def value(self, stock: int) -> int:
        """Return the largest value of any pattern of a board."""
        table = self._best if self._has_offcut(stock) else self._plain
        return int(table[self.instance.stocks[stock].capacity])

    def patterns(self, stock: int, floor: int, most: int) -> list[Pattern]:
        """List patterns worth more than ``floor``, few sizes in common.

        Parameters
        ----------
        stock : int
            Index of the board.
        floor : int
            Value to be exceeded.
        most : int
            How many patterns to return at most.

        Returns
        -------
        list of Pattern
            Most valuable first; each made maximal.
        """
        ends = self._ends[stock]
        ranked = sorted(
            (end for end in range(len(ends)) if ends[end] > floor),
            key=lambda end: (-ends[end], -end),
        )
        found: list[Pattern] = []
        used: set[int] = set()
        for end in ranked:
            # Patterns without common sizes change the prices most at a time.
            if self._chunks[end].size not in used and len(found) < most:
                counts = self._trace(stock, end)
                used |= counts.keys()
                found.append(fill(self.instance, stock, counts))
        return found

    def _has_offcut(self, stock: int) -> bool:
        """Whether the kept offcut may lie on this board."""
        return self.instance.keeps_offcut and self.instance.holds_offcut(stock)

    def _fill(self, keep_tables: bool) -> None:  # noqa: FBT001 - private
        """Run through the sizes, each in chunks."""
        offcut = len(self.order) - 1 if self.instance.keeps_offcut else -1
        for place, size in enumerate(self.order):
            if place == offcut:
                self._plain = self._best
            if keep_tables:
                self.before[size] = self._best
            for chunk in self._chunks_of(size):
                self._take(chunk, last=place == offcut)
        if offcut < 0:
            self._plain = self._best

    def _chunks_of(self, size: int) -> list[Chunk]:
        """Split the copies of one size into chunks; worthless sizes have none."""
        weight, value = self.instance.weights[size], self.values[size]
        left, copies, chunks = self.instance.most[size], 1, []
        while left and value and weight < len(self._best):
            copies = min(copies, left)
            chunks.append(Chunk(size, copies, copies * weight, copies * value))
            left -= copies
            copies *= 2
        return chunks

    def _take(self, chunk: Chunk, *, last: bool) -> None:
        """Offer one chunk to every capacity."""
        offered = self._best[: -chunk.weight] + chunk.value
        for stock, ends in enumerate(self._ends):
            room = self.instance.stocks[stock].capacity - chunk.weight
            barred = room < 0 or (last and not self.instance.holds_offcut(stock))
            ends.append(-1 if barred else int(offered[room]))
        taken = offered > self._best[chunk.weight :]
        best = self._best.copy()
        np.maximum(best[chunk.weight :], offered, out=best[chunk.weight :])
        self._best = best
        self._chunks.append(chunk)
        self._taken.append(taken)

    def _trace(self, stock: int, end: int) -> dict[int, int]:
        """Collect the best pattern of a board whose last chunk is ``end``."""
        counts: dict[int, int] = {}
        room = self.instance.stocks[stock].capacity
        for place in range(end, -1, -1):
            chunk = self._chunks[place]
            left = room - chunk.weight
            if left >= 0 and (place == end or self._taken[place][left]):
                counts[chunk.size] = counts.get(chunk.size, 0) + chunk.copies
                room = left
        return counts


def _order(instance: Instance) -> tuple[int, ...]:
    """Sizes from the smallest up, the kept offcut last."""
    cut = len(instance.lengths) - (1 if instance.keeps_offcut else 0)
    kept = (cut,) if instance.keeps_offcut else ()
    return (*range(cut - 1, -1, -1), *kept)
