"""How flat and regular the board itself is, by a bundle of all 26 photos.

The truth that lengths are compared with is a printed grid on a board. Both cameras,
the 26 poses and the 54 corners in space are adjusted together, with a lens model of
five coefficients that is none of ours. ``python -m tests.accuracy.board_shape``.
"""

import sys
from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np
from scipy.optimize import least_squares
from scipy.sparse import csr_matrix, lil_matrix

from tests.accuracy.board_jobs import CORNER_SD_PX
from tests.accuracy.chessboards import (
    COLUMNS,
    NAMES,
    NUMBERS,
    ROWS,
    SQUARE_MM,
    find_board,
)

CORNERS: Final = COLUMNS * ROWS
VIEWS: Final = len(NUMBERS)
LOOSE_MM: Final = 2.0
"""Prior of a corner about its nominal place: holds the board's place, scale and tilt,
which photos cannot see, and twenty times wider than what is found."""

_LENS, _POSE = 9, 6
"""Unknowns: focal length, aspect, centre, five coefficients; turn, place."""


@dataclass(frozen=True, slots=True)
class Shape:
    """What the bundle found.

    Attributes
    ----------
    nominal_px : float
        Misfit of one coordinate if the grid were perfect.
    free_px : float
        Misfit with the board's own shape.
    out_of_plane_mm, in_plane_mm : float
        Root-mean-square departure from a plane, and from a regular grid.
    """

    nominal_px: float
    free_px: float
    out_of_plane_mm: float
    in_plane_mm: float


def nominal_mm() -> np.ndarray:
    """Return the corners (54, 3) of a perfect board."""
    row, column = np.divmod(np.arange(CORNERS), COLUMNS)
    return SQUARE_MM * np.stack([column, row, np.zeros(CORNERS)], axis=1)


def board_shape() -> Shape:
    """Adjust cameras, poses and corners; return the shape of the board."""
    picks = np.stack([find_board(name).corners_px.reshape(-1, 2) for name in NAMES])
    cameras, poses = zip(
        *(_calibrated(picks[k : k + VIEWS]) for k in (0, VIEWS)), strict=True
    )
    start = np.concatenate([*cameras, *poses, np.zeros(3 * CORNERS)])

    def residual(unknowns: np.ndarray) -> np.ndarray:
        misses, offsets = _misses(unknowns, picks)
        return np.concatenate([misses.ravel() / CORNER_SD_PX, offsets.ravel() / LOOSE_MM])

    found = least_squares(
        residual, start, jac_sparsity=_pattern(), x_scale="jac", max_nfev=60
    )
    free, offsets = _misses(found.x, picks)
    nominal, _ = _misses(start, picks)
    plane, grid = _departures(nominal_mm() + offsets)
    return Shape(_rms(nominal), _rms(free), plane, grid)


def _calibrated(picks: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return lens (9,) and poses (78,) of one camera, the board taken as perfect."""
    board = nominal_mm().astype(np.float32)
    _, K, coefficients, turns, places = cv2.calibrateCamera(
        [board] * VIEWS, list(picks.astype(np.float32)), (640, 480), None, None
    )
    lens = [K[0, 0], K[1, 1] / K[0, 0], K[0, 2], K[1, 2], *coefficients.ravel()[:5]]
    poses = [
        np.concatenate([t.ravel(), p.ravel()]) for t, p in zip(turns, places, strict=True)
    ]
    return np.array(lens), np.concatenate(poses)


def _misses(unknowns: np.ndarray, picks: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return misfits (26, 54, 2) in pixels and the corners' offsets (54, 3)."""
    lenses, poses, offsets = np.split(unknowns, np.cumsum([2 * _LENS, 2 * VIEWS * _POSE]))
    offsets = offsets.reshape(CORNERS, 3)
    board = nominal_mm() + offsets
    seen = []
    for view, pose in enumerate(poses.reshape(-1, _POSE)):
        focal, aspect, x, y, *radial = lenses.reshape(2, _LENS)[view // VIEWS]
        K = np.array([[focal, 0.0, x], [0.0, focal * aspect, y], [0.0, 0.0, 1.0]])
        points, _ = cv2.projectPoints(board, pose[:3], pose[3:], K, np.array(radial))
        seen.append(points.reshape(CORNERS, 2))
    return np.array(seen) - picks, offsets


def _pattern() -> csr_matrix:
    """Return which residual depends on which unknown."""
    rows, first = 2 * CORNERS, 2 * _LENS + 2 * VIEWS * _POSE
    pattern = lil_matrix((2 * VIEWS * rows + 3 * CORNERS, first + 3 * CORNERS))
    for view in range(2 * VIEWS):
        block = slice(view * rows, (view + 1) * rows)
        lens, pose = view // VIEWS * _LENS, 2 * _LENS + view * _POSE
        pattern[block, lens : lens + _LENS] = 1
        pattern[block, pose : pose + _POSE] = 1
        for k in range(CORNERS):
            row, column = view * rows + 2 * k, first + 3 * k
            pattern[row : row + 2, column : column + 3] = 1
    for k in range(3 * CORNERS):
        pattern[2 * VIEWS * rows + k, first + k] = 1
    return pattern.tocsr()


def _departures(board: np.ndarray) -> tuple[float, float]:
    """Return departure from the best plane, and from the best regular grid."""
    nominal = nominal_mm()[:, :2]
    level = np.c_[nominal, np.ones(CORNERS)]
    plane = board[:, 2] - level @ np.linalg.lstsq(level, board[:, 2], rcond=None)[0]
    source, target = (xy - xy.mean(axis=0) for xy in (nominal, board[:, :2]))
    source, target = source @ [1, 1j], target @ [1, 1j]
    gain = np.vdot(source, target) / np.vdot(source, source)
    off = target - gain * source
    return _rms(plane), _rms(np.stack([off.real, off.imag]))


def _rms(values: np.ndarray) -> float:
    return float(np.sqrt(np.mean(values**2)))


if __name__ == "__main__":
    sys.stdout.write(f"{board_shape()}\n")
