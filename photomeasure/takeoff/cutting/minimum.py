"""The least cost of one instance, with its proof as far as it goes."""

from dataclasses import dataclass

from photomeasure.takeoff.cutting.clock import Clock
from photomeasure.takeoff.cutting.dive import MANY_SIZES, dive
from photomeasure.takeoff.cutting.enumeration import improving_patterns
from photomeasure.takeoff.cutting.first_fit import first_fit
from photomeasure.takeoff.cutting.generation import Relaxation, relax
from photomeasure.takeoff.cutting.instance import Instance
from photomeasure.takeoff.cutting.pattern import Pattern, fill
from photomeasure.takeoff.cutting.solution import Solution
from photomeasure.takeoff.cutting.whole import Answer, choose


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
    relaxed = relax(instance, known, clock)
    if relaxed.bound is None:
        return Minimum(None, None, relaxed.patterns)
    lower: int | None = relaxed.bound.whole_cost
    best = _improve(instance, relaxed, start, clock)
    upper = best.cost(instance) if best else None
    if upper is None or upper > relaxed.bound.whole_cost:
        answer = prove(instance, relaxed, None if upper is None else upper - 1, clock)
        best = answer.solution or best
        if answer.closed:
            lower = best.cost(instance) if best else None
    return Minimum(best, lower, relaxed.patterns)


def prove(
    instance: Instance, relaxed: Relaxation, ceiling: int | None, clock: Clock
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

    Returns
    -------
    Answer
        Closed if the answer is final; open if there are too many patterns.
    """
    if relaxed.bound is None:
        return Answer(None, closed=True)
    patterns = improving_patterns(instance, relaxed.bound, ceiling, clock)
    if patterns is None:
        return Answer(None, closed=False)
    most = dearest(instance) if ceiling is None else ceiling
    return choose(instance, patterns, (relaxed.bound.whole_cost, most), clock)


def dearest(instance: Instance) -> int:
    """A cost that no sensible solution exceeds: a dearest board a piece."""
    pieces = sum(instance.demand)
    pieces += sum(net.count * (len(net.nodes_mm) - 1) for net in instance.networks)
    return pieces * max(stock.cost for stock in instance.stocks)


def _improve(
    instance: Instance, relaxed: Relaxation, start: Solution | None, clock: Clock
) -> Solution | None:
    """Look among the generated patterns for something cheaper than the start."""
    best, bound = start, relaxed.bound
    steps = [choose] if len(instance.lengths) <= MANY_SIZES else [dive, choose]
    for step in steps:
        upper = dearest(instance) if best is None else best.cost(instance) - 1
        if bound is None or upper < bound.whole_cost:
            break
        found = step(instance, relaxed.patterns, (bound.whole_cost, upper), clock)
        solution = found.solution if isinstance(found, Answer) else found
        best = solution or best
    return best


def _filled(instance: Instance, solution: Solution) -> tuple[Pattern, ...]:
    """Make the patterns of a solution maximal."""
    return tuple(
        dict.fromkeys(
            fill(instance, pattern.stock, dict(pattern.counts))
            for pattern, _ in solution.patterns
        )
    )
