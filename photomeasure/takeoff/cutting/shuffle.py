"""Move joints about until first fit needs fewer boards.

Column generation sees the divisions of runs through prices. Where a few runs may be
joined nearly anywhere, very many patterns are equally good, and the few that were
generated seldom hold a whole-number answer, though answers abound: moving one run's
joints at a time finds one.
"""

from typing import Final

import numpy as np

from photomeasure.takeoff.cutting.clock import Clock
from photomeasure.takeoff.cutting.first_fit import first_fit_of
from photomeasure.takeoff.cutting.instance import Instance
from photomeasure.takeoff.cutting.network import Arc, Network, keep_short_paths
from photomeasure.takeoff.cutting.solution import Solution

MOST_TRIES: Final = 1500
"""Divisions tried: a fifth of a second for the dozen pieces of a house."""

SEED: Final = 1
"""Fixed: the same job gives the same plan."""

SHARE_OF_PAIRS: Final = 0.4
"""Moves of two stretches at once: what one gives up the other must take."""

PATIENCE: Final = 150
"""Moves in a row without gain after which all stretches are divided anew."""

SHARE_OF_TIME: Final = 0.2
"""Share of the time left that the search may take at most."""

Paths = list[list[tuple[Arc, ...]]]
"""For each network, the arcs of each of its members."""


def shuffle_joints(
    instance: Instance, best: Solution, lower: int, clock: Clock
) -> Solution:
    """Look for a cheaper plan by dividing one stretch anew at a time.

    Parameters
    ----------
    instance : Instance
        The job.
    best : Solution
        What there is.
    lower : int
        Proven lower bound on the cost: reaching it ends the search.
    clock : Clock
        Time left.

    Returns
    -------
    Solution
        As good as ``best`` or better.
    """
    networks = [keep_short_paths(net, 0) for net in instance.networks]
    movable = [
        (i, k)
        for i, net in enumerate(networks)
        if len(net.arcs) > net.fewest
        for k in range(net.count)
    ]
    if not movable:
        return best
    brief = clock.part(SHARE_OF_TIME)
    return _Search(instance, networks, movable).run(best, lower, brief)


class _Search:
    """Keeps a division of every stretch and changes one at a time."""

    def __init__(
        self, instance: Instance, networks: list[Network], movable: list[tuple[int, int]]
    ) -> None:
        self.instance, self.networks, self.movable = instance, networks, movable
        self.random = np.random.default_rng(SEED)
        self.leaving = [_leaving(net) for net in networks]
        self.paths: Paths = [
            [self._path(i) for _ in range(net.count)] for i, net in enumerate(networks)
        ]

    def run(self, best: Solution, lower: int, clock: Clock) -> Solution:
        merit, stale = None, 0
        for _ in range(MOST_TRIES):
            if clock.is_over() or best.cost(self.instance) <= lower:
                break
            before = self._move(len(self.movable) if stale > PATIENCE else 0)
            merit, stale = (None, 0) if stale > PATIENCE else (merit, stale)
            solution = first_fit_of(self.instance, self._flows())
            found = None if solution is None else self._merit(solution)
            if solution and solution.cost(self.instance) < best.cost(self.instance):
                best = solution
            stale = 0 if merit is None or (found and found < merit) else stale + 1
            if found and (merit is None or found <= merit):
                merit = found
            else:
                for (place, member), path in before.items():
                    self.paths[place][member] = path
        return best

    def _move(self, count: int) -> dict[tuple[int, int], tuple[Arc, ...]]:
        """Divide so many stretches anew, one or two if none; return how they were."""
        many = count or 1 + int(self.random.random() < SHARE_OF_PAIRS)
        chosen = self.random.permutation(len(self.movable))[:many]
        before = {}
        for place, member in (self.movable[int(i)] for i in chosen):
            before[place, member] = self.paths[place][member]
            self.paths[place][member] = self._path(place)
        return before

    def _merit(self, solution: Solution) -> tuple[int, int]:
        """Cost, then how unevenly boards are filled: the emptier one may yet be saved."""
        squares = 0
        for pattern, times in solution.patterns:
            weight = sum(self.instance.weights[s] * n for s, n in pattern.counts)
            room = self.instance.stocks[pattern.stock].capacity - weight
            squares += times * room * room
        return solution.cost(self.instance), -squares

    def _path(self, place: int) -> tuple[Arc, ...]:
        """Divide a stretch at random into as few pieces as possible."""
        leaving, node = self.leaving[place], 0
        last = len(self.networks[place].nodes_mm) - 1
        path = []
        while node < last:
            arcs = leaving[node]
            path.append(arcs[int(self.random.integers(len(arcs)))])
            node = path[-1].head
        return tuple(path)

    def _flows(self) -> tuple[dict[Arc, int], ...]:
        flows = []
        for members in self.paths:
            flow: dict[Arc, int] = {}
            for path in members:
                for arc in path:
                    flow[arc] = flow.get(arc, 0) + 1
            flows.append(flow)
        return tuple(flows)


def _leaving(net: Network) -> dict[int, list[Arc]]:
    found: dict[int, list[Arc]] = {}
    for arc in net.arcs:
        found.setdefault(arc.tail, []).append(arc)
    return found
