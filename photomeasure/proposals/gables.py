"""Rakes: two edges of one pitch that rise to an apex, sky above and wall below."""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from calibration.arrays import FloatArray, IntArray
from calibration.vanishing.model import PLUMB
from photomeasure.job.schema import Role
from photomeasure.proposals.beside import beside, uprights
from photomeasure.proposals.boards import with_unseen
from photomeasure.proposals.bundles import Bundles
from photomeasure.proposals.evidence import Evidence
from photomeasure.proposals.levels import Found, walls, with_boards
from photomeasure.proposals.pairs import Gable, pairs_of
from photomeasure.proposals.reading import Reading
from photomeasure.proposals.weights import chances, weighed

_LEAST_LENGTH: Final = 0.05
_PITCH_RAD: Final = (float(np.radians(9.0)), float(np.radians(68.0)))
_PITCH_SD_RAD: Final = float(np.radians(2.5))
"""How far the two pitches of a gable differ: building, lens, and camera held askew."""

_MOST_EACH: Final = 25
_PAIRS: Final = 3
_APEX_GAP: Final = 0.35
"""How far short of the apex a rake may stop, by its length: a finial, a branch, sky as
light as the board."""


@dataclass(frozen=True, slots=True, eq=False)
class _Slopes:
    """Sloping edges on a wall: left ones rise to the right."""

    rows: IntArray
    low: FloatArray
    high: FloatArray
    pitch: FloatArray
    odds: FloatArray


def find_gables(reading: Reading, bundles: Bundles) -> tuple[list[Gable], float]:
    """Return pairs of rakes on all walls, likeliest first, and the chance of none."""
    found: list[Gable] = []
    unseen: list[Gable] = []
    for wall in walls(reading):
        for gables, evidence in look_at_gables(reading, wall, bundles):
            odds = weighed(evidence, Role.RAKE)
            found += [
                replace(gable, odds=float(own))
                for gable, own in zip(gables, odds[:-1], strict=True)
            ]
            # One pair stands for the gable whose arrises do not show.
            unseen.append(replace(gables[0], odds=float(odds[-1])))
    shares = chances([gable.odds for gable in (*found, *unseen)], Role.RAKE)
    sure = [
        replace(gable, chance=float(own))
        for gable, own in zip((*found, *unseen), shares, strict=True)
    ]
    seen, unseen = sure[: len(found)], sure[len(found) :]
    sides = [
        with_boards(
            [side_of(gable) for gable in seen], [side_of(g) for g in unseen], reading
        )
        for side_of in (_left, _right)
    ]
    told = [
        replace(gable, left=left, right=right)
        for gable, left, right in zip(seen, *sides, strict=True)
    ]
    return sorted(told, key=lambda gable: -gable.odds), 1.0 - float(shares.sum())


def _left(gable: Gable) -> Found:
    return replace(gable.left, chance=gable.chance)


def _right(gable: Gable) -> Found:
    return replace(gable.right, chance=gable.chance)


def look_at_gables(
    reading: Reading, wall: int, bundles: Bundles
) -> list[tuple[list[Gable], Evidence]]:
    """Return for each likely gable of a wall all pairs of edges that may be its rakes.

    The last row of the evidence is that its arrises do not show.
    """
    left, right = _slopes(reading, wall)
    if not len(left.rows) or not len(right.rows):
        return []
    odds = _pair_odds(left, right)
    looked = []
    for a, b in _best_pairs(odds, (left, right), reading):
        pair = bundles.at(int(left.rows[a])), bundles.at(int(right.rows[b]))
        if pair[0] is not None and pair[1] is not None:
            found = pairs_of(reading, wall, (pair[0], pair[1]))
            if found is not None:
                coarse = np.full(len(found[0]), float(odds[a, b]))
                evidence = found[1] | {"coarse": coarse}
                one = np.zeros(len(coarse), dtype=np.intp)
                looked.append((found[0], with_unseen(evidence, one, Role.RAKE)))
    return looked


