"""Plan anew once the fitter has taped lengths, without touching what is cut."""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from math import ceil

from calibration.errors import InputError, UnknownName
from photomeasure.layout import heading, marked
from photomeasure.takeoff.assemble import Taken
from photomeasure.takeoff.cutting import Board, Cut, CuttingPlan, Limits, Replan, replan
from photomeasure.takeoff.model import BoardPiece
from photomeasure.takeoff.pieces import board_pieces
from photomeasure.takeoff.proof import unproven
from photomeasure.takeoff.runs import BoardRun


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Replanned:
    """The job after taping.

    Attributes
    ----------
    replan : Replan
        What stays, what must be shortened or is spare, and the plan of the rest.
    pieces : tuple of BoardPiece
        All pieces of all runs with the lengths they shall have now.
    """

    replan: Replan
    pieces: tuple[BoardPiece, ...]


def plan_anew(
    taken: Taken,
    cut_boards: Collection[int],
    taped_mm: Mapping[str, float],
    *,
    delivered: bool = True,
    limits: Limits | None = None,
) -> Replanned:
    """Plan what is left with taped lengths.

    Parameters
    ----------
    taken : Taken
        The take-off that the cutting followed.
    cut_boards : collection of int
        Numbers, from 1, of the boards already cut.
    taped_mm : mapping of str to float
        Taped length of lines by their name.
    delivered : bool
        Whether the boards of the plan are there, so that only more of them cost.
    limits : Limits or None
        Time for cutting.

    Returns
    -------
    Replanned

    Raises
    ------
    InputError
        If there is no such board or line.
    """
    if taken.planned is None:
        raise InputError("take-off", "there is no plan", "lift its stops first")
    names = {run.source.name for run in taken.work.runs}
    for name in taped_mm:
        if name not in names:
            raise UnknownName("taped lengths", name, names)
    count = len(taken.planned.plan.boards)
    for number in cut_boards:
        if not 1 <= number <= count:
            raise InputError(
                f"board {number}", "is not in the plan", f"name one from 1 to {count}"
            )
    runs = tuple(_taped(run, taped_mm) for run in taken.work.runs)
    found = replan(
        taken.planned.problem,
        taken.planned.plan,
        {number - 1 for number in cut_boards},
        {run.part: run.run.length_mm for run in runs if run.source.name in taped_mm},
        delivered=delivered,
        limits=limits,
    )
    boards = (*_as_used(found), *found.plan.boards)
    return Replanned(replan=found, pieces=board_pieces(runs, boards))


def replan_table(planned: Replanned) -> str:
    """Return the new plan as text.

    Parameters
    ----------
    planned : Replanned

    Returns
    -------
    str
    """
    found = planned.replan
    blocks = [
        ["planned anew; boards already cut stay as they are"],
        _listed(
            "shorten on site", [f"{c.part} to {c.length_mm} mm" for c in found.shorten]
        ),
        _listed("spare", [f"{c.part}, {c.length_mm} mm" for c in found.spare]),
        _listed("still to cut", [_board(board) for board in found.plan.boards]),
        _listed("not proven to be the best", [*_unproven(found.plan)]),
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _unproven(plan: CuttingPlan) -> Iterator[str]:
    for part in plan.materials:
        if not part.proven:
            yield f"{part.material.label}: {'; '.join(unproven(part))}"


def _listed(title: str, entries: list[str]) -> list[str]:
    if not entries:
        return []
    return [*heading(title), *(text for entry in entries for text in marked("  ", entry))]


def _board(board: Board) -> str:
    origin = "there already" if board.stock.in_hand else "to be bought"
    cuts = " + ".join(f"{cut.length_mm} {cut.part}" for cut in board.cuts)
    stock = f"{board.stock.material.label}, {board.stock.length_mm} mm, {origin}"
    return f"{stock}: {cuts}, {board.offcut_mm} left"


def _taped(run: BoardRun, taped_mm: Mapping[str, float]) -> BoardRun:
    """Give a run its taped length; what its points take up on top stays."""
    if run.source.name not in taped_mm:
        return run
    more = ceil(taped_mm[run.source.name] - 1e-3) - run.source.length_mm
    length = max(1, run.run.length_mm + more)
    return replace(run, run=replace(run.run, length_mm=length))


def _as_used(found: Replan) -> list[Board]:
    """Return the boards already cut with their pieces as they will be used."""
    shorter = {(cut.part, cut.along_mm): cut for cut in found.shorten}
    spare = set(found.spare)

    def used(cuts: tuple[Cut, ...]) -> tuple[Cut, ...]:
        kept = (cut for cut in cuts if cut not in spare)
        return tuple(shorter.get((cut.part, cut.along_mm), cut) for cut in kept)

    return [replace(board, cuts=used(board.cuts)) for board in found.kept]
