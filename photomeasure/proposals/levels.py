"""Eaves and ridges: level lines at the top of a wall and at the top of a roof."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np

from calibration.arrays import BoolArray, FloatArray, IntArray
from calibration.edges import EdgeFits
from calibration.edges.runs import follow
from calibration.vanishing.model import PLUMB
from photomeasure.job.schema import Role
from photomeasure.proposals.beside import uprights
from photomeasure.proposals.boards import BOARDS, with_unseen
from photomeasure.proposals.bundles import REACH, Bundle, Bundles
from photomeasure.proposals.coarse import apart, coarse_levels, distinct, place_odds
from photomeasure.proposals.evidence import Evidence, edge_evidence, place_evidence
from photomeasure.proposals.reading import Reading
from photomeasure.proposals.weights import chances, small, weighed

_BUNDLES: Final = {Role.EAVES: 5, Role.RIDGE: 3}
"""Places at which all parallel edges are looked at."""

_SAME: Final = 0.0008
"""Lines closer than this share of the long side are one: seen in two bundles."""

_GAP: Final = {Role.EAVES: 0.03, Role.RIDGE: 0.1}
"""Longest gap in a roofline, by the long side: a downpipe or a branch; a chimney."""

BRIDGE: Final = 0.12
"""Longest gap behind which the same edge goes on: a tree, a lamp post, a car."""

_UNDER_RIDGE: Final = 0.012
"""How far below a ridge, by the long side, no eaves are: there are tiles between them."""

SUREST_RIDGE: Final = 0.95
"""A lower roof beside the house, or one behind it, may have the ridge that was found."""

_LEAST_WALL: Final = 0.04
"""Share of the edges that a wall's level direction needs."""


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """A line with its log odds.

    Attributes
    ----------
    role : Role
    ends_px : (2, 2) float64
        From left to right.
    odds : float
        Before the other lines of the photo are known.
    wall : int
    bundle : Bundle
        With all its parallels.
    row : int
        Its own place in the bundle.
    open : (2,) bool
        Whether it leaves the photo.
    chance : float
        That it is what its role says, among all lines of the photo.
    board : float
        That it lies on a board of its role, whichever edge of it.
    runs : (S, 2, 2) float64
        Ends of all edges of the bundle as far as each goes on; none if unknown.
    """

    role: Role
    ends_px: FloatArray
    odds: float
    wall: int
    bundle: Bundle
    row: int
    open: BoolArray
    chance: float = 0.0
    board: float = 0.0
    runs: FloatArray = field(default_factory=lambda: np.zeros((0, 2, 2)))

    @property
    def edge(self) -> EdgeFits:
        """Its fitted edge, one row."""
        return self.bundle.edges[self.row : self.row + 1]


def walls(reading: Reading) -> list[int]:
    """Return the level directions that may belong to a wall."""
    weight = reading.vanishing.weight
    return [wall for wall in range(1, len(weight)) if weight[wall] > _LEAST_WALL]


@dataclass(frozen=True, slots=True, eq=False)
class Looked:
    """Lines that may be of a role, and what speaks for each.

    Attributes
    ----------
    lines : list of Found
        S of them, not weighed yet.
    boards : (S,) int
        By the bundle that they stand in.
    evidence : dict of (S + B,) float64
        Of boards, whose arris may not show, one more row each.
    """

    lines: list[Found]
    boards: IntArray
    evidence: Evidence


def find_levels(
    reading: Reading, role: Role, bundles: Bundles, ridges: Sequence[Found] = ()
) -> tuple[list[Found], float]:
    """Return eaves or ridges of all walls, likeliest first.

    Parameters
    ----------
    reading : Reading
    role : Role
        EAVES or RIDGE.
    bundles : Bundles
        Of the same photo.
    ridges : sequence of Found
        What was found before: the eaves lie below them.

    Returns
    -------
    list of Found and float
        And the chance that it is none of them.
    """
    found: list[Found] = []
    unseen: list[Found] = []
    for wall in walls(reading):
        looked = look_at_levels(reading, wall, role, bundles)
        if looked is None:
            continue
        odds = weighed(looked.evidence, role)
        mine = [
            replace(line, odds=float(own))
            for line, own in zip(looked.lines, odds, strict=False)
        ]
        found += mine
        # One line of each board stands for the arris that does not show.
        first = np.unique(looked.boards, return_index=True)[1]
        unseen += [
            replace(mine[place], odds=float(own))
            for place, own in zip(first, odds[len(mine) :], strict=False)
        ]
    every = [*found, *unseen]
    lower = [line.odds + _below(line, ridges, reading) for line in every]
    shares = chances(lower, role)
    sure = [
        replace(line, chance=float(own)) for line, own in zip(every, shares, strict=True)
    ]
    seen, unseen = sure[: len(found)], sure[len(found) :]
    seen = with_boards(seen, unseen, reading)
    ranked = without_repeats(sorted(seen, key=lambda line: -line.chance), reading)
    return ranked, 1.0 - float(shares.sum())


