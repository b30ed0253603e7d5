"""What speaks for a line of the roofline: its own bands, its neighbours, its place."""

from typing import Final

import numpy as np

from calibration.arrays import FloatArray
from photomeasure.proposals.beside import Uprights, beside
from photomeasure.proposals.bundles import Bundle
from photomeasure.proposals.reading import Reading
from photomeasure.snapping.ranking import clearness, darker_below, even

Evidence = dict[str, FloatArray]
"""Named features of S lines, (S,) each."""

_LEAST_LIGHT: Final = 0.005
_THINNEST: Final = 1e-3
"""Bands thinner than this share of a line's length are no board."""

_SHALLOWEST: Final = 0.05
_MOST_LOST: Final = 0.6
_MOST_EDGES: Final = 4.0
_MOST_STANDING: Final = 3.0
_MOST_PAST: Final = 0.3
"""Where more evidence of a kind says no more: light beyond a factor of two is sun."""

_TALL: Final = 0.15
"""Uprights that reach this share of a wall's height tell how wide it is."""


def edge_evidence(bundle: Bundle) -> Evidence:
    """Return what the bands above and below each edge of a bundle tell.

    Parameters
    ----------
    bundle : Bundle
        S parallel edges from above to below.

    Returns
    -------
    dict of (S,) float64
    """
    edges, bands = bundle.edges, bundle.bands
    length = max(float(edges.length_px.mean()), 1.0)
    darker = darker_below(edges, bands)
    light_above, light_below = (
        np.log(np.maximum(light, _LEAST_LIGHT)) for light in (bands.above, bands.below)
    )
    lost = np.clip(light_below - light_above, -_MOST_LOST, _MOST_LOST)
    deepest = max(float(bands.deep_above[1:].max(initial=1.0)), 1e-9)
    count = np.arange(len(edges), dtype=np.float64)
    return {
        "darker below": darker,
        "pale, darker below": darker * bands.above / (bands.above + 0.1),
        "even above": even(bands.rough_above),
        "even below": even(bands.rough_below),
        "light lost": lost,
        "next darker": np.append(darker[1:], 0.0),
        "next light lost": np.append(lost[1:], 0.0),
        "even after next": even(np.append(bands.rough_below[1:], bands.rough_below[-1])),
        "last lighter": -np.concatenate([[0.0], darker[:-1]]),
        "deepest": np.log(np.clip(bands.deep_above / deepest, _SHALLOWEST, 1.0)),
        "depth above": np.log(np.clip(bands.deep_above / length, _THINNEST, 1.0)),
        "depth below": np.log(np.clip(bands.deep_below / length, _THINNEST, 1.0)),
        "clear": clearness(edges, bands),
        "support": edges.support,
        "edges above": np.minimum(count, _MOST_EDGES),
        "edges below": np.minimum(count[::-1], _MOST_EDGES),
        "sky above": np.where(count == 0.0, bundle.sky, 0.0),
        "uppermost": (count == 0.0).astype(np.float64),
    }


def place_evidence(
    reading: Reading, wall: int, ends_px: FloatArray, columns: Uprights
) -> Evidence:
    """Return what lies about level lines of a wall.

    Parameters
    ----------
    reading : Reading
    wall : int
    ends_px : (S, 2, 2) float64
    columns : Uprights
        Of that wall.

    Returns
    -------
    dict of (S,) float64
        NaN where a line has no place on the wall.
    """
    look = beside(reading, ends_px)
    places = reading.on_wall(ends_px, wall)
    shape = np.array([_standing(columns, place) for place in places]).reshape(-1, 5)
    length = np.hypot(*(ends_px[:, 1] - ends_px[:, 0]).T)
    return {
        "length": np.log(length / reading.side_px),
        "sky over it": look.sky_above,
        "sky under it": look.sky_below,
        "sides differ": look.differs,
        "texture over it": np.log1p(look.texture_above),
        "texture under it": np.log1p(look.texture_below),
        "uprights below": shape[:, 0],
        "gap to uprights": shape[:, 1],
        "uprights reach it": shape[:, 2],
        "past left quoin": shape[:, 3],
        "past right quoin": shape[:, 4],
    }


def _standing(columns: Uprights, place: FloatArray) -> tuple[float, ...]:
    """Return how uprights stand under a line (2, 2) of a wall."""
    left, right = float(place[:, 0].min()), float(place[:, 0].max())
    height = float(place[:, 1].mean())
    if not np.isfinite([left, right, height]).all():
        return (np.nan,) * 5
    below, above = columns.about(left, right, height)
    return (
        below / max(below + above, 1e-9),
        columns.gap_below(left, right, height),
        min(columns.standing(left, right, height), _MOST_STANDING),
        *_past_quoins(columns, left, right, height),
    )


def _past_quoins(
    columns: Uprights, left: float, right: float, height: float
) -> tuple[float, float]:
    """Return by how much of its length a line passes the outermost tall uprights."""
    width = max(right - left, 1e-9)
    near = (columns.foot < height) & (columns.right > left - _MOST_PAST * width)
    near &= columns.right < right + _MOST_PAST * width
    if not near.any():
        return 0.5, 0.5
    tall = height - float(columns.foot[near].min())
    near &= columns.top - columns.foot > _TALL * tall
    if not near.any():
        return 0.5, 0.5
    outer = columns.right[near].min(), columns.right[near].max()
    past = np.clip([outer[0] - left, right - outer[1]], -_MOST_PAST * width, width)
    return float(past[0] / width), float(past[1] / width)
