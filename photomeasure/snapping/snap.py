"""Pull a roughly traced line to the edge that is meant."""

from typing import Final

import numpy as np

from calibration.arrays import FloatArray
from calibration.edges import EdgeFits, Light, edges_beside, light_of
from calibration.edges.arcs import arcs
from calibration.photo.pixels import RgbImage
from calibration.priors import CameraPrior, LensKnowledge, camera_prior
from photomeasure.job.schema import Role
from photomeasure.snapping.bands import bands_of
from photomeasure.snapping.ends import snapped_ends
from photomeasure.snapping.model import (
    EDGE_MODEL_SD_PX,
    MOST_SHOWN,
    SURE,
    Snap,
    SnapCandidate,
    SnappedEnd,
)
from photomeasure.snapping.ranking import confidences, log_odds

REACH: Final = 0.005
"""How far a trace may be off, by the picture's long side: 20 px of 4000, a finger's
breadth on a screen. Common practice, no source."""

LEAST_REACH_PX: Final = 8.0
_TRACE_SD: Final = 0.4
"""Standard error of a trace, by the reach."""

_LEAST_CONFIDENCE: Final = 0.05
_PLUMB: Final = frozenset({Role.FASCIA_DEPTH, Role.DOWNPIPE, Role.BOX_END})


def usual_reach_px(size_px: tuple[int, int]) -> float:
    """Return how far a trace may be off in a picture of a size."""
    return max(LEAST_REACH_PX, REACH * max(size_px))


def snap_line(
    photo: RgbImage,
    picks_px: FloatArray,
    role: Role = Role.OTHER,
    *,
    camera: CameraPrior | None = None,
    reach_px: float | None = None,
) -> Snap:
    """Return the edges that a rough trace may mean, likeliest first.

    Parameters
    ----------
    photo : (H, W, 3) uint8
        Upright, RGB.
    picks_px : (N, 2) float64
        The trace, N >= 2; its first and last place are its ends.
    role : Role
        What the line is; decides between parallel edges.
    camera : CameraPrior, optional
        What is known of the lens; the range of phones without.
    reach_px : float, optional
        How far the trace may be off; half a hundredth of the long side without.

    Returns
    -------
    Snap
        Without candidates if no edge shows there.
    """
    height, width = photo.shape[:2]
    lens = camera or camera_prior((width, height), LensKnowledge())
    reach = reach_px or usual_reach_px((width, height))
    traced = np.asarray(picks_px, dtype=np.float64)[[0, -1]]
    turned = role not in _PLUMB and traced[1, 0] < traced[0, 0]
    way = traced[::-1] if turned else traced
    if float(np.hypot(*(way[1] - way[0]))) < 3.0:
        return Snap(())
    light = light_of(photo, way, int(np.ceil(3.5 * reach)) + 4)
    edges = edges_beside(light, way, lens, reach_px=reach)
    if not len(edges):
        return Snap(())
    off = _across(edges, way)
    bands = bands_of(light, edges, lens, reach)
    odds = log_odds(edges, bands, role, off, _TRACE_SD * reach)
    sure = confidences(odds)
    order = [int(row) for row in np.argsort(-sure) if sure[row] >= _LEAST_CONFIDENCE]
    if not order:
        return Snap(())
    if sure[order[0]] >= SURE:
        order = order[:1]
    found = [
        _candidate((light, lens, reach), edges[row : row + 1], way, (off, sure, row))
        for row in order[:MOST_SHOWN]
    ]
    return Snap(tuple(_reversed(c) if turned else c for c in found))


def _across(edges: EdgeFits, way: FloatArray) -> FloatArray:
    """Return how far each edge lies from the trace's ends, to the right positive."""
    unit = (way[1] - way[0]) / np.hypot(*(way[1] - way[0]))
    across: FloatArray = (edges.ends_px - way) @ np.array([-unit[1], unit[0]])
    return across


def _candidate(
    looks: tuple[Light, CameraPrior, float],
    edge: EdgeFits,
    way: FloatArray,
    ranked: tuple[FloatArray, FloatArray, int],
) -> SnapCandidate:
    light, lens, reach = looks
    off, sure, row = ranked
    ends = snapped_ends(light, edge, way, lens, reach)
    line = np.stack([end.point_px for end in ends])
    middle = arcs(line[None], np.array([0.5]), lens, edge.k1).points_px[0]
    # A pick has one spread for x and y: the larger, for it is the length that counts.
    worst = max(max(end.along_sd_px, end.across_sd_px) for end in ends)
    return SnapCandidate(
        ends=ends,
        picks_px=np.stack([line[0], middle[0], line[1]]),
        pick_sd_px=float(np.hypot(max(worst, EDGE_MODEL_SD_PX), _doubt(off, sure, row))),
        confidence=float(sure[row]),
        shift_px=float(off[row].mean()),
        edge=edge,
    )


_CLOSE_PX: Final = 4.0
"""Edges nearer than this are hard to tell apart by eye: their doubt is part of the
spread. Farther ones are shown as a choice."""


def _doubt(off: FloatArray, sure: FloatArray, row: int) -> float:
    """Return the spread from not knowing which of close edges is meant, pixels."""
    apart = off.mean(axis=1) - off[row].mean()
    close = np.abs(apart) < _CLOSE_PX
    share = sure[close] / sure[close].sum()
    return float(np.sqrt(share @ apart[close] ** 2))


def _reversed(found: SnapCandidate) -> SnapCandidate:
    """Return a candidate in the order in which the line was traced."""
    first, last = found.ends
    ends: tuple[SnappedEnd, SnappedEnd] = (last, first)
    return SnapCandidate(
        ends=ends,
        picks_px=found.picks_px[::-1].copy(),
        pick_sd_px=found.pick_sd_px,
        confidence=found.confidence,
        shift_px=-found.shift_px,
        edge=found.edge,
    )
