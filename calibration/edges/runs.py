"""How far a fitted edge goes on: the run in which the picture shows it."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from calibration.arrays import BoolArray, FloatArray, IntArray
from calibration.edges.arcs import Arcs, arcs
from calibration.edges.fit import GAP_CONTRAST, EdgeFits
from calibration.edges.light import Light
from calibration.edges.strips import sample_strips
from calibration.priors import CameraPrior

_MOST_PLACES: Final = 3000
_SMOOTH: Final = 5
"""Places that are averaged: less is noise, more rounds the end off."""

_REACH: Final = 3
_TONE: Final = 1.25
"""How far light along a board may leave its usual range: dirt, a weak shadow."""

_LEAST_STEP: Final = 0.004
"""A code value in the shade: less is noise."""

_GOES_ON: Final = 1.5
_DENSE: Final = 0.85
"""How far an edge goes on behind a gap that is bridged, by the gap, and the share of it
that shows: leaves look like an edge here and there."""

_DENSE_END: Final = 0.7
"""Share of a run's last stretch that shows the edge; of leaves it is about half."""

_MOST_TURNS: Final = 2.5
"""How often a step may turn from lighter to darker within a gap's length: a board's does
where the wall behind it ends, leaves' does everywhere."""

END_SD_PX: Final = 3.0
"""How well the end of a run tells the end of a board, if nothing crosses there."""


@dataclass(frozen=True, slots=True, eq=False)
class Run:
    """Where an edge begins and ends.

    Attributes
    ----------
    ends_px : (2, 2) float64
        On the edge, image frame.
    share : (2,) float64
        The same as shares of the way between the edge's own ends.
    open : (2,) bool
        Whether the edge still shows where looking for it stopped.
    shown : float
        Share of the run that shows the edge.
    """

    ends_px: FloatArray
    share: FloatArray
    open: BoolArray
    shown: float


def follow(
    light: Light,
    edge: EdgeFits,
    camera: CameraPrior,
    *,
    beyond_px: float,
    gap_px: float,
    bridge_px: float = 0.0,
) -> Run:
    """Follow an edge from its middle both ways, over gaps, until it is gone.

    Parameters
    ----------
    light : Light
        The picture.
    edge : EdgeFits
        One row.
    camera : CameraPrior
        The lens: the edge is prolonged as a straight line in space.
    beyond_px : float
        How far past its ends to look.
    gap_px : float
        Longest gap that it may have.
    bridge_px : float
        Longest gap behind which the same straight edge goes on for one and a half times
        as far: a tree before a board, not its end. Then leaves beside the board, which
        look like an edge here and there, are no part of the run either.

    Returns
    -------
    Run
    """
    length = max(float(edge.length_px[0]), 1.0)
    extra = beyond_px / length
    number = int(np.clip(length + 2 * beyond_px, 16, _MOST_PLACES))
    share = np.linspace(-extra, 1.0 + extra, number)
    arc = arcs(edge.ends_px, share, camera, edge.k1)
    shows = _shows(light, arc, float(edge.contrast[0]), share)
    step = (length + 2 * beyond_px) / (number - 1)
    gaps = max(2, round(gap_px / step)), round(bridge_px / step)
    first, last = _extent(shows, share, gaps)
    inside = _inside(arc, light)
    limits = np.flatnonzero(inside)
    edge_of_view = (limits[0], limits[-1]) if len(limits) else (0, number - 1)
    return Run(
        arc.points_px[0][[first, last]],
        share[[first, last]],
        np.array([first <= edge_of_view[0] + 2, last >= edge_of_view[1] - 2]),
        float(np.abs(shows[first : last + 1]).mean()),
    )


def _shows(light: Light, arc: Arcs, contrast: float, share: FloatArray) -> FloatArray:
    """Return 1 or -1 where a step across is there (N,), and one side looks as before.

    Either way round: a white board is lighter than its soffit and, beyond the wall,
    darker than the sky. Where both sides change the board has ended.
    """
    offsets = np.arange(-_REACH, _REACH + 1, dtype=np.float64)
    strip = sample_strips(light, arc, offsets)[0].astype(np.float64)
    step = strip[:, _REACH + 1 :].mean(axis=1) - strip[:, :_REACH].mean(axis=1)
    step = np.convolve(step * np.sign(contrast), np.full(_SMOOTH, 1.0 / _SMOOTH), "same")
    own = (share > 0.0) & (share < 1.0)
    usual = float(np.median(step[own])) if own.any() else abs(contrast)
    level = _runs_on(strip[:, :_REACH], own) | _runs_on(strip[:, _REACH + 1 :], own)
    clear = level & (np.abs(step) > 2.0 * GAP_CONTRAST * max(usual, _LEAST_STEP))
    return np.where(clear & _inside(arc, light), np.sign(step), 0.0)


