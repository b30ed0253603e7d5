"""A run of board that may be joined, and where its joints may lie."""

from dataclasses import dataclass, replace
from itertools import pairwise

from photomeasure.takeoff.cutting.checks import check_inside, check_name, check_whole
from photomeasure.takeoff.cutting.errors import BadCuttingInput
from photomeasure.takeoff.cutting.stock import Material


@dataclass(frozen=True, slots=True)
class Supports:
    """Evenly spaced rafters or bearers along a run.

    Attributes
    ----------
    spacing_mm : int
        Centres, > 0.
    offset_mm : int
        Position of the first from the start of the run, >= 0.
    """

    spacing_mm: int
    offset_mm: int = 0

    def __post_init__(self) -> None:
        check_whole("supports", "spacing_mm", self.spacing_mm, 1)
        check_whole("supports", "offset_mm", self.offset_mm, 0)

    def positions_mm(self, length_mm: int) -> tuple[int, ...]:
        """Supports strictly inside a run of this length."""
        every = range(self.offset_mm, length_mm, self.spacing_mm)
        return tuple(position for position in every if position > 0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """A straight run of board, joined where one board does not reach.

    Attributes
    ----------
    id : str
        Name of its own within the job.
    length_mm : int
        From end to end, > 0, rounded up.
    material : Material
        What it is cut from.
    supports : Supports, tuple of int or None
        Where joints may lie, from the start of the run; None for anywhere.
    apexes_mm : tuple of int
        Joints that are there in any case, as at the apex of a gable.
    avoid_mm : tuple of int
        Joints of the board above or below, which ours must not line up with.
    clearance_mm : int
        Least distance from those, >= 0.
    min_piece_mm : int
        Shortest piece that may stand beside a joint of our choosing, > 0.
    gap_mm : int
        What each piece is shorter than its place, both ends together, >= 0: room
        for the board to grow.
    cut_mm : tuple of (int, int)
        Stretches whose boards are already cut: start and end, in order.
    """

    id: str
    length_mm: int
    material: Material
    supports: Supports | tuple[int, ...] | None = None
    apexes_mm: tuple[int, ...] = ()
    avoid_mm: tuple[int, ...] = ()
    clearance_mm: int = 0
    min_piece_mm: int = 1
    gap_mm: int = 0
    cut_mm: tuple[tuple[int, int], ...] = ()

    def __post_init__(self) -> None:
        check_name("run", self.id)
        check_whole(self.id, "length_mm", self.length_mm, 1)
        check_whole(self.id, "clearance_mm", self.clearance_mm, 0)
        check_whole(self.id, "min_piece_mm", self.min_piece_mm, 1)
        check_whole(self.id, "gap_mm", self.gap_mm, 0)
        check_inside(self.id, "apex", self.apexes_mm, self.length_mm)
        if isinstance(self.supports, tuple):
            check_inside(self.id, "support", self.supports, self.length_mm)
        self._check_cut()

    def clear_of(self, joints_mm: tuple[int, ...], clearance_mm: int) -> "Run":
        """Return the same run, its joints kept off those of the board beside it."""
        avoid = tuple(sorted({*self.avoid_mm, *joints_mm}))
        return replace(self, avoid_mm=avoid, clearance_mm=clearance_mm)

    def stretches_mm(self) -> tuple[tuple[int, int], ...]:
        """Stretches still to be cut, between ends, apexes and what is cut."""
        edges = {edge for span in self.cut_mm for edge in span}
        nodes = sorted({0, self.length_mm, *self.apexes_mm, *edges})
        return tuple(
            (start, end)
            for start, end in pairwise(nodes)
            if not any(a <= start and end <= b for a, b in self.cut_mm)
        )

    def is_clear(self, position_mm: int) -> bool:
        """Whether a joint here keeps off the joints of the board beside it."""
        return all(abs(position_mm - a) >= self.clearance_mm for a in self.avoid_mm)

    def _check_cut(self) -> None:
        """Stretches already cut follow one another within the run."""
        edges = [0, *(edge for span in self.cut_mm for edge in span), self.length_mm]
        spans_ok = all(start < end for start, end in self.cut_mm)
        if edges != sorted(edges) or not spans_ok:
            raise BadCuttingInput(
                self.id,
                "the stretches already cut overlap or leave the run",
                "give them in order from start to end",
            )