def _below(line: Found, ridges: Sequence[Found], reading: Reading) -> float:
    """Return the logarithm of the chance that a line lies below the ridge."""
    middle = line.ends_px.mean(axis=0)
    up = reading.upwards(middle[None])[0]
    over = 0.0
    for ridge in ridges:
        way = ridge.ends_px[1] - ridge.ends_px[0]
        normal = np.array([way[1], -way[0]]) / max(float(np.hypot(*way)), 1e-9)
        rise = (middle - ridge.ends_px[0]) @ (normal * np.sign(normal @ up))
        beside = np.isfinite(apart(line.ends_px, ridge.ends_px))
        if beside and rise > -_UNDER_RIDGE * reading.side_px:
            over += ridge.chance
    return float(np.log(1.0 - min(over, SUREST_RIDGE)))


def with_boards(lines: list[Found], unseen: list[Found], reading: Reading) -> list[Found]:
    """Return lines with the chance of the board that they lie on.

    Parameters
    ----------
    lines : list of Found
        All that may be of a role, with their chances.
    unseen : list of Found
        One for each bundle, with the chance that its own arris does not show; none for
        what is no board.
    reading : Reading

    Returns
    -------
    list of Found
    """
    if not lines:
        return []
    ends = np.stack([line.ends_px for line in lines])
    chance = np.array([line.chance for line in lines])
    bundle = np.array([id(line.bundle) for line in lines])
    told = []
    for line in lines:
        mine = one_board(line.ends_px, ends, reading)
        bundles = set(bundle[mine].tolist())
        missing = sum(other.chance for other in unseen if id(other.bundle) in bundles)
        told.append(replace(line, board=float(chance[mine].sum()) + missing))
    return told


def one_board(line_px: FloatArray, others_px: FloatArray, reading: Reading) -> BoolArray:
    """Tell which lines (N, 2, 2) run so close beside a line (2, 2)."""
    beside: BoolArray = apart(line_px, others_px) < REACH * reading.side_px
    return beside


def look_at_levels(
    reading: Reading, wall: int, role: Role, bundles: Bundles
) -> Looked | None:
    """Return all lines of a wall that may be of a role, or None if there are none."""
    rows = coarse_levels(reading, wall)
    if not len(rows):
        return None
    columns = uprights(reading, wall)
    coarse = place_odds(reading, wall, reading.edges.ends_px[rows], columns, role)
    lines: list[Found] = []
    own: list[Evidence] = []
    sizes: list[int] = []
    for pick in distinct(reading, rows[np.argsort(-coarse)], _BUNDLES[role]):
        bundle = bundles.at(pick)
        if bundle is None:
            continue
        members, told = _followed(reading, wall, bundle, role)
        lines += members
        sizes.append(len(members))
        own.append(edge_evidence(bundle) | told)
    if not lines:
        return None
    ends = np.stack([line.ends_px for line in lines])
    evidence = {name: np.concatenate([part[name] for part in own]) for name in own[0]}
    evidence |= place_evidence(reading, wall, ends, columns)
    evidence["small"] = small(np.exp(evidence["length"]), role)
    evidence["main wall"] = np.full(len(lines), float(wall == PLUMB + 1))
    good = np.isfinite(np.array(list(evidence.values()))).all(axis=0)
    if not good.any():
        return None
    kept = [line for line, fine in zip(lines, good, strict=True) if fine]
    boards = np.unique(np.repeat(np.arange(len(own)), sizes)[good], return_inverse=True)[1]
    evidence = {name: values[good] for name, values in evidence.items()}
    if role in BOARDS:
        evidence = with_unseen(evidence, boards, role)
    return Looked(kept, boards, evidence)


def _followed(
    reading: Reading, wall: int, bundle: Bundle, role: Role
) -> tuple[list[Found], Evidence]:
    """Return the edges of a bundle, each followed to its ends, and how they go on."""
    runs = [
        follow(
            reading.light,
            bundle.edges[row : row + 1],
            reading.camera,
            beyond_px=0.5 * reading.side_px,
            gap_px=_GAP[role] * reading.side_px,
            bridge_px=BRIDGE * reading.side_px if role in BOARDS else 0.0,
        )
        for row in range(len(bundle.edges))
    ]
    ends = np.stack([run.ends_px for run in runs])
    length = np.hypot(*(ends[:, 1] - ends[:, 0]).T)
    lines = [
        Found(role, run.ends_px, 0.0, wall, bundle, row, run.open, runs=ends)
        for row, run in enumerate(runs)
    ]
    told = {
        "longest": np.log(np.maximum(length, 1.0) / max(float(length.max()), 1.0)),
        "shown": np.array([run.shown for run in runs]),
    }
    return lines, told


def without_repeats(ranked: list[Found], reading: Reading) -> list[Found]:
    """Join lines that are one seen in two bundles: their chances add up."""
    kept: list[Found] = []
    near = _SAME * reading.side_px
    for line in ranked:
        for place, other in enumerate(kept):
            if apart(line.ends_px, other.ends_px) <= near:
                kept[place] = replace(other, chance=other.chance + line.chance)
                break
        else:
            kept.append(line)
    return sorted(kept, key=lambda line: -line.chance)