def _runs_on(side: FloatArray, own: BoolArray) -> BoolArray:
    """Tell where one side of an edge is as light as along the edge itself (N,)."""
    tone = np.convolve(side.mean(axis=1), np.full(_SMOOTH, 1.0 / _SMOOTH), "same")
    known = tone[own] if own.any() else tone
    low, high = np.percentile(known, [5.0, 95.0])
    alike: BoolArray = (tone > low / _TONE - _LEAST_STEP) & (
        tone < high * _TONE + _LEAST_STEP
    )
    return alike


def _inside(arc: Arcs, light: Light) -> BoolArray:
    x, y = arc.points_px[0].T
    width, height = light.size_px
    inside: BoolArray = (x >= 0) & (y >= 0) & (x <= width - 1) & (y <= height - 1)
    return inside


def _extent(shows: FloatArray, share: FloatArray, gaps: tuple[int, int]) -> tuple[int, int]:
    """Return first and last place of the run about the middle of the edge.

    `gaps` are the longest that a run may have, and the longest that may be bridged.
    """
    seen = np.flatnonzero(shows)
    if not len(seen):
        return int(np.argmin(np.abs(share))), int(np.argmin(np.abs(share - 1.0)))
    gap, bridge = gaps
    breaks = np.flatnonzero(np.diff(seen) > gap)
    starts = np.concatenate([[0], breaks + 1])
    stops = np.concatenate([breaks, [len(seen) - 1]])
    # The run that holds most of the edge itself.
    own = np.cumsum((share[seen] >= 0.0) & (share[seen] <= 1.0))
    held = own[stops] - np.where(starts > 0, own[starts - 1], 0)
    first, last = seen[starts], seen[stops]
    dense = (stops - starts + 1) / (last - first + 1) >= _DENSE
    best = int(np.argmax(held))
    low = best - _bridged(first[best::-1], last[best::-1], dense[best::-1], bridge)
    high = best + _bridged(first[best:], last[best:], dense[best:], bridge)
    run = int(first[low]), int(last[high])
    return _trimmed(shows, run, 2 * gap) if bridge else run


def _trimmed(shows: FloatArray, run: tuple[int, int], window: int) -> tuple[int, int]:
    """Return a run without ends that show here and there, as leaves beside a board do."""
    first, last = run
    if last - first < 2 * window:
        return run
    seen = _steady(shows[first : last + 1], window // 2)
    dense = np.convolve(seen, np.full(window, 1.0 / window), "valid") >= _DENSE_END
    # Where a window that begins there, or ends there, is dense.
    begins = np.flatnonzero(dense & seen[: len(dense)])
    ends = np.flatnonzero(dense & seen[window - 1 :]) + window - 1
    if not len(begins) or not len(ends) or ends[-1] <= begins[0]:
        return run
    return first + int(begins[0]), first + int(ends[-1])


def _steady(shows: FloatArray, window: int) -> BoolArray:
    """Tell where an edge shows (N,) and does not turn round and round as leaves do."""
    seen = np.flatnonzero(shows)
    turns = np.zeros(len(shows))
    turns[seen[1:]] = np.diff(shows[seen]) != 0.0
    often = np.convolve(turns, np.ones(window), "same") > _MOST_TURNS
    steady: BoolArray = (shows != 0.0) & ~often
    return steady


def _bridged(first: IntArray, last: IntArray, dense: BoolArray, bridge: int) -> int:
    """Return over how many gaps a run goes on, one way; runs from it outwards (R,).

    A gap must be short for how far the edge goes on behind it.
    """
    for place in range(1, len(first)):
        gap = max(first[place] - last[place - 1], first[place - 1] - last[place])
        long = last[place] - first[place]
        if gap > bridge or long < _GOES_ON * gap or not dense[place]:
            return place - 1
    return len(first) - 1
