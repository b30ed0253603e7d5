"""Straight edges as the lens shows them: shallow arcs with one unknown bend."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from calibration.arrays import FloatArray
from calibration.lens import distort, undistort
from calibration.priors import CameraPrior

_NEWTON: Final = 6
"""Newton's steps; four reach rounding for a phone's lens."""

_SETTLED: Final = 1e-9


@dataclass(frozen=True, slots=True, eq=False)
class Arcs:
    """Places along the pictures of straight edges.

    Attributes
    ----------
    points_px : (S, N, 2) float64
        Image frame.
    across : (S, N, 2) float64
        Unit normals, to the right of the way from first to second end as seen on a
        screen (y down): for a way to the right they point down.
    bend_px : (S, N) float64
        How far a place moves across when ``k1`` grows by one and the ends stay.
    """

    points_px: FloatArray
    across: FloatArray
    bend_px: FloatArray


def arcs(
    ends_px: FloatArray, share: FloatArray, camera: CameraPrior, k1: FloatArray
) -> Arcs:
    """Return places along straight edges between image points.

    Parameters
    ----------
    ends_px : (S, 2, 2) float64
        First and second end of each edge.
    share : (N,) float64
        How far along, 0 at the first end, 1 at the second.
    camera : CameraPrior
        Centre, focal length and ``k2``.
    k1 : (S,) float64
        First radial coefficient of each.

    Returns
    -------
    Arcs
    """
    count = len(ends_px)
    scale = camera.focal_px
    seen = (ends_px - camera.centre_px) / scale
    ideal = _ideal(seen, k1, camera.k2)
    places = ideal[:, :1] + share[None, :, None] * (ideal[:, 1:] - ideal[:, :1])
    square = np.sum(places**2, axis=2)
    gain = 1.0 + square * (k1[:, None] + camera.k2 * square)
    points = places * gain[..., None] * scale + camera.centre_px
    chord = ends_px[:, 1] - ends_px[:, 0]
    length = np.maximum(np.hypot(chord[:, 0], chord[:, 1]), 1e-9)
    normal = np.stack([-chord[:, 1], chord[:, 0]], axis=1) / length[:, None]
    across = np.broadcast_to(normal[:, None], (count, len(share), 2))
    moved = np.sum(places * square[..., None] * across, axis=2) * scale
    at_ends = np.sum(ideal * np.sum(ideal**2, axis=2)[..., None] * normal[:, None], axis=2)
    chord_moved = at_ends[:, :1] + share * (at_ends[:, 1:] - at_ends[:, :1])
    return Arcs(points, across, moved - chord_moved * scale)


def _ideal(seen: FloatArray, k1: FloatArray, k2: float) -> FloatArray:
    """Undo the lens at ends (S, 2, 2), each edge with its own k1 (S,).

    Far outside the picture a lens may fold over: such ends stay as they are.
    """
    radius = np.sqrt(np.sum(seen**2, axis=2))
    bend = k1[:, None]
    r = radius.copy()
    with np.errstate(all="ignore"):
        for _ in range(_NEWTON):
            square = r * r
            slope = 1.0 + square * (3.0 * bend + 5.0 * k2 * square)
            r = r - (r * (1.0 + square * (bend + k2 * square)) - radius) / slope
        square = r * r
        slope = 1.0 + square * (3.0 * bend + 5.0 * k2 * square)
        gain = 1.0 + square * (bend + k2 * square)
        reached = (slope > 0.0) & (np.abs(r * gain - radius) < _SETTLED * (1.0 + radius))
        ideal = seen / gain[..., None]
    return np.where(reached[..., None], ideal, seen)


def straightened(points_px: FloatArray, camera: CameraPrior, k1: float) -> FloatArray:
    """Return image points (N, 2) as a pinhole would show them, pixels."""
    seen = (points_px - camera.centre_px) / camera.focal_px
    ideal = undistort(seen, k1, camera.k2).points
    return ideal * camera.focal_px + camera.centre_px


def bent(points_px: FloatArray, camera: CameraPrior, k1: float) -> FloatArray:
    """Return pinhole points (N, 2) as the lens shows them, pixels."""
    ideal = (points_px - camera.centre_px) / camera.focal_px
    return distort(ideal, k1, camera.k2) * camera.focal_px + camera.centre_px
