"""The cutting plan of a house: fascias first, then soffits clear of their joints."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from photomeasure.job.takeoff import BoardKind, TakeoffSpec
from photomeasure.takeoff.boards import Boards
from photomeasure.takeoff.cutting import (
    CuttingPlan,
    Limits,
    Piece,
    Problem,
    Run,
    Saw,
    solve,
)
from photomeasure.takeoff.house import Eaves
from photomeasure.takeoff.rules import Rulebook
from photomeasure.takeoff.runs import BoardRun, BoxEnd


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Planned:
    """What is cut, and how.

    Attributes
    ----------
    problem : Problem
        Of all boards, soffits kept clear of the fascia's joints.
    plan : CuttingPlan
        Its plan.
    """

    problem: Problem
    plan: CuttingPlan


def plan_boards(
    runs: tuple[BoardRun, ...],
    box_ends: tuple[BoxEnd, ...],
    boards: Boards,
    rules: Rulebook,
    limits: Limits | None = None,
) -> Planned | None:
    """Plan all boards of a house.

    Parameters
    ----------
    runs : tuple of BoardRun
    box_ends : tuple of BoxEnd
    boards : Boards
    rules : Rulebook
    limits : Limits or None
        Time of each of two steps.

    Returns
    -------
    Planned or None
        None if there is nothing to cut.

    Raises
    ------
    InputError
        If boards or joint rules allow no plan.

    Notes
    -----
    Fascias are planned without regard to soffits, then soffits around their joints:
    the fewest joints and least cost are proven for each step, in this order.
    """
    pieces = tuple(piece for box in box_ends for piece in box.pieces)
    materials = {run.material for run in runs} | {p.material for p in pieces}
    if not materials:
        return None
    whole = Problem(
        stocks=boards.stocks(sorted(materials)),
        pieces=pieces,
        runs=tuple(run.run for run in runs),
        saw=saw_of(boards.spec, rules),
        keep_mm=rules.whole("saw.keep_mm"),
        joint_step_mm=rules.whole("joints.barge_step_mm"),
    )
    return _in_two_steps(whole, runs, rules.whole("joints.stagger_mm"), limits)


def saw_of(spec: TakeoffSpec, rules: Rulebook) -> Saw:
    """Return the saw that the job states, else the usual one.

    Parameters
    ----------
    spec : TakeoffSpec
    rules : Rulebook

    Returns
    -------
    Saw
    """
    kerf, trim = spec.saw.kerf_mm, spec.saw.trim_mm
    return Saw(
        kerf_mm=rules.whole("saw.kerf_mm") if kerf is None else kerf,
        trim_mm=rules.whole("saw.trim_mm") if trim is None else trim,
    )


def _in_two_steps(
    whole: Problem, runs: tuple[BoardRun, ...], stagger_mm: int, limits: Limits | None
) -> Planned:
    hanging = {run.part for run in runs if run.kind is BoardKind.SOFFIT}
    above = _part_of(whole, [r for r in whole.runs if r.id not in hanging], whole.pieces)
    first = solve(above, limits)
    joints = {
        run.source.line: first.joints_of(run.part)
        for run in runs
        if run.kind is BoardKind.FASCIA
    }
    clear = {
        run.part: run.run.clear_of(_shifted(joints[run.source.line], run), stagger_mm)
        for run in runs
        if run.part in hanging and isinstance(run.source, Eaves)
    }
    problem = replace(whole, runs=tuple(clear.get(r.id, r) for r in whole.runs))
    soffits = [run for run in problem.runs if run.id in hanging]
    if not soffits:
        return Planned(problem=problem, plan=first)
    if {run.material for run in soffits} & set(above.materials):
        # One board serves both: plan them together, fascia joints staying put.
        return _together(problem, first, limits)
    second = solve(_part_of(problem, soffits, ()), limits)
    plans = sorted((*first.materials, *second.materials), key=lambda p: p.material)
    return Planned(problem=problem, plan=CuttingPlan(tuple(plans)))


def _together(problem: Problem, first: CuttingPlan, limits: Limits | None) -> Planned:
    fixed = {division.run: division.positions_mm for division in first.divisions}
    runs = tuple(
        replace(run, supports=fixed[run.id]) if run.id in fixed else run
        for run in problem.runs
    )
    problem = replace(problem, runs=runs)
    return Planned(problem=problem, plan=solve(problem, limits))


def _part_of(problem: Problem, runs: Iterable[Run], pieces: tuple[Piece, ...]) -> Problem:
    return replace(problem, runs=tuple(runs), pieces=pieces)


def _shifted(joints_mm: tuple[int, ...], run: BoardRun) -> tuple[int, ...]:
    """Return fascia joints as positions on a soffit, which may start before it."""
    shift = round(run.start.behind_mm)
    return tuple(p + shift for p in joints_mm if 0 < p + shift < run.run.length_mm)
