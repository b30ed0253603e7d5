"""A plane seen in perspective, as a homography."""

import cv2
import numpy as np

from calibration.arrays import BoolArray, FloatArray, IntArray


def apply(H: FloatArray, xy: FloatArray | IntArray) -> FloatArray:
    """Return points (N, 2) mapped by a homography (3, 3)."""
    mapped = np.c_[xy, np.ones(len(xy))] @ H.T
    placed: FloatArray = mapped[:, :2] / mapped[:, 2:]
    return placed


def fit_plane(grid: FloatArray | IntArray, xy: FloatArray) -> FloatArray | None:
    """Return the least-squares homography (3, 3) that takes grid to xy, both (N, 2)."""
    found: object = cv2.findHomography(grid.astype(np.float64), xy, 0)[0]
    return np.array(found, np.float64) if isinstance(found, np.ndarray) else None


def largest_plane(grid: FloatArray | IntArray, xy: FloatArray, misfit: float) -> BoolArray:
    """Return which of the points (N, 2) agree on one homography to within a misfit."""
    found: tuple[object, ...] = cv2.findHomography(
        grid.astype(np.float64), xy, cv2.RANSAC, misfit
    )
    if not isinstance(found[0], np.ndarray):
        return np.zeros(len(grid), np.bool_)
    return np.asarray(found[1]).ravel() > 0
