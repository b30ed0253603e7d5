"""The least cost of one instance, with its proof as far as it goes."""

from dataclasses import dataclass, replace

from photomeasure.takeoff.cutting.clock import Clock
from photomeasure.takeoff.cutting.counts import count_choices, dearest_of
from photomeasure.takeoff.cutting.dive import MANY_SIZES, SHARES_FIXED, dive
from photomeasure.takeoff.cutting.enumeration import MOST_PATTERNS, improving_patterns
from photomeasure.takeoff.cutting.first_fit import first_fit
from photomeasure.takeoff.cutting.gap import within_gap
from photomeasure.takeoff.cutting.generation import Relaxation, relax
from photomeasure.takeoff.cutting.instance import Instance
from photomeasure.takeoff.cutting.pattern import Pattern, fill
from photomeasure.takeoff.cutting.shuffle import shuffle_joints
from photomeasure.takeoff.cutting.solution import Solution
from photomeasure.takeoff.cutting.whole import Answer, choose

SHARE_FOR_BOUND = 0.6
"""Share of the time that column generation may take at most; rounding a
thousand sizes takes about a tenth of that (measured)."""

FEW_PATTERNS = 1500
"""So many patterns are searched at once, without a try among the generated
ones: branch and bound takes about as long for either (measured)."""


@dataclass(frozen=True, slots=True)
class Minimum:
    """What is known about the least cost.

    Attributes
    ----------
    solution : Solution or None
        The best found.
    lower : int or None
        Proven lower bound on the cost; None if it is proven that the boards
        do not suffice.
    patterns : tuple of Pattern
        Patterns made on the way, worth beginning with the next time.
    """

    solution: Solution | None
    lower: int | None
    patterns: tuple[Pattern, ...]


def minimise(instance: Instance, clock: Clock) -> Minimum:
    """Find the least cost and prove it.

    Parameters
    ----------
    instance : Instance
        The job.
    clock : Clock
        Time left; when it is over, the gap stays open.

    Returns
    -------
    Minimum
        Proven where the cost of its solution equals its lower bound.

    Notes
    -----
    First fit gives a start, column generation the bound, branch and bound over
    its patterns usually a solution that meets the bound. Where it does not,
    every pattern that a better solution could use is enumerated.
    """
    start = first_fit(instance)
    known = _filled(instance, start) if start else ()
    relaxed = relax(instance, known, clock.part(SHARE_FOR_BOUND))
    if relaxed.bound is None:
        return Minimum(None, None, relaxed.patterns)
    upper = start.cost(instance) - 1 if start else dearest(instance)
    answer = find(instance, relaxed, upper, clock)
    best = answer.solution or start
    if best is None:
        return _any(instance, relaxed, clock)
    if not answer.closed:
        return _shuffled(instance, _close(instance, relaxed, best, clock), clock)
    return Minimum(best, best.cost(instance), relaxed.patterns)


def _any(instance: Instance, relaxed: Relaxation, clock: Clock) -> Minimum:
    """Find any solution at all, or prove that there is none."""
    answer = prove(instance, relaxed, None, clock)
    lower: int | None = relaxed.lower
    if answer.closed:
        lower = answer.solution.cost(instance) if answer.solution else None
    return Minimum(answer.solution, lower, relaxed.patterns)


def _shuffled(instance: Instance, known: Minimum, clock: Clock) -> Minimum:
    """Move joints about where a gap is left."""
    if known.solution is None or known.lower is None:
        return known
    if known.solution.cost(instance) <= known.lower:
        return known
    best = shuffle_joints(instance, known.solution, known.lower, clock)
    return replace(known, solution=best)


def _close(
    instance: Instance, relaxed: Relaxation, best: Solution, clock: Clock
) -> Minimum:
    """Find something cheaper than the best, or prove that there is nothing.

    Jobs with several board lengths have many costs between bound and best, and
    branch and bound over all of them is slow. With the number of boards of each
    length given, the linear programme is sharp and mostly has no solution.
    """
    upper = best.cost(instance)
    shares = count_choices(instance, relaxed.lower, upper - 1) or [instance]
    lower = upper
    for share in shares:
        again = relaxed if share is instance else relax(share, relaxed.patterns, clock)
        ceiling = min(upper - 1, dearest_of(share))
        answer = find(share, again, ceiling, clock)
        if not answer.closed:
            answer = prove(share, again, ceiling, clock)
        if answer.solution:
            best, upper = answer.solution, answer.solution.cost(instance)
        if not answer.closed:
            lower = min(lower, max(relaxed.lower, again.lower))
    return Minimum(best, min(lower, upper), relaxed.patterns)


