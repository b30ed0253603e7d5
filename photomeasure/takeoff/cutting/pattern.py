"""A cutting pattern: how many of each size come from one board."""

from dataclasses import dataclass

from photomeasure.takeoff.cutting.instance import Instance


@dataclass(frozen=True, slots=True, order=True)
class Pattern:
    """Sizes cut from one board.

    Attributes
    ----------
    stock : int
        Index of the board in the instance.
    counts : tuple of (int, int)
        Size and copies, copies > 0, by increasing size.
    """

    stock: int
    counts: tuple[tuple[int, int], ...]


def fill(instance: Instance, stock: int, counts: dict[int, int]) -> Pattern:
    """Make a pattern maximal: no useful size fits any more.

    Patterns cover what is wanted, surplus is dropped at the end, so a fuller
    pattern is never worse.

    Parameters
    ----------
    instance : Instance
        The job.
    stock : int
        Index of the board.
    counts : dict of int to int
        Copies of each size so far.

    Returns
    -------
    Pattern
        Filled up, longest sizes first.
    """
    room = instance.stocks[stock].capacity
    room -= sum(instance.weights[size] * n for size, n in counts.items())
    filled = dict(counts)
    for size, weight in enumerate(instance.weights):
        if weight <= room and instance.fits(size, stock):
            more = min(room // weight, instance.most[size] - filled.get(size, 0))
            filled[size] = filled.get(size, 0) + more
            room -= more * weight
    return Pattern(stock, tuple(sorted((s, n) for s, n in filled.items() if n)))


def lone_patterns(instance: Instance) -> list[Pattern]:
    """For every size and board that holds it, a pattern that starts with it."""
    return [
        fill(instance, stock, {size: 1})
        for stock in range(len(instance.stocks))
        for size in range(len(instance.lengths))
        if instance.fits(size, stock)
    ]
