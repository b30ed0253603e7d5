"""Check a finished plan against its job, trusting nothing of the optimiser."""

from collections import Counter
from collections.abc import Iterator
from decimal import Decimal
from itertools import pairwise

from photomeasure.takeoff.cutting.problem import Problem
from photomeasure.takeoff.cutting.result import (
    Board,
    Cut,
    CuttingPlan,
    Division,
    longest_offcut,
)
from photomeasure.takeoff.cutting.run import Run, Supports


def faults_of(plan: CuttingPlan, problem: Problem) -> tuple[str, ...]:
    """List every rule that a plan breaks.

    Parameters
    ----------
    plan : CuttingPlan
        The plan.
    problem : Problem
        The job it is for.

    Returns
    -------
    tuple of str
        One sentence for each fault; empty for a sound plan.
    """
    found: list[str] = []
    for number, board in enumerate(plan.boards, 1):
        found += (f"board {number}: {fault}" for fault in _board(board, problem))
    found += _stock_counts(plan, problem)
    found += _pieces(plan, problem)
    divisions = {division.run: division for division in plan.divisions}
    for run in problem.runs:
        if run.id in divisions:
            found += (f"{run.id}: {f}" for f in _run(run, divisions[run.id], plan))
        else:
            found.append(f"{run.id}: the plan does not mention it")
    found += _goals(plan)
    return tuple(found)


def _board(board: Board, problem: Problem) -> Iterator[str]:
    """Cuts lie in order between the trims, a kerf apart, offcut as stated."""
    saw, length = problem.saw, board.stock.length_mm
    position = saw.trim_mm
    for cut in board.cuts:
        if cut.start_mm != position:
            yield f"{cut.part} starts at {cut.start_mm}, not at {position} mm"
        position = cut.end_mm + saw.kerf_mm
    if not board.cuts:
        yield "nothing is cut from it"
    elif board.cuts[-1].end_mm > length - saw.trim_mm:
        yield f"its cuts end at {board.cuts[-1].end_mm} of {length} mm"
    if board.offcut_mm != max(0, length - position):
        yield f"the offcut is {max(0, length - position)}, not {board.offcut_mm} mm"


def _stock_counts(plan: CuttingPlan, problem: Problem) -> Iterator[str]:
    """No board is used that is not there."""
    used = Counter(board.stock for board in plan.boards)
    there = Counter(stock for stock in problem.stocks if stock.count is None)
    for stock in problem.stocks:
        there[stock] += stock.count or 0
    for stock, count in used.items():
        if stock not in problem.stocks:
            yield f"there is no {stock.length_mm} mm board of {stock.material.label}"
        elif stock.count is not None and count > there[stock]:
            yield f"{count} boards of {stock.length_mm} mm used, {there[stock]} there"


def _pieces(plan: CuttingPlan, problem: Problem) -> Iterator[str]:
    """Every piece is cut once, in its length, from its material."""
    cuts: dict[str, list[tuple[Board, Cut]]] = {}
    for board in plan.boards:
        for cut in board.cuts:
            cuts.setdefault(cut.part, []).append((board, cut))
    for piece in problem.pieces:
        made = cuts.get(piece.id, [])
        if [cut.length_mm for _, cut in made] != [piece.length_mm]:
            yield f"{piece.id} is cut as {[cut.length_mm for _, cut in made]}"
    parts = {part.id: part.material for part in problem.parts}
    for name, made in cuts.items():
        if name not in parts:
            yield f"{name} is cut and nobody asked for it"
        elif any(board.stock.material != parts[name] for board, _ in made):
            yield f"{name} is cut from another material"


def _run(run: Run, division: Division, plan: CuttingPlan) -> Iterator[str]:
    """Its pieces join end to end and its joints obey its rules."""
    spans = sorted(
        (cut.along_mm, cut.along_mm + cut.length_mm + run.gap_mm)
        for board in plan.boards
        for cut in board.cuts
        if cut.part == run.id
    )
    spans = sorted([*spans, *run.cut_mm])
    edges = [0, *(edge for span in spans for edge in span), run.length_mm]
    if edges[::2] != edges[1::2]:
        yield f"its pieces {spans} do not cover {run.length_mm} mm"
    joints = tuple(start for start, _ in spans if start > 0)
    if joints != division.positions_mm:
        yield f"joints are at {joints}, not at {division.positions_mm}"
    given = {0, run.length_mm, *run.apexes_mm}
    given |= {edge for span in run.cut_mm for edge in span}
    for joint in joints:
        if joint not in given and not _may_join(run, joint):
            yield f"a joint at {joint} mm is not allowed"
    yield from (
        f"no joint at the apex at {apex} mm"
        for apex in run.apexes_mm
        if apex not in joints and not any(a < apex < b for a, b in run.cut_mm)
    )
    for start, end in pairwise((0, *joints, run.length_mm)):
        if end - start < run.min_piece_mm and not {start, end} <= given:
            yield f"the piece from {start} to {end} mm is too short"


def _may_join(run: Run, position_mm: int) -> bool:
    """Whether a joint of our choosing may lie here."""
    if isinstance(run.supports, Supports):
        beyond = position_mm - run.supports.offset_mm
        supported = beyond >= 0 and beyond % run.supports.spacing_mm == 0
    else:
        supported = run.supports is None or position_mm in run.supports
    return supported and run.is_clear(position_mm)


def _goals(plan: CuttingPlan) -> Iterator[str]:
    """Hold what the plan says of itself against its boards."""
    for part in plan.materials:
        name = part.material.label
        bought = [board.stock for board in part.boards if not board.stock.in_hand]
        cost = sum(
            stock.price if part.priced and stock.price else Decimal(stock.length_mm)
            for stock in bought
        )
        if cost != part.cost.value:
            yield f"{name}: the boards cost {cost}, not {part.cost.value}"
        if part.cost.bound > part.cost.value:
            yield f"{name}: the cost is below its bound"
        if sum(len(d.joints) for d in part.divisions) != part.joints.value:
            yield f"{name}: the joints are miscounted"
        kept = part.offcut.value
        if kept and kept != longest_offcut(part.boards):
            yield f"{name}: the longest offcut is not {kept} mm"
