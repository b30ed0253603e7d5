"""The ways to divide a stretch, as paths through a small network.

Nodes are the ends of the stretch and the joint positions, an arc is a piece
that reaches from one to the next, a division is a path. Equal stretches share
one network, so that a terrace of equal houses costs no more than one of them.
"""

from dataclasses import dataclass, replace

from photomeasure.takeoff.cutting.errors import NoJointAllowed
from photomeasure.takeoff.cutting.joints import joint_positions
from photomeasure.takeoff.cutting.run import Run

UNREACHED = 1 << 30
"""More pieces than any stretch has."""


@dataclass(frozen=True, slots=True)
class Arc:
    """One piece between two nodes of a network.

    Attributes
    ----------
    tail : int
        Node where it starts.
    head : int
        Node where it ends, > tail.
    length_mm : int
        Its length, gaps taken off its place.
    """

    tail: int
    head: int
    length_mm: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Network:
    """All divisions of a number of equal stretches.

    Attributes
    ----------
    nodes_mm : tuple of int
        Positions from the start of the stretch; first 0, last its length.
    arcs : tuple of Arc
        Pieces, sorted by tail then head.
    members : tuple of (str, int)
        Run and start on it, millimetres, of each stretch, in order.
    fewest : int
        Pieces in the shortest division, >= 1.
    gap_mm : int
        What each piece is shorter than its place.
    """

    nodes_mm: tuple[int, ...]
    arcs: tuple[Arc, ...]
    members: tuple[tuple[str, int], ...]
    fewest: int
    gap_mm: int = 0

    @property
    def count(self) -> int:
        """How many equal stretches there are."""
        return len(self.members)


def build_networks(
    runs: tuple[Run, ...], longest_mm: int, step_mm: int
) -> tuple[Network, ...]:
    """Make one network for every kind of stretch.

    Parameters
    ----------
    runs : tuple of Run
        Runs of one material.
    longest_mm : int
        Longest piece any board gives.
    step_mm : int
        Raster for runs without supports.

    Returns
    -------
    tuple of Network
        In the order in which the kinds first appear.

    Raises
    ------
    NoJointAllowed
        If a stretch cannot be divided under its joint rules.
    """
    kinds: dict[tuple[tuple[int, ...], int, int], list[tuple[str, int]]] = {}
    for run in runs:
        for start, end in run.stretches_mm():
            joints = joint_positions(run, (start, end), longest_mm, step_mm)
            nodes = (0, *(p - start for p in joints), end - start)
            kind = (nodes, run.min_piece_mm, run.gap_mm)
            kinds.setdefault(kind, []).append((run.id, start))
    return tuple(
        _network(nodes, (shortest, longest_mm), gap, tuple(members))
        for (nodes, shortest, gap), members in kinds.items()
    )


def keep_short_paths(network: Network, extra: int) -> Network:
    """Drop the arcs of divisions with more than ``fewest + extra`` pieces."""
    ahead, behind = _pieces_to_ends(network.nodes_mm, network.arcs)
    most = network.fewest + extra
    arcs = tuple(a for a in network.arcs if ahead[a.tail] + 1 + behind[a.head] <= most)
    return replace(network, arcs=arcs)


def _network(
    nodes: tuple[int, ...],
    limits: tuple[int, int],
    gap: int,
    members: tuple[tuple[str, int], ...],
) -> Network:
    """Draw every arc that joint rules and boards allow."""
    last = len(nodes) - 1
    shortest, longest = limits
    arcs = tuple(
        Arc(i, j, b - a - gap)
        for i, a in enumerate(nodes)
        for j, b in enumerate(nodes[i + 1 :], i + 1)
        # A whole stretch has no joint of our choosing, so it may be short.
        if 0 < b - a - gap <= longest and (b - a >= shortest or (i, j) == (0, last))
    )
    fewest = _pieces_to_ends(nodes, arcs)[0][last]
    if fewest >= UNREACHED:
        run_id, start = members[0]
        raise NoJointAllowed(run_id, start, start + nodes[-1])
    return Network(nodes_mm=nodes, arcs=arcs, members=members, fewest=fewest, gap_mm=gap)


def _pieces_to_ends(
    nodes: tuple[int, ...], arcs: tuple[Arc, ...]
) -> tuple[list[int], list[int]]:
    """Count the fewest pieces from the start to each node and from it to the end."""
    ahead = [0] + [UNREACHED] * (len(nodes) - 1)
    behind = [UNREACHED] * (len(nodes) - 1) + [0]
    for arc in arcs:
        ahead[arc.head] = min(ahead[arc.head], ahead[arc.tail] + 1)
    for arc in reversed(arcs):
        behind[arc.tail] = min(behind[arc.tail], behind[arc.head] + 1)
    return ahead, behind


def walk(network: Network, flow: dict[Arc, int]) -> tuple[tuple[int, ...], ...]:
    """Take the joint positions of each member out of an integer flow.

    Parameters
    ----------
    network : Network
        The network.
    flow : dict of Arc to int
        How many members use each arc.

    Returns
    -------
    tuple of tuple of int
        Node positions of each member from the start of its stretch, ends included.
    """
    left = dict(flow)
    leaving: dict[int, list[Arc]] = {}
    for arc in network.arcs:
        leaving.setdefault(arc.tail, []).append(arc)
    paths = []
    for _ in network.members:
        node, path = 0, [0]
        while network.nodes_mm[node] < network.nodes_mm[-1]:
            arc = next(a for a in leaving[node] if left.get(a, 0) > 0)
            left[arc] -= 1
            node = arc.head
            path.append(network.nodes_mm[node])
        paths.append(tuple(path))
    return tuple(paths)
