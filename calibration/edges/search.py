"""All straight edges that run beside a rough segment."""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from calibration.arrays import FloatArray
from calibration.edges.arcs import arcs
from calibration.edges.fit import EdgeFits, fit_edges, no_edges
from calibration.edges.light import Light
from calibration.edges.strips import sample_strips
from calibration.priors import CameraPrior

_BLOCKS: Final = 48
"""Parts of the segment that vote, each with at most one vote."""

_PLACES: Final = 480
_FIT_PLACES: Final = 800
_TRIM: Final = 0.03
"""Share of a rough segment left out at each end: ends are traced too far as often
as too short."""

_BEND_STEPS: Final = 5
_LEAST_VOTES: Final = 0.3
"""Share of the blocks that an edge has to win."""

_APART_PX: Final = 1.6
"""Two edges closer than about twice the blur are one."""

_BELL_BY_GAP: Final = 0.24
_LEAST_BELL_PX: Final = 0.8
"""A faint edge beside a strong one slides onto it if the bell holds both: a board's
dark underside is a few pixels deep."""

_HALO_PX: Final = 0.15
_HALO_REACH_PX: Final = 2.0
_MOST_STRONGER: Final = 50.0
"""By how much a neighbour as strong pulls an edge, and over what distance: phones sharpen
over one or two pixels. Judged on drawn dark boards, whose underside is 5 pixels deep."""

_FAINT: Final = 4.0
"""Gradients of this many times the noise have half a vote."""

_LEAST_NOISE: Final = 0.004
"""A quarter of a code value in the middle of the scale, by the light there."""

_DARK: Final = 0.06
"""Twice the light below which noise and flare rule."""


@dataclass(frozen=True, slots=True, eq=False)
class _Votes:
    """Blocks by place across; a vote is between -1 and 1."""

    blocks: FloatArray
    share: FloatArray
    bend: FloatArray
    offsets: FloatArray


def edges_beside(
    light: Light,
    rough_px: FloatArray,
    camera: CameraPrior,
    *,
    reach_px: float,
    turn_px: float | None = None,
    most: int = 8,
) -> EdgeFits:
    """Find and fit all straight edges near a rough segment.

    Parameters
    ----------
    light : Light
        The picture, or a window that holds the segment with its reach.
    rough_px : (2, 2) float64
        Ends of the segment.
    camera : CameraPrior
        What is known of the lens.
    reach_px : float
        How far the true edge may lie from either end.
    turn_px : float, optional
        How far the displacements of the two ends may differ; any without.
    most : int
        How many edges, the clearest first.

    Returns
    -------
    EdgeFits
        In order of place across, from left to right of the way; perhaps none.
    """
    votes = _votes(light, rough_px, camera, reach_px)
    found = _peaks(votes, (reach_px, turn_px), camera.k1_sd, most)
    if not len(found):
        return no_edges()
    way = rough_px[1] - rough_px[0]
    normal = np.array([-way[1], way[0]]) / max(float(np.hypot(*way)), 1e-9)
    starts = rough_px + found[:, :2, None] * normal
    length = float(np.hypot(*way))
    places = int(np.clip(length, 12, _FIT_PLACES))
    fits = fit_edges(
        light,
        starts,
        camera,
        places=places,
        polarity=found[:, 2],
        most_bell_px=np.maximum(_BELL_BY_GAP * _gaps(found), _LEAST_BELL_PX),
    )
    return _beside_stronger(_distinct(fits, rough_px, normal, reach_px), normal)