def prove(
    instance: Instance,
    relaxed: Relaxation,
    ceiling: int | None,
    clock: Clock,
    most: int = MOST_PATTERNS,
) -> Answer:
    """Search all patterns that a solution up to some cost could use.

    Parameters
    ----------
    instance : Instance
        The job.
    relaxed : Relaxation
        Its bound and prices.
    ceiling : int or None
        Cost that is wanted; None for any.
    clock : Clock
        Time left.
    most : int
        Give up if there are more patterns.

    Returns
    -------
    Answer
        Closed if the answer is final; open if there are too many patterns.
    """
    if relaxed.bound is None:
        return Answer(None, closed=True)
    patterns = improving_patterns(instance, relaxed.bound, ceiling, clock, most)
    if patterns is None:
        return Answer(None, closed=False)
    upper = dearest(instance) if ceiling is None else ceiling
    return choose(instance, patterns, (relaxed.lower, upper), clock)


def dearest(instance: Instance) -> int:
    """Return a cost no sensible solution exceeds: a dearest board a piece."""
    pieces = sum(instance.demand)
    pieces += sum(net.count * (len(net.nodes_mm) - 1) for net in instance.networks)
    return pieces * max(stock.cost for stock in instance.stocks)


def find(instance: Instance, relaxed: Relaxation, ceiling: int, clock: Clock) -> Answer:
    """Look for a solution up to some cost, in all patterns if they are few.

    Parameters
    ----------
    instance : Instance
        The job.
    relaxed : Relaxation
        Its bound and patterns.
    ceiling : int
        Cost that is wanted.
    clock : Clock
        Time left.

    Returns
    -------
    Answer
        Closed if nothing cheaper exists than what was found, or nothing at
        all up to the ceiling; open if it is not known.
    """
    if relaxed.bound is None or relaxed.lower > ceiling:
        return Answer(None, closed=True)
    if len(instance.lengths) <= MANY_SIZES:
        answer = prove(instance, relaxed, ceiling, clock, most=FEW_PATTERNS)
        if answer.closed:
            return answer
        useful = within_gap(instance, relaxed.patterns, relaxed.bound, ceiling)
        answer = choose(instance, useful, (relaxed.lower, ceiling), clock)
        if answer.solution:
            best = answer.solution
            return Answer(best, closed=_meets(instance, best, relaxed.lower))
    return _round(instance, relaxed, ceiling, clock)


def _round(instance: Instance, relaxed: Relaxation, ceiling: int, clock: Clock) -> Answer:
    """Round the linear programme, each time more carefully, and choose once more."""
    lower, best, patterns = relaxed.lower, None, relaxed.patterns
    for share in SHARES_FIXED:
        # A tight ceiling would turn an easy choice into a search for a proof.
        costs = (lower, dearest(instance))
        found, patterns = dive(instance, patterns, costs, share, clock)
        if found and found.cost(instance) <= ceiling:
            best, ceiling = found, found.cost(instance) - 1
        if _meets(instance, best, lower):
            return Answer(best, closed=True)
    if relaxed.bound is not None:
        useful = within_gap(instance, patterns, relaxed.bound, ceiling)
        best = choose(instance, useful, (lower, ceiling), clock).solution or best
    return Answer(best, closed=_meets(instance, best, lower))


def _meets(instance: Instance, solution: Solution | None, lower: int) -> bool:
    """Whether a solution is as cheap as the bound."""
    return solution is not None and solution.cost(instance) == lower


def _filled(instance: Instance, solution: Solution) -> tuple[Pattern, ...]:
    """Make the patterns of a solution maximal."""
    return tuple(
        dict.fromkeys(
            fill(instance, pattern.stock, dict(pattern.counts))
            for pattern, _ in solution.patterns
        )
    )
