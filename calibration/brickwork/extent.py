"""How far a wall reaches beyond the tiles that found it, by cells of joint and length.

A roof above a wall, slates hung beside it and grass before it have lines too, and some of
them fall where the wall's joints would be: only the bond's perpends tell them from wall.
"""

from dataclasses import replace
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from calibration.arrays import FloatArray, IntArray
from calibration.brickwork.joints import Joints

NEIGHBOURS: Final = 0.55
"""Share of the nine places about a joint that must be joints too: grass and curtains
look like joints here and there, walls everywhere."""

GAP: Final = 2
"""Joints and lengths that may be missing inside one wall; roofs are farther off."""

_ABOUT: Final = 5
"""Courses and lengths over which perpends are counted."""

_FEWEST_PLACES: Final = 4
_LEAST_PERPENDS: Final = 0.6
"""Share of perpends found about a place, against that of the wall the tiles support."""


def hanging_together(
    wall: NDArray[np.bool_], known: NDArray[np.bool_]
) -> NDArray[np.bool_]:
    """Return where joints stand close and hang together with what tiles support.

    Parameters
    ----------
    wall : (K, M) bool
        By joint and length of it, whether one was found.
    known : (K, M) bool
        Where tiles support the wall.

    Returns
    -------
    (K, M) bool
    """
    dense = wall & (_sum_about(wall.astype(np.float32), 3) >= 9.0 * NEIGHBOURS)
    return _joined(dense, known)


def _joined(wall: NDArray[np.bool_], known: NDArray[np.bool_]) -> NDArray[np.bool_]:
    near = cv2.dilate(wall.astype(np.uint8), np.ones((2 * GAP + 1, 2 * GAP + 1), np.uint8))
    count, label = cv2.connectedComponents(near)
    size = np.bincount(label[wall], minlength=count)
    sure = np.bincount(label[wall & known], minlength=count)
    keep = sure >= 0.5 * size
    keep[np.argmax(sure)] = True
    return np.asarray(wall & keep[label])


def _sum_about(values: NDArray[np.float32], wide: int) -> NDArray[np.float32]:
    """Return the sum over a square of cells about each; beyond the edge is nothing."""
    total = cv2.boxFilter(
        values, -1, (wide, wide), normalize=False, borderType=cv2.BORDER_CONSTANT
    )
    return np.asarray(total, dtype=np.float32)


def bonded(
    course: IntArray, column: IntArray, found: NDArray[np.bool_], known: NDArray[np.bool_]
) -> NDArray[np.bool_]:
    """Return where the perpends that the bond expects are there as often as elsewhere.

    Parameters
    ----------
    course, column : (N,) int
        Cells of the expected perpends.
    found : (N,) bool
    known : (K, M) bool
        Where tiles support the wall.

    Returns
    -------
    (K, M) bool
        By course and length.
    """
    tried, hit = (np.zeros(known.shape, np.float32) for _ in range(2))
    np.add.at(tried, (course, column), 1.0)
    np.add.at(hit, (course, column), found.astype(np.float32))
    usual = float(hit[known].sum() / max(float(tried[known].sum()), 1.0))
    places, hits = _sum_about(tried, _ABOUT), _sum_about(hit, _ABOUT)
    enough = hits >= _LEAST_PERPENDS * usual * places
    return np.asarray((places >= _FEWEST_PLACES) & enough)


def kept_beds(beds: Joints, wall: NDArray[np.bool_]) -> Joints:
    """Return the bed joints that have bonded wall above or below them."""
    above = np.zeros_like(wall)
    above[1:] = wall[:-1]
    row, column = beds.cell.T
    return _kept(beds, (wall | above)[row, column])


def kept_perpends(perpends: Joints, wall: NDArray[np.bool_]) -> Joints:
    """Return the perpends of bonded wall."""
    row, column = perpends.cell.T
    return _kept(perpends, wall[row, column])


def _kept(joints: Joints, keep: FloatArray | NDArray[np.bool_]) -> Joints:
    return replace(
        joints,
        uv=joints.uv[keep],
        number=joints.number[keep],
        course=joints.course[keep],
        alike=joints.alike[keep],
        cell=joints.cell[keep],
    )