def _slopes(reading: Reading, wall: int) -> tuple[_Slopes, _Slopes]:
    """Return the edges that may be left and right rakes of a wall."""
    edges, label = reading.edges, reading.vanishing.label
    places = reading.on_wall(edges.ends_px, wall)
    rising = np.argsort(places[..., 1], axis=1)[..., None]
    low, high = np.moveaxis(np.take_along_axis(places, rising, axis=1), 1, 0)
    way = high - low
    with np.errstate(invalid="ignore"):
        pitch = np.arctan2(way[:, 1], np.abs(way[:, 0]))
        fits = (pitch > _PITCH_RAD[0]) & (pitch < _PITCH_RAD[1])
        # Its foot is at the eaves: above the camera, but a bungalow's only just.
        fits &= (high[:, 1] > 0.0) & (low[:, 1] > -0.05)
    fits &= (label != PLUMB) & (label != wall)
    fits &= edges.length_px > _LEAST_LENGTH * reading.side_px
    rows = np.flatnonzero(fits)
    odds = _single_odds(reading, rows, wall)
    sides = []
    for sign in (1.0, -1.0):
        mine = np.flatnonzero(np.sign(way[rows, 0]) == sign)
        mine = mine[np.argsort(-odds[mine])][:_MOST_EACH]
        chosen = rows[mine]
        sides.append(_Slopes(chosen, low[chosen], high[chosen], pitch[chosen], odds[mine]))
    return sides[0], sides[1]


def _single_odds(reading: Reading, rows: IntArray, wall: int) -> FloatArray:
    ends = reading.edges.ends_px[rows]
    if not len(rows):
        return np.zeros(0)
    look = beside(reading, ends)
    relative = np.log(reading.edges.length_px[rows] / (0.3 * reading.side_px))
    columns = uprights(reading, wall)
    places = reading.on_wall(ends, wall)
    below = []
    for place in places:
        left, right = float(place[:, 0].min()), float(place[:, 0].max())
        under, over = columns.about(left, right, float(place[:, 1].mean()))
        below.append(under / max(under + over, 1e-6))
    odds: FloatArray = (
        1.2 * relative
        + 2.0 * (look.sky_above - 0.5)
        + 2.0 * (look.differs - 0.5)
        - 3.0 * look.sky_below
        + 1.5 * (np.array(below) - 0.7)
    )
    return odds


def _pair_odds(left: _Slopes, right: _Slopes) -> FloatArray:
    """Return log odds (L, R) that two slopes are the rakes of one gable."""
    tangent_l, tangent_r = np.tan(left.pitch)[:, None], np.tan(right.pitch)[None]
    xl, yl = left.low.T[..., None]
    xr, yr = right.low[:, 0][None], right.low[:, 1][None]
    # yl + tl (x - xl) = yr + tr (xr - x)
    apex_x = (yr - yl + tangent_l * xl + tangent_r * xr) / (tangent_l + tangent_r)
    apex_y = yl + tangent_l * (apex_x - xl)
    span_l, span_r = apex_x - xl, xr - apex_x
    short_l = (apex_x - left.high[:, 0][:, None]) / np.maximum(span_l, 1e-9)
    short_r = (right.high[:, 0][None] - apex_x) / np.maximum(span_r, 1e-9)
    askew = (left.pitch[:, None] - right.pitch[None]) / _PITCH_SD_RAD
    level = np.log(np.maximum(span_l, 1e-9) / np.maximum(span_r, 1e-9))
    odds = left.odds[:, None] + right.odds[None]
    odds = odds - 0.5 * np.minimum(askew**2, 16.0) - np.minimum(level**2, 4.0)
    for short in (short_l, short_r):
        odds = odds - 0.5 * (np.clip(np.abs(short) - 0.02, 0.0, None) / 0.12) ** 2
    apart = (short_l > _APEX_GAP) | (short_r > _APEX_GAP)
    apart |= (short_l < -_APEX_GAP) | (short_r < -_APEX_GAP)
    wrong = (span_l <= 0.0) | (span_r <= 0.0) | (apex_y <= 0.0) | apart
    return np.where(wrong, -np.inf, odds)


def _best_pairs(
    odds: FloatArray, sides: tuple[_Slopes, _Slopes], reading: Reading
) -> list[tuple[int, int]]:
    """Return the best pairs; of parallel ones beside each other only one."""
    near = 0.02 * reading.side_px
    middles = [reading.edges.ends_px[side.rows].mean(axis=1) for side in sides]
    taken: list[tuple[int, int]] = []
    for flat in np.argsort(-odds, axis=None):
        a, b = (int(i) for i in np.unravel_index(flat, odds.shape))
        if not np.isfinite(odds[a, b]):
            break
        spot = [middles[0][a], middles[1][b]]
        if all(
            max(np.hypot(*(spot[s] - middles[s][other[s]])) for s in (0, 1)) > near
            for other in taken
        ):
            taken.append((a, b))
        if len(taken) == _PAIRS:
            break
    return taken
