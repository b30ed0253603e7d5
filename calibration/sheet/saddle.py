"""Saddle corners to a few hundredths of a pixel, with their own uncertainty.

The picture about a corner is modelled as two edges of one blur crossing,

    I(p) = m + g . (p - c) + a erf(n1 . (p - c) / (sqrt2 s)) erf(n2 . (p - c) / (sqrt2 s))

and fitted by least squares over the arms of the cross, clear of the dots. The model is
unchanged by half a turn about ``c``, as the true picture is, so what it lacks (tone
curve, sharpening, the shape of the blur) moves no corner to first order.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.special import erf

from calibration.arrays import BoolArray, FloatArray, GreyImage

_ITERATIONS: Final = 12
_STEP_DONE_PX: Final = 1e-3
"""A tenth of what noise alone leaves."""

_DAMPING: Final = 1e-3
_FIRST_BLUR_PX: Final = 1.0
_BLUR_RANGE_PX: Final = (0.35, 4.0)
"""A pixel's own box spreads by 0.29 px; beyond four pixels nothing is sharp."""

USUAL_BLUR_PX: Final = 0.75
_MARGIN_BLURS: Final = 1.7
"""How far a dot's blur reaches, in its standard deviations: twenty times less of the
dot is left there, and what is left is the same on either side of most corners."""

_CLEAR: Final = 0.22
"""Cells between a cell's edge and its dots."""

_ARM: Final = 0.40
"""How far an arm is followed, in cells: the next corner's blur stays outside, and so
does the end of a cell that is cut short."""

_WIDEST_PX: Final = 14
"""A longer arm gains little and starts to see curled paper."""

_X, _Y, _TURN_1, _TURN_2, _BLUR, _MEAN, _SWING, _GRADIENT_X, _GRADIENT_Y = range(9)


@dataclass(frozen=True, slots=True, eq=False)
class Saddles:
    """Fitted corners.

    Attributes
    ----------
    xy_px : (N, 2) float64
    sd_px : (N,) float64
        Of one coordinate, from the misfit of the model; infinite if it did not fit.
    swing : (N,) float64
        Half the contrast in grey values, positive if the first direction's left is light.
    misfit : (N,) float64
        Rms misfit per half contrast.
    blur_px : (N,) float64
        Standard deviation of the blur.
    """

    xy_px: FloatArray
    sd_px: FloatArray
    swing: FloatArray
    misfit: FloatArray
    blur_px: FloatArray

    def only(self, keep: BoolArray) -> "Saddles":
        """Return some of the corners."""
        return Saddles(
            self.xy_px[keep],
            self.sd_px[keep],
            self.swing[keep],
            self.misfit[keep],
            self.blur_px[keep],
        )


def fit_saddles(
    image: GreyImage,
    start_px: FloatArray,
    across_px: FloatArray,
    up_px: FloatArray,
    blur_px: float = USUAL_BLUR_PX,
) -> Saddles:
    """Fit every corner in its own window.

    Parameters
    ----------
    image : (H, W) uint8
    start_px : (N, 2) float64
        Where the corners are to a pixel or two.
    across_px, up_px : (N, 2) float64
        One cell's step along the sheet's x and y there, pixels.
    blur_px : float
        Expected spread of the blur: so much further the window stays off the dots.

    Returns
    -------
    Saddles
    """
    window, grey, used = _windows(image, start_px, (across_px, up_px), blur_px)
    count = len(start_px)
    state = _first(window, grey, used, (across_px, up_px))
    alive = used.sum(axis=1) > 2 * state.shape[1]
    damping = np.full(count, _DAMPING)
    value, slope = _model(window, state)
    cost = _cost(grey - value, used)
    for _ in range(_ITERATIONS):
        normal, right = _normal_equations(slope, grey - value, used)
        diagonal = np.einsum("nii->ni", normal)
        damped = normal + np.einsum(
            "ni,ij->nij", damping[:, None] * diagonal + 1e-9, np.eye(normal.shape[1])
        )
        step = np.linalg.solve(damped, right[:, :, None])[:, :, 0]
        trial = _bounded(state + step, state)
        trial_value, trial_slope = _model(window, trial)
        trial_cost = _cost(grey - trial_value, used)
        better = trial_cost <= cost
        damping = np.where(better, damping * 0.2, damping * 10.0)
        state = np.where(better[:, None], trial, state)
        value = np.where(better[:, None], trial_value, value)
        slope = np.where(better[:, None, None], trial_slope, slope)
        cost = np.where(better, trial_cost, cost)
        if np.all(np.abs(step[alive, :2]) < _STEP_DONE_PX):
            break
    return _finished(start_px, state, slope, cost, used, alive)


def _windows(
    image: GreyImage, start: FloatArray, steps: tuple[FloatArray, ...], blur_px: float
) -> tuple[FloatArray, FloatArray, BoolArray]:
    """Return offsets (N, P, 2), grey values (N, P) and which pixels count (N, P)."""
    across, up = steps
    reach = _ARM * (np.abs(across) + np.abs(up)).max(initial=1.0)
    half = int(np.clip(np.ceil(reach), 3, _WIDEST_PX))
    line = np.arange(-half, half + 1)
    offsets = np.stack(np.meshgrid(line, line), axis=-1).reshape(-1, 2)
    centre = np.round(start).astype(np.intp)
    at = centre[:, None, :] + offsets[None]
    height, width = image.shape
    inside = np.all((at >= 0) & (at < [width, height]), axis=2)
    x, y = np.clip(at[..., 0], 0, width - 1), np.clip(at[..., 1], 0, height - 1)
    window = at - start[:, None, :]
    frame = np.stack([across, up], axis=2)
    cells = np.abs(np.einsum("nij,npj->npi", np.linalg.inv(frame), window))
    # The shorter step is what a margin in pixels is most of.
    shorter = np.minimum(np.hypot(*across.T), np.hypot(*up.T))[:, None]
    clear = np.maximum(_CLEAR - _MARGIN_BLURS * blur_px / shorter, 0.0)
    used = inside & (cells.max(axis=2) <= _ARM) & (cells.min(axis=2) <= clear)
    return window, image[y, x].astype(np.float64), used


