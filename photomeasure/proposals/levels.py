"""Eaves and ridges: level lines at the top of a wall and at the top of a roof."""

from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np

from calibration.arrays import BoolArray, FloatArray, IntArray
from calibration.edges import EdgeFits
from calibration.edges.runs import follow
from calibration.vanishing.model import PLUMB
from photomeasure.job.schema import Role
from photomeasure.proposals.beside import Beside, Uprights, beside, uprights
from photomeasure.proposals.bundles import Bundle, Bundles
from photomeasure.proposals.evidence import Evidence, edge_evidence, place_evidence
from photomeasure.proposals.reading import Reading
from photomeasure.proposals.weights import chances, small, weighed

_LEAST_LENGTH: Final = 0.06
_MOST_COARSE: Final = 60
_BUNDLES: Final = {Role.EAVES: 5, Role.RIDGE: 3}
"""Places at which all parallel edges are looked at."""

_SAME: Final = 0.0008
"""Lines closer than this share of the long side are one: seen in two bundles."""

_GAP: Final = {Role.EAVES: 0.03, Role.RIDGE: 0.1}
"""Longest gap in a roofline, by the long side: a downpipe or a branch; a chimney."""

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
    evidence : dict of (S,) float64
    """

    lines: list[Found]
    evidence: Evidence


def find_levels(reading: Reading, role: Role, bundles: Bundles) -> list[Found]:
    """Return eaves or ridges of all walls, likeliest first.

    Parameters
    ----------
    reading : Reading
    role : Role
        EAVES or RIDGE.
    bundles : Bundles
        Of the same photo.

    Returns
    -------
    list of Found
    """
    found: list[Found] = []
    for wall in walls(reading):
        looked = look_at_levels(reading, wall, role, bundles)
        if looked is None:
            continue
        odds = weighed(looked.evidence, role)
        found += [
            replace(line, odds=float(own))
            for line, own in zip(looked.lines, odds, strict=True)
            if np.isfinite(own)
        ]
    shares = chances([line.odds for line in found], role)
    sure = [replace(f, chance=float(s)) for f, s in zip(found, shares, strict=True)]
    return without_repeats(sorted(sure, key=lambda line: -line.chance), reading)


def look_at_levels(
    reading: Reading, wall: int, role: Role, bundles: Bundles
) -> Looked | None:
    """Return all lines of a wall that may be of a role, or None if there are none."""
    rows = _coarse(reading, wall)
    if not len(rows):
        return None
    columns = uprights(reading, wall)
    coarse = _place_odds(reading, wall, reading.edges.ends_px[rows], columns, role)
    lines: list[Found] = []
    own: list[Evidence] = []
    for pick in _distinct(reading, rows[np.argsort(-coarse)], _BUNDLES[role]):
        bundle = bundles.at(pick)
        if bundle is None:
            continue
        members, told = _followed(reading, wall, bundle, role)
        lines += members
        own.append(edge_evidence(bundle) | told)
    if not lines:
        return None
    ends = np.stack([line.ends_px for line in lines])
    evidence = {name: np.concatenate([part[name] for part in own]) for name in own[0]}
    evidence |= place_evidence(reading, wall, ends, columns)
    evidence["small"] = small(np.exp(evidence["length"]), role)
    evidence["main wall"] = np.full(len(lines), float(wall == PLUMB + 1))
    return Looked(lines, evidence)


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


def _coarse(reading: Reading, wall: int) -> IntArray:
    """Return level edges of a wall that are long and above eye level."""
    mine = reading.vanishing.label == wall
    mine &= reading.edges.length_px > _LEAST_LENGTH * reading.side_px
    places = reading.on_wall(reading.edges.ends_px, wall)
    with np.errstate(invalid="ignore"):
        mine &= (places[..., 1] > 0.0).all(axis=1)
    return np.flatnonzero(mine)[:_MOST_COARSE]


def _place_odds(
    reading: Reading, wall: int, ends: FloatArray, columns: Uprights, role: Role
) -> FloatArray:
    """Return how well coarse lines (S, 2, 2) lie for a role, log odds (S,)."""
    look = beside(reading, ends)
    places = reading.on_wall(ends, wall)
    length = np.hypot(*(ends[:, 1] - ends[:, 0]).T)
    relative = np.log(length / max(float(length.max()), 1.0))
    height = places[..., 1].mean(axis=1)
    shape = np.array([_rising(columns, place) for place in places])
    if role is Role.RIDGE:
        return _ridge_odds(look, relative, height, shape)
    return _eaves_odds(look, relative, shape)


def _rising(columns: Uprights, place: FloatArray) -> tuple[float, float, float]:
    """Return the share of uprights below, the gap to them and how many reach up."""
    left, right = float(place[:, 0].min()), float(place[:, 0].max())
    height = float(place[:, 1].mean())
    below, above = columns.about(left, right, height)
    total = max(below + above, 1e-9)
    return (
        below / total,
        columns.gap_below(left, right, height),
        columns.standing(left, right, height),
    )


def _eaves_odds(look: Beside, relative: FloatArray, shape: FloatArray) -> FloatArray:
    """Long, wall below and roof or sky above, uprights that reach up to it."""
    below, gap, standing = shape.T
    odds: FloatArray = (
        1.45 * relative
        + 1.5 * (look.differs - 0.5)
        - 0.7 * look.sky_above
        - 0.5 * look.sky_below
        + 3.1 * (below - 0.8)
        - 2.0 * np.clip(gap - 0.08, 0.0, 0.5)
        + 0.8 * np.minimum(standing, 2.0)
    )
    return odds


def _ridge_odds(
    look: Beside, relative: FloatArray, height: FloatArray, shape: FloatArray
) -> FloatArray:
    """Sky above and none below, well above the uprights."""
    _, gap, standing = shape.T
    odds: FloatArray = (
        1.0 * relative
        + 4.0 * (look.sky_above - 0.7)
        - 3.0 * look.sky_below
        + 4.0 * np.clip(gap, 0.0, 0.3)
        - 1.0 * np.minimum(standing, 2.0)
        + 0.5 * np.log(np.maximum(height / max(float(height.max()), 1e-9), 1e-3))
    )
    return odds


def _distinct(reading: Reading, ranked: IntArray, most: int) -> list[int]:
    """Return the best edges, no two in one bundle."""
    taken: list[int] = []
    near = 0.01 * reading.side_px
    for row in ranked:
        ends = reading.edges.ends_px[row]
        if all(_apart(ends, reading.edges.ends_px[other]) > near for other in taken):
            taken.append(int(row))
        if len(taken) == most:
            break
    return taken


def _apart(first: FloatArray, second: FloatArray) -> float:
    """Return how far apart two nearly parallel segments are, large if end to end."""
    way = second[1] - second[0]
    size = max(float(np.hypot(*way)), 1e-9)
    unit = way / size
    middle = first.mean(axis=0) - second[0]
    along = float(middle @ unit)
    half = float(np.hypot(*(first[1] - first[0]))) / 2.0
    if along < -half or along > size + half:
        return np.inf
    return abs(float(middle[1] * unit[0] - middle[0] * unit[1]))


def without_repeats(ranked: list[Found], reading: Reading) -> list[Found]:
    """Join lines that are one seen in two bundles: their chances add up."""
    kept: list[Found] = []
    near = _SAME * reading.side_px
    for line in ranked:
        for place, other in enumerate(kept):
            if _apart(line.ends_px, other.ends_px) <= near:
                kept[place] = replace(other, chance=other.chance + line.chance)
                break
        else:
            kept.append(line)
    return sorted(kept, key=lambda line: -line.chance)
