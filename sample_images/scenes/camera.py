"""The sample pictures' camera: a pinhole with radial distortion and a known pose.

Camera axes: x right, y down, z forward. World axes: those of an elevation (x right,
y up, z out of the wall). Pixels: integer coordinates at pixel centres.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from sample_images.scenes.house import FloatArray

# Camera axes of a camera that looks straight at the wall, as columns.
STRAIGHT_AT_WALL = np.array([[1.0, 0.0, 0.0], [0.0, -1.0, 0.0], [0.0, 0.0, -1.0]])
FULL_FRAME_DIAGONAL_MM = 43.2666
UNDISTORT_STEPS = 12  # contraction of about 0.01 a step: far below 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Pose:
    """Where the camera stands and how it is turned.

    Attributes
    ----------
    position_mm : tuple of float
        In the elevation's frame.
    yaw_rad, tilt_rad, roll_rad : float
        Positive to the right, up, and clockwise as seen by the photographer.
    """

    position_mm: tuple[float, float, float]
    yaw_rad: float
    tilt_rad: float
    roll_rad: float

    @property
    def rotation_world_from_camera(self) -> FloatArray:
        """Return the 3 x 3 rotation; its columns are the camera axes."""
        cy, sy = math.cos(self.yaw_rad), math.sin(self.yaw_rad)
        ct, st = math.cos(self.tilt_rad), math.sin(self.tilt_rad)
        cr, sr = math.cos(self.roll_rad), math.sin(self.roll_rad)
        yaw = np.array([[cy, 0.0, -sy], [0.0, 1.0, 0.0], [sy, 0.0, cy]])
        tilt = np.array([[1.0, 0.0, 0.0], [0.0, ct, -st], [0.0, st, ct]])
        roll = np.array([[cr, -sr, 0.0], [sr, cr, 0.0], [0.0, 0.0, 1.0]])
        return yaw @ tilt @ STRAIGHT_AT_WALL @ roll


@dataclass(frozen=True, slots=True, kw_only=True)
class Camera:
    """A calibrated camera.

    Attributes
    ----------
    size_px : tuple of int
        Width and height.
    focal_px : float
        Square pixels.
    principal_px : tuple of float
        Where the optical axis meets the picture.
    k1, k2 : float
        ``x_d = x_u (1 + k1 r^2 + k2 r^4)`` in normalised coordinates.
    pose : Pose
        In the elevation's frame.
    """

    size_px: tuple[int, int]
    focal_px: float
    principal_px: tuple[float, float]
    k1: float
    k2: float
    pose: Pose

    def project(self, world_mm: FloatArray) -> FloatArray:
        """Return the (N, 2) pixels of (N, 3) world points in front of the camera."""
        offset = np.asarray(world_mm, dtype=np.float64) - self.pose.position_mm
        local = offset @ self.pose.rotation_world_from_camera
        normalised = local[:, :2] / local[:, 2:]
        r2 = np.sum(normalised**2, axis=1, keepdims=True)
        distorted = normalised * (1.0 + self.k1 * r2 + self.k2 * r2**2)
        return self.focal_px * distorted + np.array(self.principal_px)

    def undistort(self, distorted: FloatArray) -> FloatArray:
        """Return ideal normalised coordinates of distorted ones, (..., 2)."""
        ideal = distorted.copy()
        for _ in range(UNDISTORT_STEPS):
            r2 = np.sum(ideal**2, axis=-1, keepdims=True)
            ideal = distorted / (1.0 + self.k1 * r2 + self.k2 * r2**2)
        return ideal

    def scaled(self, factor: float) -> Camera:
        """Return the same camera with ``factor`` times as many pixels a side."""
        width, height = (round(n * factor) for n in self.size_px)
        cx, cy = ((c + 0.5) * factor - 0.5 for c in self.principal_px)
        return replace(
            self,
            size_px=(width, height),
            focal_px=self.focal_px * factor,
            principal_px=(cx, cy),
        )


def focal_px(equivalent_mm: float, size_px: tuple[int, int]) -> float:
    """Return the focal length in pixels of a 35 mm equivalent (by the diagonal)."""
    return equivalent_mm * math.hypot(*size_px) / FULL_FRAME_DIAGONAL_MM
