"""First-fit decreasing: the saw bench's rule of thumb, and our starting point."""

from dataclasses import dataclass, field

from photomeasure.takeoff.cutting.instance import Instance
from photomeasure.takeoff.cutting.network import Arc, Network, keep_short_paths
from photomeasure.takeoff.cutting.pattern import Pattern
from photomeasure.takeoff.cutting.solution import Solution, wanted


@dataclass(slots=True)
class _OpenBoard:
    """A board being filled."""

    stock: int
    room: int
    counts: dict[int, int] = field(default_factory=dict)


def first_fit(instance: Instance) -> Solution | None:
    """Put the longest pieces first, each on the first board with room.

    Parameters
    ----------
    instance : Instance
        The job. Runs are divided into as few pieces as possible, each as long
        as possible.

    Returns
    -------
    Solution or None
        None if the limited boards run out on the way.
    """
    return first_fit_of(instance, tuple(map(_longest_first, instance.networks)))


def first_fit_of(instance: Instance, flows: tuple[dict[Arc, int], ...]) -> Solution | None:
    """Put the longest pieces of given divisions first, each on the first board with room.

    Parameters
    ----------
    instance : Instance
        The job.
    flows : tuple of dict of Arc to int
        How its runs are divided.

    Returns
    -------
    Solution or None
        None if the limited boards run out on the way.
    """
    left = [stock.limit for stock in instance.stocks]
    boards: list[_OpenBoard] = []
    for size, copies in sorted(wanted(instance, flows).items()):
        for _ in range(copies):
            board = _board_for(instance, boards, left, size)
            if board is None:
                return None
            board.counts[size] = board.counts.get(size, 0) + 1
            board.room -= instance.weights[size]
    tally: dict[Pattern, int] = {}
    for board in boards:
        pattern = Pattern(board.stock, tuple(sorted(board.counts.items())))
        tally[pattern] = tally.get(pattern, 0) + 1
    return Solution(tuple(tally.items()), flows)


def _board_for(
    instance: Instance, boards: list[_OpenBoard], left: list[int | None], size: int
) -> _OpenBoard | None:
    """First open board with room, else the best new one."""
    weight = instance.weights[size]
    for board in boards:
        if board.room >= weight and instance.fits(size, board.stock):
            return board
    able = [
        index
        for index in range(len(instance.stocks))
        if instance.fits(size, index) and left[index] != 0
    ]
    if not able:
        return None
    # Free boards first, the shortest of them; then the cheapest per millimetre.
    chosen = min(able, key=lambda i: _worth(instance, i))
    remaining = left[chosen]
    left[chosen] = None if remaining is None else remaining - 1
    boards.append(_OpenBoard(chosen, instance.stocks[chosen].capacity))
    return boards[-1]


def _worth(instance: Instance, index: int) -> tuple[float, int]:
    """Key by which new boards are preferred, smallest first."""
    stock = instance.stocks[index]
    sign = 1 if stock.cost == 0 else -1
    return (stock.cost / stock.capacity, sign * stock.capacity)


def _longest_first(net: Network) -> dict[Arc, int]:
    """Divide all members alike: fewest pieces, each the longest that still fits."""
    flow: dict[Arc, int] = {}
    arcs = keep_short_paths(net, 0).arcs
    node = 0
    while node < len(net.nodes_mm) - 1:
        arc = max((a for a in arcs if a.tail == node), key=lambda a: a.head)
        flow[arc] = net.count
        node = arc.head
    return flow
