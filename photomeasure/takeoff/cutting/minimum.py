"""The least cost of one instance, with its proof as far as it goes."""

from dataclasses import dataclass

from photomeasure.takeoff.cutting.clock import Clock
from photomeasure.takeoff.cutting.dive import MANY_SIZES, SHARES_FIXED, dive
from photomeasure.takeoff.cutting.enumeration import improving_patterns
from photomeasure.takeoff.cutting.first_fit import first_fit
from photomeasure.takeoff.cutting.gap import within_gap
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
    lower: int | None = relaxed.lower
    upper = start.cost(instance) - 1 if start else dearest(instance)
    answer = find(instance, relaxed, upper, clock)
    best = answer.solution or start
    if not answer.closed:
        ceiling = best.cost(instance) - 1 if best else None
        answer = prove(instance, relaxed, ceiling, clock)
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
    return choose(instance, patterns, (relaxed.lower, most), clock)


def dearest(instance: Instance) -> int:
    """Return a cost no sensible solution exceeds: a dearest board a piece."""
    pieces = sum(instance.demand)
    pieces += sum(net.count * (len(net.nodes_mm) - 1) for net in instance.networks)
    return pieces * max(stock.cost for stock in instance.stocks)


def find(instance: Instance, relaxed: Relaxation, ceiling: int, clock: Clock) -> Answer:
    """Look among generated patterns for a solution up to some cost.

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
        Closed if no solution can be that cheap, or the one found is as cheap
        as the bound.
    """
    bound = relaxed.bound
    if bound is None or relaxed.lower > ceiling:
        return Answer(None, closed=True)
    lower, best, patterns = relaxed.lower, None, relaxed.patterns
    shares = SHARES_FIXED if len(instance.lengths) > MANY_SIZES else ()
    for share in shares:
        found, patterns = dive(instance, patterns, (lower, ceiling), share, clock)
        if found:
            best, ceiling = found, found.cost(instance) - 1
        if ceiling < lower:
            return Answer(best, closed=True)
    useful = within_gap(instance, patterns, bound, ceiling)
    best = choose(instance, useful, (lower, ceiling), clock).solution or best
    return Answer(best, closed=best is not None and best.cost(instance) == lower)


def _filled(instance: Instance, solution: Solution) -> tuple[Pattern, ...]:
    """Make the patterns of a solution maximal."""
    return tuple(
        dict.fromkeys(
            fill(instance, pattern.stock, dict(pattern.counts))
            for pattern, _ in solution.patterns
        )
    )
