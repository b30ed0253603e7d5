"""Plan anew once boards are cut and lengths taped. What is cut stays cut."""

from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace

from photomeasure.takeoff.cutting.checks import check_whole
from photomeasure.takeoff.cutting.errors import BadCuttingInput
from photomeasure.takeoff.cutting.limits import Limits
from photomeasure.takeoff.cutting.problem import Problem
from photomeasure.takeoff.cutting.result import Board, Cut, CuttingPlan
from photomeasure.takeoff.cutting.solver import solve
from photomeasure.takeoff.cutting.stock import Material, Stock
from photomeasure.takeoff.cutting.taping import Fate, Taping


@dataclass(frozen=True, slots=True, kw_only=True)
class Replan:
    """What is left to do after taping.

    Attributes
    ----------
    problem : Problem
        What remains to be cut, with the taped lengths and the offcuts in hand.
    plan : CuttingPlan
        The plan for it.
    kept : tuple of Board
        Boards already cut, as they were.
    shorten : tuple of Cut
        Cut pieces that must lose some of their length on site, with the
        length they shall have.
    spare : tuple of Cut
        Cut pieces that have become too short for their place or are not
        needed; they count as offcuts in hand.
    """

    problem: Problem
    plan: CuttingPlan
    kept: tuple[Board, ...]
    shorten: tuple[Cut, ...]
    spare: tuple[Cut, ...]


def replan(
    problem: Problem,
    plan: CuttingPlan,
    cut_boards: Collection[int],
    taped_mm: Mapping[str, int],
    *,
    delivered: bool = False,
    limits: Limits | None = None,
) -> Replan:
    """Plan what is left, without touching what is cut.

    Parameters
    ----------
    problem : Problem
        The job as it was planned.
    plan : CuttingPlan
        Its plan.
    cut_boards : collection of int
        Places in ``plan.boards``, from 0, of the boards already cut.
    taped_mm : mapping of str to int
        Taped lengths of pieces and runs by their ids; the others stay.
    delivered : bool
        Whether all boards of the plan are there already, so that only what
        is wanted beyond them costs anything.
    limits : Limits or None
        Time to be spent at most.

    Returns
    -------
    Replan
        The rest of the job and its plan.

    Raises
    ------
    BadCuttingInput
        If a board or a name is not part of the plan, or a taped length is
        impossible.

    Notes
    -----
    A cut piece of a run keeps its planned place, measured from the start of
    the run; what the tape finds is taken up by the pieces not yet cut.
    """
    _check(problem, plan, cut_boards, taped_mm)
    kept = tuple(plan.boards[place] for place in sorted(set(cut_boards)))
    uncut = [b for place, b in enumerate(plan.boards) if place not in set(cut_boards)]
    taping = Taping(problem, taped_mm)
    fates = [(board, cut, taping.fate(cut)) for board in kept for cut in board.cuts]
    spare = [(board, cut) for board, cut, fate in fates if fate is Fate.SPARE]
    used = [cut for _, cut, fate in fates if fate is not Fate.SPARE]
    gained = Counter(
        (board.stock.material, cut.length_mm) for board, cut in spare
    ) + Counter((board.stock.material, board.offcut_mm) for board in kept)
    if delivered:
        gained += Counter((b.stock.material, b.stock.length_mm) for b in uncut)
    rest = replace(
        problem,
        stocks=_stocks(problem, kept, uncut if delivered else [], gained),
        pieces=taping.pieces_left({cut.part for cut in used}),
        runs=taping.runs_left(used),
    )
    return Replan(
        problem=rest,
        plan=solve(rest, limits),
        kept=kept,
        shorten=tuple(
            taping.shortened(cut) for _, cut, fate in fates if fate is Fate.SHORTEN
        ),
        spare=tuple(cut for _, cut in spare),
    )


def _check(
    problem: Problem,
    plan: CuttingPlan,
    cut_boards: Collection[int],
    taped_mm: Mapping[str, int],
) -> None:
    """Every board and name must belong to the plan."""
    last = len(plan.boards) - 1
    for place in cut_boards:
        if not 0 <= place <= last:
            where = f"board {place}"
            raise BadCuttingInput(
                where, "it is not in the plan", f"name one from 0 to {last}"
            )
    known = {part.id for part in problem.parts}
    for name, length in taped_mm.items():
        if name not in known:
            raise BadCuttingInput(
                name,
                "it is not part of the job",
                "tape only pieces and runs of the job",
            )
        check_whole(name, "the taped length", length, 1)


def _stocks(
    problem: Problem,
    kept: tuple[Board, ...],
    delivered: list[Board],
    gained: Counter[tuple[Material, int]],
) -> tuple[Stock, ...]:
    """Take the boards used from the stock and add the offcuts in hand."""
    taken = Counter(board.stock for board in (*kept, *delivered))
    left: list[Stock] = []
    for stock in problem.stocks:
        if stock.count is None:
            left.append(stock)
        else:
            gone = min(taken[stock], stock.count)
            # Equal entries are one heap: take from the next what this one lacks.
            taken[stock] -= gone
            left.append(replace(stock, count=stock.count - gone))
    left += [
        Stock(material=material, length_mm=length, count=count, in_hand=True)
        for (material, length), count in sorted(gained.items())
        if length >= problem.keep_mm
    ]
    return tuple(left)