def _first(
    window: FloatArray, grey: FloatArray, used: BoolArray, steps: tuple[FloatArray, ...]
) -> FloatArray:
    """Return first parameters (N, 9): contrast, with its sign, from a linear fit."""
    weight = np.maximum(used.sum(axis=1), 1)
    mean = np.sum(grey * used, axis=1) / weight
    state = np.zeros((len(grey), 9))
    for turn, step in zip((_TURN_1, _TURN_2), steps, strict=True):
        state[:, turn] = np.arctan2(step[:, 1], step[:, 0])
    state[:, _BLUR], state[:, _MEAN], state[:, _SWING] = _FIRST_BLUR_PX, mean, 1.0
    pattern = (_model(window, state)[0] - mean[:, None]) * used
    power = np.maximum(np.sum(pattern**2, axis=1), 1e-9)
    state[:, _SWING] = np.sum((grey - mean[:, None]) * pattern, axis=1) / power
    return state


def _model(window: FloatArray, state: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the modelled picture (N, P) and its derivative (N, P, 9)."""
    offset = window - state[:, None, :2]
    blur = np.sqrt(2.0) * state[:, None, _BLUR]
    parts = []
    for turn in (_TURN_1, _TURN_2):
        c, s = np.cos(state[:, turn, None]), np.sin(state[:, turn, None])
        along = c * offset[..., 0] + s * offset[..., 1]
        side = -s * offset[..., 0] + c * offset[..., 1]
        reduced = side / blur
        bell = 2.0 / np.sqrt(np.pi) * np.exp(-(reduced**2)) / blur
        parts.append((erf(reduced), bell, along, side, -s, c))
    (e1, b1, along1, side1, nx1, ny1), (e2, b2, along2, side2, nx2, ny2) = parts
    swing = state[:, _SWING, None]
    gradient = state[:, None, _GRADIENT_X : _GRADIENT_Y + 1]
    value = state[:, _MEAN, None] + np.sum(gradient * offset, axis=2) + swing * e1 * e2
    slope = np.empty((*value.shape, 9))
    slope[..., _X] = -swing * (b1 * nx1 * e2 + e1 * b2 * nx2) - gradient[..., 0]
    slope[..., _Y] = -swing * (b1 * ny1 * e2 + e1 * b2 * ny2) - gradient[..., 1]
    slope[..., _TURN_1] = -swing * b1 * along1 * e2
    slope[..., _TURN_2] = -swing * e1 * b2 * along2
    slope[..., _BLUR] = -swing * (b1 * side1 * e2 + e1 * b2 * side2) / state[:, None, _BLUR]
    slope[..., _MEAN] = 1.0
    slope[..., _SWING] = e1 * e2
    slope[..., _GRADIENT_X], slope[..., _GRADIENT_Y] = offset[..., 0], offset[..., 1]
    return value, slope


def _normal_equations(
    slope: FloatArray, rest: FloatArray, used: BoolArray
) -> tuple[FloatArray, FloatArray]:
    weighted = slope * used[..., None]
    normal = weighted.transpose(0, 2, 1) @ slope
    return normal, np.einsum("npk,np->nk", weighted, rest)


def _cost(rest: FloatArray, used: BoolArray) -> FloatArray:
    total: FloatArray = np.sum(rest**2 * used, axis=1)
    return total


def _bounded(trial: FloatArray, state: FloatArray) -> FloatArray:
    """Keep blur possible and steps of position and turn small."""
    limit = np.array([2.0, 2.0, 0.3, 0.3])
    trial[:, :4] = np.clip(trial[:, :4], state[:, :4] - limit, state[:, :4] + limit)
    trial[:, _BLUR] = np.clip(trial[:, _BLUR], *_BLUR_RANGE_PX)
    return trial


def _finished(
    start: FloatArray,
    state: FloatArray,
    slope: FloatArray,
    cost: FloatArray,
    used: BoolArray,
    alive: BoolArray,
) -> Saddles:
    pixels = used.sum(axis=1)
    variance = cost / np.maximum(pixels - state.shape[1], 1)
    normal, _ = _normal_equations(slope, np.zeros(used.shape), used)
    ridge = 1e-9 * np.einsum("nii->n", normal)[:, None, None] + 1e-12
    cofactor = np.linalg.inv(normal + ridge * np.eye(normal.shape[1]))
    spread = np.sqrt(variance * (cofactor[:, _X, _X] + cofactor[:, _Y, _Y]) / 2.0)
    swing = state[:, _SWING]
    contrast = np.maximum(np.abs(swing), 1e-9)
    return Saddles(
        xy_px=start + state[:, :2],
        sd_px=np.where(alive, spread, np.inf),
        swing=swing,
        misfit=np.sqrt(cost / np.maximum(pixels, 1)) / contrast,
        blur_px=state[:, _BLUR],
    )
