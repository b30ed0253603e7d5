"""From patterns and flows to named cuts on boards."""

from collections import deque
from collections.abc import Iterable
from itertools import pairwise

from photomeasure.takeoff.cutting.instance import Instance
from photomeasure.takeoff.cutting.network import walk
from photomeasure.takeoff.cutting.pattern import Pattern
from photomeasure.takeoff.cutting.problem import Problem
from photomeasure.takeoff.cutting.result import Board, Cut, Division, Joint, JointKind
from photomeasure.takeoff.cutting.run import Run
from photomeasure.takeoff.cutting.solution import Solution
from photomeasure.takeoff.cutting.stock import Material, Saw, Stock

Part = tuple[str, int]
"""Piece or run, and where on the run it starts."""


def boards_of(
    problem: Problem, material: Material, instance: Instance, solution: Solution
) -> tuple[Board, ...]:
    """Name every cut of a solution; what is cut too much is left out.

    Parameters
    ----------
    problem : Problem
        The job.
    material : Material
        Which part of it.
    instance : Instance
        The same in whole numbers.
    solution : Solution
        Its answer.

    Returns
    -------
    tuple of Board
        Ordered by board, then by what is cut from it.
    """
    queues = _parts(problem, material, instance, solution)
    boards = []
    for pattern, count in sorted(solution.patterns):
        stock = instance.stocks[pattern.stock].stock
        for _ in range(count):
            parts = _take(pattern, instance, queues)
            if parts:
                boards.append(lay_out(stock, parts, problem.saw))
    return tuple(boards)


def lay_out(stock: Stock, parts: Iterable[tuple[Part, int]], saw: Saw) -> Board:
    """Put parts on a board one behind another, a kerf after each.

    Parameters
    ----------
    stock : Stock
        The board.
    parts : iterable of (Part, int)
        Parts with their lengths, millimetres, in the order of cutting.
    saw : Saw
        Kerf and trim.

    Returns
    -------
    Board
        Trimmed at its start.
    """
    cuts, position = [], saw.trim_mm
    for (name, along), length in parts:
        cuts.append(Cut(name, position, length, along))
        position += saw.weight_mm(length)
    lengths = tuple(cut.length_mm for cut in cuts)
    return Board(stock, tuple(cuts), saw.offcut_mm(stock.length_mm, lengths))


def divisions_of(runs: Iterable[Run], boards: Iterable[Board]) -> tuple[Division, ...]:
    """Read the joints of every run off the cuts and what was cut before.

    Parameters
    ----------
    runs : iterable of Run
        Runs of one material.
    boards : iterable of Board
        Their boards.

    Returns
    -------
    tuple of Division
        One for each run, joined or not.
    """
    starts: dict[str, set[int]] = {}
    for board in boards:
        for cut in board.cuts:
            starts.setdefault(cut.part, set()).add(cut.along_mm)
    return tuple(Division(run.id, _joints(run, starts.get(run.id, set()))) for run in runs)


def _joints(run: Run, starts: set[int]) -> tuple[Joint, ...]:
    """Every start of a piece but the first is a joint."""
    edges = starts | {start for start, _ in run.cut_mm}
    return tuple(
        Joint(p, JointKind.APEX if p in run.apexes_mm else JointKind.IN_LINE)
        for p in sorted(edges - {0})
    )


def _parts(
    problem: Problem, material: Material, instance: Instance, solution: Solution
) -> dict[int, deque[Part]]:
    """Parts of each length, pieces before runs, in the order of the job."""
    queues: dict[int, deque[Part]] = {}
    for piece in problem.pieces:
        if piece.material == material:
            queues.setdefault(piece.length_mm, deque()).append((piece.id, 0))
    for net, flow in zip(instance.networks, solution.flows, strict=True):
        for (run_id, start), path in zip(net.members, walk(net, flow), strict=True):
            for tail, head in pairwise(path):
                part = (run_id, start + tail)
                queues.setdefault(head - tail - net.gap_mm, deque()).append(part)
    return queues


def _take(
    pattern: Pattern, instance: Instance, queues: dict[int, deque[Part]]
) -> list[tuple[Part, int]]:
    """Take the parts of one board from the queues, longest first."""
    cut = len(instance.lengths) - instance.keeps_offcut
    parts = []
    for size, copies in pattern.counts:
        length = instance.lengths[size]
        queue = queues.get(length, deque()) if size < cut else deque()
        parts += [(queue.popleft(), length) for _ in range(min(copies, len(queue)))]
    return parts
