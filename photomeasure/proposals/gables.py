"""Rakes: two edges of one pitch that rise to an apex, sky above and wall below."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from calibration.arrays import FloatArray, IntArray
from calibration.edges import corner
from calibration.edges.runs import follow
from calibration.vanishing.model import PLUMB
from photomeasure.job.schema import Role
from photomeasure.proposals.beside import beside, uprights
from photomeasure.proposals.bundles import Bundle, bundle_at
from photomeasure.proposals.levels import Found, walls
from photomeasure.proposals.reading import Reading

_LEAST_LENGTH: Final = 0.05
_PITCH_RAD: Final = (float(np.radians(9.0)), float(np.radians(68.0)))
_PITCH_SD_RAD: Final = float(np.radians(2.5))
"""How far the two pitches of a gable differ: building, lens, and camera held askew."""

_MOST_EACH: Final = 25
_PAIRS: Final = 3
_GAP: Final = 0.03
_APEX_GAP: Final = 0.35
"""How far short of the apex a rake may stop, by its length: a finial, a branch, sky as
light as the board."""


@dataclass(frozen=True, slots=True, eq=False)
class Gable:
    """Two rakes with their apex.

    Attributes
    ----------
    left, right : Found
    odds : float
    """

    left: Found
    right: Found
    odds: float


@dataclass(frozen=True, slots=True, eq=False)
class _Slopes:
    """Sloping edges on a wall: left ones rise to the right."""

    rows: IntArray
    low: FloatArray
    high: FloatArray
    pitch: FloatArray
    odds: FloatArray


def find_gables(reading: Reading) -> list[Gable]:
    """Return pairs of rakes on all walls, likeliest first."""
    found: list[Gable] = []
    for wall in walls(reading):
        left, right = _slopes(reading, wall)
        if not len(left.rows) or not len(right.rows):
            continue
        odds = _pair_odds(left, right)
        for a, b in _best_pairs(odds, (left, right), reading):
            found += _fine(reading, wall, (left.rows[a], right.rows[b]), float(odds[a, b]))
    return sorted(found, key=lambda gable: -gable.odds)


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


def _fine(reading: Reading, wall: int, rows: tuple[int, int], coarse: float) -> list[Gable]:
    """Return the best combinations of edges of both bundles."""
    bundles = [bundle_at(reading, reading.edges.ends_px[row]) for row in rows]
    if bundles[0] is None or bundles[1] is None:
        return []
    odds = [bundle.odds(Role.RAKE) for bundle in bundles if bundle]
    choices = [np.argsort(-mine)[:3] for mine in odds]
    top = sum(float(mine.max()) for mine in odds)
    found = []
    for a in choices[0]:
        for b in choices[1]:
            total = float(odds[0][a] + odds[1][b])
            lines = _lines(reading, wall, (bundles[0], int(a)), (bundles[1], int(b)))
            if lines is None:
                continue
            alike = _unlike(bundles[0], int(a), bundles[1], int(b))
            score = coarse + 0.35 * top + total - top - alike
            found.append(Gable(lines[0], lines[1], score))
    return sorted(found, key=lambda gable: -gable.odds)[:3]


def _unlike(first: Bundle, a: int, second: Bundle, b: int) -> float:
    """Return by how much two edges differ in what they part: 0 for the same arris."""
    light = [
        np.log(np.maximum([bundle.bands.above[row], bundle.bands.below[row]], 0.005))
        for bundle, row in ((first, a), (second, b))
    ]
    # The side in the sun is lighter, so only the step counts.
    step = (light[0][0] - light[0][1]) - (light[1][0] - light[1][1])
    depth = np.log(first.bands.deep_above[a] / max(second.bands.deep_above[b], 1e-9))
    return 0.25 * min(float(step**2), 9.0) + 0.5 * min(float(depth**2), 4.0)


def _lines(
    reading: Reading, wall: int, first: tuple[Bundle, int], second: tuple[Bundle, int]
) -> tuple[Found, Found] | None:
    """Return both rakes from their feet to the apex where they meet."""
    edges = [bundle.edges[row : row + 1] for bundle, row in (first, second)]
    meeting = corner(edges[0], edges[1], reading.camera)
    if meeting is None:
        return None
    lines = []
    for place, (bundle, row) in enumerate((first, second)):
        run = follow(
            reading.light,
            edges[place],
            reading.camera,
            beyond_px=0.4 * reading.side_px,
            gap_px=_GAP * reading.side_px,
        )
        # Ways run to the right: the left rake ends at the apex, the right one begins.
        ends = run.ends_px.copy()
        ends[1 - place] = meeting.point_px
        lines.append(Found(Role.RAKE, ends, 0.0, wall, bundle, row, run.open))
    return lines[0], lines[1]
