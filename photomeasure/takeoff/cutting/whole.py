"""The best whole-number choice among given patterns."""

from collections.abc import Iterable
from dataclasses import dataclass

import highspy

from photomeasure.takeoff.cutting.clock import Clock
from photomeasure.takeoff.cutting.instance import Instance
from photomeasure.takeoff.cutting.master import Master
from photomeasure.takeoff.cutting.pattern import Pattern
from photomeasure.takeoff.cutting.solution import Solution, is_complete

WHOLE_COST_GAP = 0.9
"""Costs are whole: a bound less than one below the value settles it. Short of
1 by more than the solver's 1e-6."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What a search found.

    Attributes
    ----------
    solution : Solution or None
        The best found within the cost allowed.
    closed : bool
        Whether the patterns searched hold nothing better.
    """

    solution: Solution | None
    closed: bool


def choose(
    instance: Instance,
    patterns: Iterable[Pattern],
    costs: tuple[int, int],
    clock: Clock,
) -> Answer:
    """Search whole numbers of patterns for the least cost.

    Parameters
    ----------
    instance : Instance
        The job.
    patterns : iterable of Pattern
        Those to choose from.
    costs : (int, int)
        Proven lower bound, and the most that is of interest.
    clock : Clock
        Time left.

    Returns
    -------
    Answer
        Its solution has been checked in whole numbers.
    """
    if clock.is_over():
        return Answer(None, closed=False)
    master = Master(instance)
    master.add_patterns(patterns)
    master.restrict_cost(*costs)
    return search(master, clock)


def search(master: Master, clock: Clock) -> Answer:
    """Run branch and bound on a programme whose columns are whole."""
    highs = master.highs
    highs.setOptionValue("time_limit", clock.left_s())
    highs.setOptionValue("mip_rel_gap", 0.0)
    highs.setOptionValue("mip_abs_gap", WHOLE_COST_GAP)
    highs.run()
    status = highs.getModelStatus()
    if status == highspy.HighsModelStatus.kTimeLimit:
        clock.stopped()
    lacking = status in {
        highspy.HighsModelStatus.kInfeasible,
        highspy.HighsModelStatus.kUnboundedOrInfeasible,  # costs are >= 0
    }
    if lacking or not _has_point(highs):
        return Answer(None, closed=lacking)
    solution = master.whole_solution()
    sound = is_complete(master.instance, solution)
    optimal = status == highspy.HighsModelStatus.kOptimal
    return Answer(solution if sound else None, closed=sound and optimal)


def _has_point(highs: highspy.Highs) -> bool:
    """Whether the search ended with a feasible point."""
    status = highs.getInfo().primal_solution_status
    return bool(status == highspy.SolutionStatus.kSolutionStatusFeasible)
