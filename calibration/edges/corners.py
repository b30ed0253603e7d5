"""Corners: where two fitted edges meet, with covariance."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from calibration.arrays import FloatArray
from calibration.edges.arcs import bent, straightened
from calibration.edges.fit import EdgeFits
from calibration.priors import CameraPrior

LEAST_ANGLE_RAD: Final = float(np.radians(8.0))
"""Edges closer to parallel meet nowhere that a person would call a corner."""


@dataclass(frozen=True, slots=True, eq=False)
class Corner:
    """A meeting of two edges.

    Attributes
    ----------
    point_px : (2,) float64
        Image frame.
    covariance : (2, 2) float64
        Pixels squared; first order.
    angle_rad : float
        Between the edges, 0 to pi / 2.
    """

    point_px: FloatArray
    covariance: FloatArray
    angle_rad: float


def corner(first: EdgeFits, second: EdgeFits, camera: CameraPrior) -> Corner | None:
    """Return where two edges meet, or None if they are nearly parallel.

    Parameters
    ----------
    first, second : EdgeFits
        One row each.
    camera : CameraPrior
        The lens; edges are prolonged as straight lines in space.

    Returns
    -------
    Corner or None
    """
    k1 = float(first.k1[0])
    lines = [straightened(edge.ends_px[0], camera, k1) for edge in (first, second)]
    meeting = _meet(*lines)
    if meeting is None:
        return None
    shares, normals, point, angle = meeting
    spread = np.array(
        [_sd_at(edge, share) for edge, share in zip((first, second), shares, strict=True)]
    )
    # n1 . x = c1, n2 . x = c2: dx = N^-1 dc.
    turn = np.linalg.solve(normals, np.eye(2))
    covariance = turn @ np.diag(spread**2) @ turn.T
    return Corner(bent(point[None], camera, k1)[0], covariance, angle)


def _meet(
    first: FloatArray, second: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray, float] | None:
    """Return shares along both, their normals, the point and the angle."""
    a, b = first[1] - first[0], second[1] - second[0]
    size = float(np.hypot(*a) * np.hypot(*b))
    cross = float(a[0] * b[1] - a[1] * b[0])
    sine = abs(cross) / max(size, 1e-12)
    if sine < np.sin(LEAST_ANGLE_RAD):
        return None
    shares = np.linalg.solve(np.stack([a, -b], axis=1), second[0] - first[0])
    normals = np.stack([[-a[1], a[0]] / np.hypot(*a), [-b[1], b[0]] / np.hypot(*b)])
    return shares, normals, first[0] + shares[0] * a, float(np.arcsin(min(sine, 1.0)))


def _sd_at(edge: EdgeFits, share: float) -> float:
    """Return the standard uncertainty across at a share of the way, prolonged or not."""
    row = np.array([1.0 - share, share])
    return float(np.sqrt(row @ edge.covariance[0, :2, :2] @ row))
