"""What each part of the take-off is given and what it hands back."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from photomeasure.job.takeoff import BoardKind
from photomeasure.takeoff.cutting import CuttingPlan, Problem
from photomeasure.takeoff.house import House
from photomeasure.takeoff.model import BoardPiece, Quantity, Shape, Verdict
from photomeasure.takeoff.rules import Rulebook
from photomeasure.takeoff.runs import BoardRun, BoxEnd


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Work:
    """The house with everything that is cut for it.

    Attributes
    ----------
    house : House
    pieces : tuple of BoardPiece
        Finished pieces, joints decided.
    shapes : tuple of Shape
    problem : Problem or None
        What was asked of the optimiser; None if there is nothing to cut.
    plan : CuttingPlan or None
    runs : tuple of BoardRun
        What the pieces were divided from.
    box_ends : tuple of BoxEnd
    """

    house: House
    pieces: tuple[BoardPiece, ...]
    shapes: tuple[Shape, ...]
    problem: Problem | None
    plan: CuttingPlan | None
    runs: tuple[BoardRun, ...] = ()
    box_ends: tuple[BoxEnd, ...] = ()

    def runs_of(self, *kinds: BoardKind) -> tuple[BoardRun, ...]:
        """Return the runs of some kinds."""
        return tuple(run for run in self.runs if run.kind in kinds)

    def pieces_of(self, run: BoardRun) -> tuple[BoardPiece, ...]:
        """Return the pieces of one run."""
        return tuple(piece for piece in self.pieces if piece.part == run.part)


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """What one part of the take-off found.

    Attributes
    ----------
    quantities : tuple of Quantity
    verdicts : tuple of Verdict
    cautions : tuple of str
    rules : tuple of str
        Keys of rules used beside those that the quantities name, as by verdicts.
    """

    quantities: tuple[Quantity, ...] = ()
    verdicts: tuple[Verdict, ...] = ()
    cautions: tuple[str, ...] = ()
    rules: tuple[str, ...] = ()


PartBuilder = Callable[[Work, Rulebook], Part]
"""A part of the take-off: a pure function."""


def together(parts: Iterable[Part]) -> Part:
    """Return several parts as one, cautions said once."""
    found = tuple(parts)
    return Part(
        quantities=tuple(q for part in found for q in part.quantities),
        verdicts=tuple(v for part in found for v in part.verdicts),
        cautions=tuple(dict.fromkeys(c for part in found for c in part.cautions)),
        rules=tuple(dict.fromkeys(r for part in found for r in part.rules)),
    )
