"""Pairs of edges that may be the two rakes of a gable, and what speaks for each pair."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from calibration.arrays import FloatArray
from calibration.edges import corner
from calibration.edges.runs import Run, follow
from photomeasure.job.schema import Role
from photomeasure.proposals.bundles import Bundle
from photomeasure.proposals.evidence import Evidence, edge_evidence
from photomeasure.proposals.levels import BRIDGE, Found
from photomeasure.proposals.reading import Reading
from photomeasure.proposals.weights import small

_GAP: Final = 0.03
"""Longest gap in a rake, by the long side of the photo."""


@dataclass(frozen=True, slots=True, eq=False)
class Gable:
    """Two rakes with their apex.

    Attributes
    ----------
    left, right : Found
    odds : float
    chance : float
        That these two are its rakes, among all pairs of the photo.
    """

    left: Found
    right: Found
    odds: float
    chance: float = 0.0


def pairs_of(
    reading: Reading, wall: int, pair: tuple[Bundle, Bundle]
) -> tuple[list[Gable], Evidence] | None:
    """Return all pairs of edges of two bundles and what speaks for each pair.

    Parameters
    ----------
    reading : Reading
    wall : int
    pair : tuple of Bundle
        About the left and the right rake.

    Returns
    -------
    list of Gable and dict of (S,) float64, or None
        None if no two of them meet.
    """
    runs = _runs(reading, pair[0]), _runs(reading, pair[1])
    gables, rows, own = [], [], []
    for a in range(len(pair[0].edges)):
        for b in range(len(pair[1].edges)):
            edges = pair[0].edges[a : a + 1], pair[1].edges[b : b + 1]
            meeting = corner(*edges, reading.camera)
            if meeting is None:
                continue
            chosen = runs[0][a], runs[1][b]
            gables.append(_gable(wall, pair, (a, b), runs, meeting.point_px))
            rows.append((a, b))
            shape = _shape(reading, wall, chosen, meeting.point_px)
            own.append(shape + _unlike(pair[0], a, pair[1], b))
    if not gables:
        return None
    sides = [edge_evidence(bundle) for bundle in pair]
    chosen_rows = np.array(rows).T
    evidence = {
        name: sides[0][name][chosen_rows[0]] + sides[1][name][chosen_rows[1]]
        for name in sides[0]
    }
    table = np.array(own).T
    length = _PAIR_EVIDENCE.index("longest")
    table[length] -= table[length].max()
    spans = np.array(
        [abs(float(g.right.ends_px[1, 0] - g.left.ends_px[0, 0])) for g in gables]
    )
    evidence["small"] = small(spans / reading.side_px, Role.RAKE)
    return gables, evidence | dict(zip(_PAIR_EVIDENCE, table, strict=True))


_PAIR_EVIDENCE: Final = (
    "short of apex",
    "uneven spans",
    "uneven feet",
    "longest",
    "unlike steps",
    "unlike depth above",
    "unlike depth below",
    "same way lighter",
)


def _runs(reading: Reading, bundle: Bundle) -> list[Run]:
    return [
        follow(
            reading.light,
            bundle.edges[row : row + 1],
            reading.camera,
            beyond_px=0.4 * reading.side_px,
            gap_px=_GAP * reading.side_px,
            bridge_px=BRIDGE * reading.side_px,
        )
        for row in range(len(bundle.edges))
    ]


def _gable(
    wall: int,
    pair: tuple[Bundle, Bundle],
    rows: tuple[int, int],
    runs: tuple[list[Run], list[Run]],
    apex_px: FloatArray,
) -> Gable:
    """Return both rakes from their feet to the apex where they meet."""
    lines = []
    for place, (bundle, row) in enumerate(zip(pair, rows, strict=True)):
        run = runs[place][row]
        # Ways run to the right: the left rake ends at the apex, the right one begins.
        ends = run.ends_px.copy()
        ends[1 - place] = apex_px
        every = np.stack([other.ends_px for other in runs[place]])
        lines.append(Found(Role.RAKE, ends, 0.0, wall, bundle, row, run.open, runs=every))
    return Gable(lines[0], lines[1], 0.0)


def _shape(
    reading: Reading, wall: int, runs: tuple[Run, Run], apex_px: FloatArray
) -> tuple[float, ...]:
    """Return how two runs miss their apex, how alike they are, and how long."""
    ends = runs[0].ends_px, runs[1].ends_px
    ways = [end[1] - end[0] for end in ends]
    long = [max(float(np.hypot(*way)), 1.0) for way in ways]
    short = (
        abs(float((apex_px - ends[0][1]) @ ways[0])) / long[0] ** 2,
        abs(float((ends[1][0] - apex_px) @ ways[1])) / long[1] ** 2,
    )
    foot_l, apex, foot_r = reading.on_wall(
        np.stack([ends[0][0], apex_px, ends[1][1]]), wall
    )
    spans = apex[0] - foot_l[0], foot_r[0] - apex[0]
    if not np.isfinite(spans).all() or min(spans) <= 0.0:
        uneven, feet = _MOST_UNEVEN, 0.25
    else:
        uneven = min(float(np.log(spans[0] / spans[1])) ** 2, _MOST_UNEVEN)
        feet = min(float((foot_l[1] - foot_r[1]) / sum(spans)) ** 2, 0.25)
    missed = sum(min(max(part - 0.02, 0.0), 0.5) for part in short)
    return missed, uneven, feet, float(np.log(sum(long)))


_MOST_UNEVEN: Final = 4.0


def _unlike(first: Bundle, a: int, second: Bundle, b: int) -> tuple[float, ...]:
    """Return by how much two edges differ in what they part: 0 for the same arris."""
    bands = first.bands, second.bands
    light = [
        np.log(np.maximum([band.above[row], band.below[row]], 0.005))
        for band, row in zip(bands, (a, b), strict=True)
    ]
    # The side in the sun is lighter, so only the step counts.
    step = float((light[0][0] - light[0][1]) - (light[1][0] - light[1][1]))
    above = float(np.log(bands[0].deep_above[a] / max(bands[1].deep_above[b], 1e-9)))
    below = float(np.log(bands[0].deep_below[a] / max(bands[1].deep_below[b], 1e-9)))
    same = np.sign(first.edges.contrast[a]) == np.sign(second.edges.contrast[b])
    return min(step**2, 9.0), min(above**2, 4.0), min(below**2, 4.0), float(same)
