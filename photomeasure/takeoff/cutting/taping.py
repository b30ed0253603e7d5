"""What the tape makes of pieces that are cut and of those that are not."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import replace
from enum import Enum, auto

from photomeasure.takeoff.cutting.problem import Piece, Problem
from photomeasure.takeoff.cutting.result import Cut
from photomeasure.takeoff.cutting.run import Run


class Fate(Enum):
    """What becomes of a cut piece."""

    FITS = auto()
    SHORTEN = auto()
    SPARE = auto()


class Taping:
    """Taped lengths against a job.

    Parameters
    ----------
    problem : Problem
        The job as it was planned.
    taped_mm : mapping of str to int
        Taped lengths by id.
    """

    def __init__(self, problem: Problem, taped_mm: Mapping[str, int]) -> None:
        self.problem = problem
        self.planned_mm = {part.id: part.length_mm for part in problem.parts}
        self.taped_mm = {**self.planned_mm, **taped_mm}
        self.gap_mm = {run.id: run.gap_mm for run in problem.runs}

    def room_mm(self, cut: Cut) -> int:
        """Length of the place a cut piece was meant for, now that it is taped."""
        taped, gap = self.taped_mm[cut.part], self.gap_mm.get(cut.part, 0)
        end = cut.along_mm + cut.length_mm + gap
        # The last piece of a run reaches to its end, wherever that is now.
        at_end = end == self.planned_mm[cut.part]
        return (taped if at_end else min(end, taped)) - cut.along_mm - gap

    def fate(self, cut: Cut) -> Fate:
        """Say whether a cut piece fits, must be shortened or is of no use."""
        room = self.room_mm(cut)
        if room <= 0 or room > cut.length_mm:
            return Fate.SPARE
        return Fate.FITS if room == cut.length_mm else Fate.SHORTEN

    def shortened(self, cut: Cut) -> Cut:
        """Give a cut piece the length of its place."""
        return replace(cut, length_mm=self.room_mm(cut))

    def pieces_left(self, done: Collection[str]) -> tuple[Piece, ...]:
        """List the whole pieces still to be cut, as taped."""
        return tuple(
            replace(piece, length_mm=self.taped_mm[piece.id])
            for piece in self.problem.pieces
            if piece.id not in done
        )

    def runs_left(self, used: Iterable[Cut]) -> tuple[Run, ...]:
        """Give the runs as taped, with the stretches that are cut."""
        spans: dict[str, set[tuple[int, int]]] = {}
        for cut in used:
            room = self.room_mm(cut) + self.gap_mm.get(cut.part, 0)
            span = (cut.along_mm, cut.along_mm + room)
            spans.setdefault(cut.part, set()).add(span)
        return tuple(
            self._taped(run, spans.get(run.id, set())) for run in self.problem.runs
        )

    def _taped(self, run: Run, spans: set[tuple[int, int]]) -> Run:
        """Give a run its taped length, and drop the supports beyond it."""
        length, supports = self.taped_mm[run.id], run.supports
        if isinstance(supports, tuple):
            supports = tuple(p for p in supports if p < length)
        cut = tuple(sorted({*run.cut_mm, *spans}))
        return replace(run, length_mm=length, supports=supports, cut_mm=cut)
