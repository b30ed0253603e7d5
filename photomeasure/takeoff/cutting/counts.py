"""How many boards of each length a plan of some cost could use."""

from collections.abc import Iterator
from dataclasses import replace

from photomeasure.takeoff.cutting.instance import Instance

MOST_CHOICES = 40
"""More choices of board numbers than this are not gone through one by one."""

MOST_LOOKS = 5_000
"""Numbers of boards looked at before giving up, some milliseconds."""

NO_LIMIT = 10**9
"""More boards than any job has."""


def count_choices(instance: Instance, least: int, most: int) -> list[Instance] | None:
    """List what a plan may use, so that every plan of some cost is covered.

    Parameters
    ----------
    instance : Instance
        The job.
    least : int
        Proven lower bound on the cost.
    most : int
        Highest cost that is of interest.

    Returns
    -------
    list of Instance or None
        The job with its bought boards limited, cheapest choice first; no board
        can be added to a choice without exceeding ``most``. None if there is
        but one length, or too many choices.
    """
    bought = [s for s, stock in enumerate(instance.stocks) if stock.cost]
    if len(bought) < 2:
        return None
    found: list[dict[int, int]] = []
    for looked_at, counts in enumerate(_counts(instance, bought, most)):
        left = most - _cost(instance, counts)
        spent = most - left
        if spent >= least and not _can_grow(instance, counts, left):
            found.append(counts)
        if len(found) > MOST_CHOICES or looked_at > MOST_LOOKS:
            return None
    found.sort(key=lambda counts: _cost(instance, counts))
    return [_limited(instance, counts) for counts in found]


def dearest_of(instance: Instance) -> int:
    """Return the cost of all bought boards there are, or a huge one without limit."""
    costs = (
        stock.cost * (NO_LIMIT if stock.limit is None else stock.limit)
        for stock in instance.stocks
    )
    return sum(costs)


def _counts(
    instance: Instance, bought: list[int], left: int
) -> Iterator[dict[int, int]]:
    """Yield the numbers of every bought board that some money buys."""
    if not bought:
        yield {}
        return
    stock = instance.stocks[bought[0]]
    most = left // stock.cost
    if stock.limit is not None:
        most = min(most, stock.limit)
    # The last length takes all that is left: fewer would be no other choice.
    start = most if len(bought) == 1 else 0
    for number in range(start, most + 1):
        for others in _counts(instance, bought[1:], left - number * stock.cost):
            yield {bought[0]: number, **others}


def _cost(instance: Instance, counts: dict[int, int]) -> int:
    """Cost of so many boards."""
    return sum(instance.stocks[s].cost * n for s, n in counts.items())


def _can_grow(instance: Instance, counts: dict[int, int], left: int) -> bool:
    """Whether one more board of some length could be had for what is left."""
    for index, number in counts.items():
        stock = instance.stocks[index]
        if stock.cost <= left and (stock.limit is None or number < stock.limit):
            return True
    return False


def _limited(instance: Instance, counts: dict[int, int]) -> Instance:
    """Limit the bought boards to given numbers."""
    stocks = tuple(
        replace(stock, limit=counts.get(index, stock.limit))
        for index, stock in enumerate(instance.stocks)
    )
    return replace(instance, stocks=stocks)