def _votes(
    light: Light, rough_px: FloatArray, camera: CameraPrior, reach_px: float
) -> _Votes:
    length = float(np.hypot(*(rough_px[1] - rough_px[0])))
    blocks = int(np.clip(length / 3.0, 4, _BLOCKS))
    per_block = int(np.clip(length / blocks, 1, _PLACES // blocks))
    number = blocks * per_block
    share = _TRIM + (1.0 - 2.0 * _TRIM) * (np.arange(number) + 0.5) / number
    arc = arcs(rough_px[None], share, camera, np.array([camera.k1]))
    edge = int(np.ceil(reach_px)) + 2
    offsets = np.arange(-edge - 1, edge + 2, dtype=np.float64)
    strip = sample_strips(light, arc, offsets)[0].astype(np.float64)
    # By the light about it: an edge in shade is as good as one in the sun.
    slope = (strip[:, 2:] - strip[:, :-2]) / (strip[:, 2:] + strip[:, :-2] + _DARK)
    mean = slope.reshape(blocks, per_block, -1).mean(axis=1)
    noise = max(_LEAST_NOISE, 1.4826 * float(np.median(np.abs(mean))))
    vote = mean / (np.abs(mean) + _FAINT * noise)
    middle = share.reshape(blocks, per_block).mean(axis=1)
    bend = arc.bend_px[0].reshape(blocks, per_block).mean(axis=1)
    return _Votes(vote, middle, bend, offsets[1:-1])


def _peaks(
    votes: _Votes, limits_px: tuple[float, float | None], k1_sd: float, most: int
) -> FloatArray:
    """Return displacement of both ends and polarity of the edges with most votes."""
    reach_px, turn_px = limits_px
    steps = np.arange(-np.floor(reach_px), np.floor(reach_px) + 1.0)
    first, last = (grid.ravel() for grid in np.meshgrid(steps, steps, indexing="ij"))
    if turn_px is not None:
        parallel = np.abs(first - last) <= turn_px
        first, last = first[parallel], last[parallel]
    sag = float(np.abs(votes.bend).max(initial=0.0)) * 2.0 * k1_sd
    bends = np.linspace(-1.0, 1.0, _BEND_STEPS) if sag > 1.0 else np.zeros(1)
    score = np.zeros((len(bends), len(first)))
    for row, share in enumerate(bends):
        place = (
            np.outer(first, 1.0 - votes.share)
            + np.outer(last, votes.share)
            + share * 2.0 * k1_sd * votes.bend
        )
        column = np.clip(
            np.rint(place - votes.offsets[0]).astype(np.intp), 0, len(votes.offsets) - 1
        )
        score[row] = votes.blocks[np.arange(len(votes.share)), column].mean(axis=1)
    best = np.abs(score).argmax(axis=0)
    total = score[best, np.arange(len(first))]
    return _strongest(first, last, total, most)


def _strongest(
    first: FloatArray, last: FloatArray, total: FloatArray, most: int
) -> FloatArray:
    """Take peaks one by one; what touches or crosses a taken line is not a peak."""
    left = np.abs(total)
    taken: list[tuple[float, float, float]] = []
    for _ in range(3 * most):
        best = int(left.argmax())
        if left[best] < _LEAST_VOTES or len(taken) == most:
            break
        a, b = first - first[best], last - last[best]
        taken.append((float(first[best]), float(last[best]), float(np.sign(total[best]))))
        same = np.sign(total) == np.sign(total[best])
        near = np.where(same, _APART_PX + 1.0, _APART_PX)
        left = np.where(
            (a * b <= 0.0) | (np.minimum(np.abs(a), np.abs(b)) < near), 0.0, left
        )
    return np.array(taken).reshape(-1, 3)


def _gaps(found: FloatArray) -> FloatArray:
    """Return how far the next edge lies from each of P peaks (P, 3), pixels (P,)."""
    apart = np.abs(found[:, None, :2] - found[None, :, :2]).min(axis=2)
    np.fill_diagonal(apart, np.inf)
    nearest: FloatArray = apart.min(axis=1, initial=np.inf)
    return nearest


def _distinct(
    fits: EdgeFits, rough_px: FloatArray, normal: FloatArray, reach_px: float
) -> EdgeFits:
    """Drop fits that slid onto a stronger one or out of reach; order across."""
    across = (fits.ends_px - rough_px) @ normal
    strength = np.abs(fits.contrast) * fits.support
    middle = across.mean(axis=1)
    keep = np.zeros(len(fits), dtype=bool)
    for row in np.argsort(-strength):
        # Edges of one board run beside each other: one that runs into another is a fit
        # that slid onto it at one end.
        clear = np.abs(across[keep] - across[row]).min(initial=np.inf) > _APART_PX
        inside = np.abs(across[row]).max() <= reach_px + 1.0
        shows = fits.support[row] >= _LEAST_VOTES and strength[row] > 0.0
        keep[row] = clear and inside and shows
    rows = np.flatnonzero(keep)
    return fits[rows[np.argsort(middle[rows])]]


def _beside_stronger(fits: EdgeFits, normal: FloatArray) -> EdgeFits:
    """Widen the spread of edges in the halo of a stronger one: sharpening moves them."""
    middle = fits.ends_px.mean(axis=1) @ normal
    apart = np.abs(middle[:, None] - middle)
    size = np.maximum(np.abs(fits.contrast), 1e-6)
    share = np.minimum(size / size[:, None], _MOST_STRONGER)
    np.fill_diagonal(share, 0.0)
    pull = _HALO_PX * (share * np.exp(-0.5 * (apart / _HALO_REACH_PX) ** 2)).sum(axis=1)
    covariance = fits.covariance.copy()
    # Both ends are pulled the same way.
    covariance[:, :2, :2] += np.minimum(pull, 1.0)[:, None, None] ** 2
    return replace(fits, covariance=covariance)
