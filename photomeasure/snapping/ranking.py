"""Which of several parallel edges is meant: by role, clearness, length and nearness."""

from collections.abc import Callable
from typing import Final

import numpy as np

from calibration.arrays import FloatArray
from calibration.edges import EdgeFits
from photomeasure.job.schema import Role
from photomeasure.snapping.bands import Bands

_STEP: Final = 1.4
"""Weight of a step the right way up: three in four lower edges of boards are darker
below, in sun and in shade. Judged on sample_images and drawn houses."""

_TEXTURE: Final = 0.12
"""Roughness between a painted board and brick or tile. As above."""

_STEP_DARK: Final = 1.0
_EVEN_BOARD: Final = 1.3
_DEEP: Final = 1.2
"""Weights of a board's looks: a logit fitted to drawn houses 0 to 99, held near what was
judged by eye so that it does not learn the renderer."""

_BOARD: Final = 0.9
_FAINT_CONTRAST: Final = 0.08
"""Step by the light of both sides together: what shows well in shade and in sun."""

_DARK: Final = 0.01
"""Light that is only noise and flare."""

_PALE: Final = 0.1
"""Light of a board that is neither pale nor dark."""

_NONE_OF_THEM: Final = -2.8
"""Log weight of 'the edge that is meant does not show'."""


def log_odds(
    edges: EdgeFits,
    bands: Bands,
    role: Role,
    off_px: FloatArray,
    trace_sd_px: float,
) -> FloatArray:
    """Return the logarithm of how likely each edge is meant, up to a constant.

    Parameters
    ----------
    edges : EdgeFits
        S parallel edges, ways to the right for lines that are not plumb.
    bands : Bands
        Between them.
    role : Role
        What the line was called.
    off_px : (S, 2) float64
        From the trace's ends, across.
    trace_sd_px : float
        How roughly people trace.

    Returns
    -------
    (S,) float64
    """
    # Both ends were traced by one hand in a moment: half of the error is common.
    middle, tilt = off_px.mean(axis=1), off_px[:, 1] - off_px[:, 0]
    near: FloatArray = -0.5 * (middle / trace_sd_px) ** 2 - 0.25 * (tilt / trace_sd_px) ** 2
    return near + clearness(edges, bands) + role_odds(edges, bands, role)


def clearness(edges: EdgeFits, bands: Bands) -> FloatArray:
    """Return how plainly each edge shows, log odds (S,)."""
    step = np.maximum(np.abs(_step(edges, bands)), 1e-3)
    support = np.clip(edges.support, 0.05, 1.0)
    clear: FloatArray = np.log(step / (step + _FAINT_CONTRAST)) + 1.5 * np.log(support)
    return clear


def _step(edges: EdgeFits, bands: Bands) -> FloatArray:
    """Return the step to below by the light of both sides, -1 to 1."""
    step: FloatArray = edges.contrast / (bands.above + bands.below + 2.0 * _DARK)
    return np.clip(step, -1.0, 1.0)


def confidences(odds: FloatArray) -> FloatArray:
    """Return probabilities (S,) from log odds; what is missing to 1 is 'none'."""
    top = max(float(odds.max(initial=_NONE_OF_THEM)), _NONE_OF_THEM)
    weight = np.exp(odds - top)
    shares: FloatArray = weight / (weight.sum() + np.exp(_NONE_OF_THEM - top))
    return shares


def role_odds(edges: EdgeFits, bands: Bands, role: Role) -> FloatArray:
    """Return how well each edge looks like a role, log odds (S,)."""
    rule = _RULES.get(role)
    return np.zeros(len(edges)) if rule is None else rule(edges, bands)


def even(rough: FloatArray) -> FloatArray:
    """Return +1 for a painted board or sky, -1 for brick or tile."""
    smooth: FloatArray = np.tanh(np.log(_TEXTURE / np.maximum(rough, 1e-3)))
    return smooth


def darker_below(edges: EdgeFits, bands: Bands) -> FloatArray:
    """Return +1 for a clear step to dark below, -1 for one to light."""
    step: FloatArray = -np.tanh(_step(edges, bands) / _FAINT_CONTRAST)
    return step


def _lower_board_edge(edges: EdgeFits, bands: Bands) -> FloatArray:
    """Rate as a board's lower arris: an even, deep face above, shadow or wall below."""
    deepest = bands.deep_above[1:].max(initial=1.0)
    deep = np.log(np.clip(bands.deep_above / deepest, 0.05, 1.0))
    # Below a dark board the wall may be lighter than the board.
    pale = bands.above / (bands.above + _PALE)
    odds: FloatArray = (
        (_STEP_DARK + (_STEP - _STEP_DARK) * pale) * darker_below(edges, bands)
        + _EVEN_BOARD * even(bands.rough_above)
        + _DEEP * deep
    )
    return odds


def _gutter_lip(edges: EdgeFits, bands: Bands) -> FloatArray:
    """Rate as a gutter's front rim: tiles above, an even front below."""
    smooth: FloatArray = even(bands.rough_below) - even(bands.rough_above)
    return _BOARD * smooth + 0.3 * np.abs(darker_below(edges, bands))


def _soffit_at_wall(edges: EdgeFits, bands: Bands) -> FloatArray:
    """Rate as where a soffit meets the wall: even above, bricks below."""
    return _BOARD * (
        even(bands.rough_above) - even(bands.rough_below)
    ) - 0.5 * darker_below(edges, bands)


def _ridge(edges: EdgeFits, bands: Bands) -> FloatArray:
    """Rate as a roof's upper edge: sky above, tiles below."""
    return _STEP * darker_below(edges, bands) + _BOARD * even(bands.rough_above)


_RULES: Final[dict[Role, Callable[[EdgeFits, Bands], FloatArray]]] = {
    Role.EAVES: _lower_board_edge,
    Role.FASCIA: _lower_board_edge,
    Role.RAKE: _lower_board_edge,
    Role.GUTTER: _gutter_lip,
    Role.SOFFIT: _soffit_at_wall,
    Role.RIDGE: _ridge,
    Role.VERGE: _ridge,
}
"""Roles with a look of their own; others go by nearness and clearness alone."""
