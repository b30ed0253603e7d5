"""Where the camera stands before the house, and the rays of its pixels.

House frame, millimetres: the wall face is z = 0, x to the right as seen from outside,
y up from the ground at the wall foot, z out of the wall; x = 0 is the left quoin.
"""

from dataclasses import dataclass

import numpy as np

from calibration.arrays import FloatArray
from calibration.camera import Camera, rotation_looking
from calibration.lens import undistort

FULL_FRAME_DIAGONAL_MM = 43.2666
_TABLE = 4096
"""Entries of the radial table; linear interpolation is then good to 1e-8."""


@dataclass(frozen=True, eq=False, kw_only=True)
class View:
    """A camera before a house.

    Attributes
    ----------
    camera : Camera
        Its wall frame has the house's axes and its origin at the camera's foot.
    size_px : tuple of int
        Width and height.
    foot_mm : tuple of float
        x and y of the camera in the house frame.
    """

    camera: Camera
    size_px: tuple[int, int]
    foot_mm: tuple[float, float]

    @property
    def eye_mm(self) -> FloatArray:
        """Projection centre in the house frame, (3,)."""
        return np.array([*self.foot_mm, self.camera.standoff_mm])

    def project(self, points_mm: FloatArray) -> FloatArray:
        """Return pixels (N, 2) of house-frame points (N, 3)."""
        offset = np.array([*self.foot_mm, 0.0])
        return self.camera.project(np.asarray(points_mm, dtype=np.float64) - offset)

    def depth_mm(self, points_mm: FloatArray) -> FloatArray:
        """Return depths (N,) along the optical axis of house-frame points (N, 3)."""
        return (np.asarray(points_mm) - self.eye_mm) @ self.camera.axis

    def wall_point(self, pixel: tuple[float, float], z_mm: float = 0.0) -> FloatArray:
        """Return x and y (2,) where a pixel's ray meets the plane at ``z_mm``."""
        picks = np.array([pixel], dtype=np.float64)
        hit = self.camera.back_project(picks, np.array([z_mm])).xy_mm[0]
        return hit + np.array(self.foot_mm)

    def ideal_grid(self) -> tuple[FloatArray, FloatArray]:
        """Return the ideal image coordinates of all pixel centres, two (H, W) arrays.

        They are in units of the focal length, without lens distortion.
        """
        width, height = self.size_px
        camera = self.camera
        x = (np.arange(width) - camera.centre_px[0]) / camera.focal_px
        y = (np.arange(height) - camera.centre_px[1]) / camera.focal_px
        if camera.k1 == 0.0 and camera.k2 == 0.0:
            return np.broadcast_to(x, (height, width)), np.tile(y[:, None], (1, width))
        square = y[:, None] ** 2 + x**2
        table = np.linspace(0.0, float(square.max()), _TABLE)
        radius = np.sqrt(table)
        ideal = undistort(np.stack([radius, 0.0 * radius], axis=1), camera.k1, camera.k2)
        gain = np.ones(_TABLE)
        gain[1:] = ideal.points[1:, 0] / radius[1:]
        shrink = np.interp(square.ravel(), table, gain).reshape(square.shape)
        return x * shrink, y[:, None] * shrink


@dataclass(frozen=True, kw_only=True)
class Stand:
    """How a person stands and holds the camera; becomes a :class:`View`.

    Attributes
    ----------
    size_px : tuple of int
        Width and height of the picture.
    equivalent_mm : float
        Focal length as its 35 mm equivalent, by the diagonal.
    distance_mm, height_mm : float
        Of the camera from the wall plane and above the ground.
    aim_x_mm : float
        Where the optical axis crosses the wall.
    yaw_rad, tilt_rad, roll_rad : float
        As in :class:`calibration.camera.Camera`.
    k1, k2 : float
        Radial distortion.
    principal_offset : tuple of float
        Principal point off the middle, parts of the width.
    """

    size_px: tuple[int, int] = (1600, 1200)
    equivalent_mm: float = 26.0
    distance_mm: float = 9000.0
    height_mm: float = 1600.0
    aim_x_mm: float = 4000.0
    yaw_rad: float = 0.0
    tilt_rad: float = 0.0
    roll_rad: float = 0.0
    k1: float = 0.0
    k2: float = 0.0
    principal_offset: tuple[float, float] = (0.0, 0.0)

    def view(self) -> View:
        """Return the camera that stands so."""
        width, height = self.size_px
        focal = self.equivalent_mm / FULL_FRAME_DIAGONAL_MM * float(np.hypot(width, height))
        middle = np.array([(width - 1) / 2.0, (height - 1) / 2.0])
        camera = Camera(
            focal_px=focal,
            centre_px=middle + width * np.array(self.principal_offset),
            k1=self.k1,
            k2=self.k2,
            R_wall_from_camera=rotation_looking(self.yaw_rad, self.tilt_rad, self.roll_rad),
            standoff_mm=self.distance_mm,
        )
        x = self.aim_x_mm - self.distance_mm * float(np.tan(self.yaw_rad))
        return View(camera=camera, size_px=self.size_px, foot_mm=(x, self.height_mm))
