"""Radial lens distortion, both ways, with derivatives.

The convention is that of OpenCV: an ideal (pinhole) image point ``x_u`` in units
of the focal length moves to ``x_d = x_u (1 + k1 r^2 + k2 r^4)``, ``r = |x_u|``.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from calibration.arrays import FloatArray

_ITERATIONS: Final = 12
"""Newton's steps; four reach rounding for a phone lens, strong fish-eyes need more."""

_SETTLED: Final = 1e-13
"""A relative step this small is rounding."""


@dataclass(frozen=True, slots=True)
class Undistorted:
    """Ideal image points with derivatives.

    Attributes
    ----------
    points : (N, 2) float64
        Ideal points, units of the focal length; NaN where the lens folds over.
    wrt_distorted : (N, 2, 2) float64
        Derivative with respect to the distorted point.
    wrt_k : (N, 2, 2) float64
        Derivative with respect to ``(k1, k2)``, last axis.
    """

    points: FloatArray
    wrt_distorted: FloatArray
    wrt_k: FloatArray


def distort(ideal: FloatArray, k1: float, k2: float) -> FloatArray:
    """Move ideal points to where the lens puts them.

    Parameters
    ----------
    ideal : (N, 2) float64
        Units of the focal length.
    k1, k2 : float
        Radial coefficients.

    Returns
    -------
    (N, 2) float64

    Examples
    --------
    >>> distort(np.array([[0.5, 0.0]]), 0.1, 0.0)
    array([[0.5125, 0.    ]])
    """
    square = np.einsum("ni,ni->n", ideal, ideal)
    gain: FloatArray = 1.0 + square * (k1 + k2 * square)
    return ideal * gain[:, None]


def undistort(distorted: FloatArray, k1: float, k2: float) -> Undistorted:
    """Invert :func:`distort`, with exact derivatives by the inverse function theorem.

    Parameters
    ----------
    distorted : (N, 2) float64
        Units of the focal length.
    k1, k2 : float
        Radial coefficients.

    Returns
    -------
    Undistorted
        Points where no ideal point exists on the first branch are NaN.
    """
    radius = np.sqrt(np.einsum("ni,ni->n", distorted, distorted))
    ideal_radius, valid = _invert_radius(radius, k1, k2)
    square = ideal_radius**2
    gain = 1.0 + square * (k1 + k2 * square)
    points = distorted / gain[:, None]
    points[~valid] = np.nan
    # d x_d / d x_u = gain I + bend x x^T; its inverse by Sherman and Morrison.
    bend = 2.0 * k1 + 4.0 * k2 * square
    outer = points[:, :, None] * points[:, None, :]
    shrink = (bend / (gain + bend * square))[:, None, None]
    inverse = (np.eye(2) - shrink * outer) / gain[:, None, None]
    moved = np.stack([points * square[:, None], points * (square**2)[:, None]], axis=2)
    return Undistorted(points, inverse, -inverse @ moved)


def _invert_radius(
    radius: FloatArray, k1: float, k2: float
) -> tuple[FloatArray, np.ndarray[tuple[int], np.dtype[np.bool_]]]:
    """Solve ``r (1 + k1 r^2 + k2 r^4) = radius`` on the branch through zero."""
    r = radius.copy()
    if k1 == 0.0 and k2 == 0.0:
        return r, np.ones(r.shape, dtype=np.bool_)
    slope = np.ones_like(r)
    for _ in range(_ITERATIONS):
        square = r * r
        slope = 1.0 + square * (3.0 * k1 + 5.0 * k2 * square)
        step = (r * (1.0 + square * (k1 + k2 * square)) - radius) / np.where(
            slope > 0.0, slope, np.inf
        )
        r = r - step
        if np.all(np.abs(step) <= _SETTLED * (1.0 + r)):
            break
    reached = r * (1.0 + r * r * (k1 + k2 * r * r))
    valid = (slope > 0.0) & (np.abs(reached - radius) <= 1e-9 * (1.0 + radius))
    return r, valid
