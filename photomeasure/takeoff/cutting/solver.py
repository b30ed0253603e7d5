"""Solve a cutting job: fewest joints, then least cost, then longest offcut."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import partial

from photomeasure.takeoff.cutting.assembly import boards_of, divisions_of
from photomeasure.takeoff.cutting.clock import Clock
from photomeasure.takeoff.cutting.errors import StockShort, UnsoundPlan
from photomeasure.takeoff.cutting.instance import (
    Instance,
    build_instance,
    limit_pieces,
)
from photomeasure.takeoff.cutting.limits import Limits
from photomeasure.takeoff.cutting.minimum import Minimum, minimise
from photomeasure.takeoff.cutting.offcut import OffcutSearch
from photomeasure.takeoff.cutting.problem import Problem
from photomeasure.takeoff.cutting.result import Board, CuttingPlan, Goal, MaterialPlan
from photomeasure.takeoff.cutting.solution import Solution
from photomeasure.takeoff.cutting.stock import Material
from photomeasure.takeoff.cutting.verify import faults_of


@dataclass(frozen=True, slots=True)
class Cheapest:
    """Fewest joints and least cost of one material.

    Attributes
    ----------
    instance : Instance
        With the divisions allowed by the fewest joints.
    solution : Solution
        Its answer.
    minimum : Minimum
        With the bound on the cost.
    extra : int
        Joints beyond the sum of the runs' own minima.
    least_extra : int
        What ``extra`` is proven to be at least.
    """

    instance: Instance
    solution: Solution
    minimum: Minimum
    extra: int
    least_extra: int


def solve(problem: Problem, limits: Limits | None = None) -> CuttingPlan:
    """Plan the cutting of a job, each material apart.

    Parameters
    ----------
    problem : Problem
        The job.
    limits : Limits or None
        Time to be spent at most; None for the usual.

    Returns
    -------
    CuttingPlan
        Checked; says of each aim what is proven.

    Raises
    ------
    NoJointAllowed
        If a run cannot be divided under its joint rules.
    StockShort
        If the boards given do not suffice.

    Examples
    --------
    >>> from photomeasure.takeoff.cutting import Piece, Problem, Stock
    >>> board = Material("fascia 18", 200, "white")
    >>> problem = Problem(
    ...     stocks=(Stock(material=board, length_mm=5000),),
    ...     pieces=tuple(Piece(f"p{i}", 2400, board) for i in range(3)),
    ... )
    >>> plan = solve(problem)
    >>> len(plan.boards), plan.materials[0].offcut.value, plan.proven
    (2, 2600, True)
    """
    clock = Clock((limits or Limits()).time_s)
    materials = problem.materials
    plans = []
    for done, material in enumerate(materials):
        share = clock.part(1.0 / (len(materials) - done))
        plans.append(_solve_material(problem, material, share))
    plan = CuttingPlan(tuple(plans))
    faults = faults_of(plan, problem)
    if faults:
        raise UnsoundPlan(faults)
    return plan


def _solve_material(problem: Problem, material: Material, clock: Clock) -> MaterialPlan:
    """Reach the three aims of one material in their order."""
    cheapest = _cheapest(problem, material, clock)
    instance, minimum = cheapest.instance, cheapest.minimum
    cost = cheapest.solution.cost(instance)
    lower = cost if minimum.lower is None else minimum.lower
    lay_out = partial(boards_of, problem, material)
    search = OffcutSearch(
        saw=problem.saw,
        keep_mm=problem.keep_mm,
        lay_out=lay_out,
        clock=clock,
        patterns=minimum.patterns,
    )
    boards = lay_out(instance, cheapest.solution)
    kept = search.longest(instance, (lower, cost), boards)
    runs = tuple(run for run in problem.runs if run.material == material)
    divisions = divisions_of(runs, kept.boards)
    joints = sum(len(division.joints) for division in divisions)
    return MaterialPlan(
        material=material,
        boards=kept.boards,
        divisions=divisions,
        priced=problem.is_priced(material),
        joints=Goal(joints, joints - cheapest.extra + cheapest.least_extra),
        cost=Goal(_spent(kept.boards, problem), _money(lower, instance)),
        offcut=Goal(kept.offcut_mm, kept.bound_mm),
        cut_short=clock.cut_short,
    )


def _cheapest(problem: Problem, material: Material, clock: Clock) -> Cheapest:
    """Allow one joint more at a time until the boards suffice.

    Boards without limit suffice at once. Only where long boards are few can
    it take more joints than every run needs for itself.
    """
    whole = build_instance(problem, material)
    most = sum(net.count * (len(net.nodes_mm) - 1 - net.fewest) for net in whole.networks)
    least: int | None = None
    for extra in range(most + 1):
        instance = limit_pieces(whole, extra, problem.saw)
        minimum = minimise(instance, clock)
        if minimum.lower is not None and least is None:
            least = extra
        if minimum.solution:
            known = extra if least is None else least
            return Cheapest(instance, minimum.solution, minimum, extra, known)
        if clock.is_over():
            break
    raise StockShort(material.label, proven=least is None and not clock.is_over())


def _spent(boards: tuple[Board, ...], problem: Problem) -> Decimal:
    """Cost of the boards themselves: surplus left out may have saved one."""
    return sum(
        (
            board.stock.price
            if problem.is_priced(board.stock.material) and board.stock.price
            else Decimal(board.stock.length_mm)
            for board in boards
            if not board.stock.in_hand
        ),
        Decimal(0),
    )


def _money(cost: int, instance: Instance) -> Decimal:
    """Turn cost units back into money or millimetres, exactly."""
    amount = Fraction(cost) * instance.cost_unit
    return Decimal(amount.numerator) / Decimal(amount.denominator)
