"""A joint placed by its profile: to a fraction of a pixel, between unlike bricks too."""

from typing import Final

import numpy as np
from numpy.typing import NDArray

from calibration.arrays import FloatArray

REACH: Final = 0.26
"""A joint farther from its place than this, courses, is something else."""

HALF_PROFILE: Final = 0.42
"""Half-length of the profile compared, courses: nearly from joint to joint, so that
chance seldom looks like a joint between two bricks."""

ALIKE: Final = 0.6
"""Correlation of a profile with the wall's usual one, below which it is no joint."""

FAINTEST: Final = 0.3
"""A joint's contrast against the usual: bare render also varies, but faintly."""


def locate(
    profiles: FloatArray, fine: int, sure: NDArray[np.bool_]
) -> tuple[FloatArray, FloatArray]:
    """Return how far joints lie from the middle of their profiles.

    Parameters
    ----------
    profiles : (N, L) float64
        Across the joint.
    fine : int
        Pixels a course.
    sure : (N,) bool
        Those from which the usual joint is learned.

    Returns
    -------
    (N,) float64
        Shift, courses; NaN where nothing looks like the wall's usual joint.
    (N,) float64
        Correlation with the usual joint.
    """
    nothing = np.full(len(profiles), np.nan), np.zeros(len(profiles))
    if sure.sum() < _FEWEST:
        return nothing
    length = profiles.shape[1]
    half = max(3, round(HALF_PROFILE * fine))
    reach = max(1, min(round(REACH * fine), length // 2 - half))
    middle = length // 2
    cut = slice(middle - half, middle + half)
    known = profiles[sure]
    usual = np.median(_unit(known), axis=0)
    usual_height = 0.0
    for _ in range(2):
        # the usual profile gets sharper once its members are brought together
        shift, alike, height = _match(known, usual[cut], half, reach, fine)
        good = np.isfinite(shift) & (alike > ALIKE)
        if good.sum() < _FEWEST:
            return nothing
        usual = _stacked(known[good], shift[good] * fine)
        usual_height = float(np.median(height[good]))
    shift, alike, height = _match(profiles, usual[cut], half, reach, fine)
    plain = (alike > ALIKE) & (height > FAINTEST * usual_height)
    shift = shift + _centre(usual, half) / fine
    return np.where(plain, shift, np.nan), alike


_FEWEST: Final = 3


def width(profiles: FloatArray, shift: FloatArray, fine: int) -> float:
    """Return how wide the usual joint is where it stands half out of the bricks.

    Parameters
    ----------
    profiles : (N, L) float64
    shift : (N,) float64
        Of the joints, courses; only of found ones.
    fine : int
        Pixels a course.

    Returns
    -------
    float
        Courses, the picture's blur included; zero without joints.
    """
    if len(profiles) < _FEWEST:
        return 0.0
    left, right = _flanks(_stacked(profiles, shift * fine), max(3, round(0.5 * fine)))
    return float(right - left) / fine


def _unit(profiles: FloatArray) -> FloatArray:
    rest = profiles - profiles.mean(axis=1, keepdims=True)
    return np.asarray(rest / (np.linalg.norm(rest, axis=1, keepdims=True) + 1e-6))


def _stacked(profiles: FloatArray, shift_px: FloatArray) -> FloatArray:
    """Return the mean of profiles moved back by their shifts."""
    fine = profiles.shape[1]
    at = np.clip(np.arange(fine)[None] + shift_px[:, None], 0, fine - 1.001)
    low = at.astype(int)
    part = at - low
    unit = _unit(profiles)
    row = np.arange(len(unit))[:, None]
    return np.asarray(
        np.mean((1 - part) * unit[row, low] + part * unit[row, low + 1], axis=0)
    )


def _match(
    profiles: FloatArray, usual: FloatArray, half: int, reach: int, fine: int
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return shift (courses; NaN at the ends of the search), correlation and height."""
    steps = _steps(half, fine)
    model = usual - (usual @ steps) @ steps.T
    model = model / (np.linalg.norm(model) + 1e-9)
    middle = profiles.shape[1] // 2
    shape = (len(profiles), 2 * reach + 1)
    scores, heights = np.empty(shape), np.empty(shape)
    for column, shift in enumerate(range(-reach, reach + 1)):
        part = profiles[:, middle - half + shift : middle + half + shift]
        part = part - (part @ steps) @ steps.T
        heights[:, column] = part @ model
        scores[:, column] = heights[:, column] / (np.linalg.norm(part, axis=1) + 1e-6)
    best = np.argmax(scores, axis=1)
    inner = (best > 0) & (best < 2 * reach)
    at = np.clip(best, 1, 2 * reach - 1)
    row = np.arange(len(scores))
    low, mid, high = scores[row, at - 1], scores[row, at], scores[row, at + 1]
    curve = low - 2.0 * mid + high
    part_px = 0.5 * (low - high) / np.where(curve < -1e-12, curve, -1e12)
    found = (at - reach + np.clip(part_px, -1.0, 1.0)) / fine
    return np.where(inner, found, np.nan), scores[row, best], heights[row, best]


def _steps(half: int, fine: int) -> FloatArray:
    """Return what a dark brick beside a light one adds to a profile, orthonormal.

    A constant, a slope and a step at the middle: they would pull a joint between
    unlike bricks towards one of them.
    """
    at = (np.arange(2 * half) - half + 0.5) / fine
    basis = np.stack([np.ones(2 * half), at, np.tanh(at / _STEP)], axis=1)
    return np.asarray(np.linalg.qr(basis)[0])


_STEP: Final = 0.06
"""Half-width of the step, courses: a joint."""


def _centre(usual: FloatArray, half: int) -> float:
    """Return how far the middle of the usual joint lies from the window's, pixels.

    The window's middle is between its two middle samples; the joint's is midway
    between the places where it stands half out of the bricks on either side.
    """
    a, b = _flanks(usual, half)
    return float((a + b) / 2.0 - (len(usual) - 1) / 2.0)


def _flanks(usual: FloatArray, half: int) -> tuple[float, float]:
    """Return where the joint stands half out of the bricks, left and right, samples."""
    fine = len(usual)
    middle = fine // 2
    window = usual[middle - half : middle + half]
    base = float(np.median(usual))
    sign = 1.0 if abs(window.max() - base) >= abs(window.min() - base) else -1.0
    lobe = sign * (usual - base)
    top = middle - half + int(np.argmax(lobe[middle - half : middle + half]))
    level = lobe[top] / 2.0
    left = top
    while left > 0 and lobe[left] > level:
        left -= 1
    right = top
    while right < fine - 1 and lobe[right] > level:
        right += 1
    a = left + (level - lobe[left]) / (lobe[left + 1] - lobe[left] + 1e-9)
    b = right - (level - lobe[right]) / (lobe[right - 1] - lobe[right] + 1e-9)
    return float(a), float(b)
