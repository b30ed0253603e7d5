"""The camera before the wall: pinhole with radial lens, and its nine unknowns.

Frames::

    image    x right, y down, pixels; (0, 0) is the centre of the top left pixel
    camera   x right, y down, z forward, units of the focal length
    wall     x right as seen from outside, y up, z out of the wall, millimetres;
             the wall is z = 0 and the camera stands at (0, 0, standoff_mm)

The wall's own origin cannot be observed by a camera, so it is put at the foot of
the perpendicular from the camera; references carry their own offsets to it.
"""

from dataclasses import dataclass, replace
from enum import IntEnum
from functools import cached_property

import numpy as np

from calibration.arrays import FloatArray, frozen, rotation_from_vector, skew
from calibration.lens import distort, undistort


class CameraUnknown(IntEnum):
    """Column order of every Jacobian with respect to the camera."""

    LOG_FOCAL = 0
    CENTRE_X = 1
    CENTRE_Y = 2
    K1 = 3
    K2 = 4
    TURN_X = 5
    TURN_Y = 6
    TURN_Z = 7
    LOG_STANDOFF = 8


CAMERA_UNKNOWNS = len(CameraUnknown)

FRONTAL = frozen(np.diag([1.0, -1.0, -1.0]), 3, 3)
"""Rotation wall from camera of a camera that looks straight at the wall."""


@dataclass(frozen=True, eq=False, kw_only=True)
class Camera:
    """A camera in front of a wall.

    Attributes
    ----------
    focal_px : float
        Focal length, pixels.
    centre_px : (2,) float64
        Principal point, image frame.
    k1, k2 : float
        Radial distortion, OpenCV's convention.
    R_wall_from_camera : (3, 3) float64
        Rotation matrix.
    standoff_mm : float
        Distance of the projection centre from the wall plane, > 0.
    """

    focal_px: float
    centre_px: FloatArray
    k1: float = 0.0
    k2: float = 0.0
    R_wall_from_camera: FloatArray
    standoff_mm: float

    def __post_init__(self) -> None:
        """Freeze the arrays and refuse a camera that cannot exist."""
        object.__setattr__(self, "centre_px", frozen(self.centre_px, 2))
        rotation = frozen(self.R_wall_from_camera, 3, 3)
        object.__setattr__(self, "R_wall_from_camera", rotation)
        if not (self.focal_px > 0.0 and self.standoff_mm > 0.0):
            message = f"focal {self.focal_px} px, standoff {self.standoff_mm} mm"
            raise ValueError(message)

    @cached_property
    def axis(self) -> FloatArray:
        """Optical axis, unit vector in the wall frame, (3,)."""
        axis: FloatArray = self.R_wall_from_camera[:, 2]
        return axis

    @property
    def tilt_rad(self) -> float:
        """Elevation of the optical axis above the level, upwards positive."""
        return float(np.arcsin(np.clip(self.axis[1], -1.0, 1.0)))

    @property
    def yaw_rad(self) -> float:
        """Turn of the optical axis from the wall's normal, to the right positive."""
        return float(np.arctan2(self.axis[0], -self.axis[2]))

    @property
    def roll_rad(self) -> float:
        """Turn of the camera about its own axis, clockwise as held positive."""
        level = np.array([-self.axis[2], 0.0, self.axis[0]])
        right = self.R_wall_from_camera[:, 0]
        down = self.R_wall_from_camera[:, 1]
        return float(np.arctan2(-(down @ level), right @ level))

    @property
    def swing_rad(self) -> float:
        """Angle of the camera's x axis on the wall; a turn about z adds to it."""
        right = self.R_wall_from_camera[:, 0]
        return float(np.arctan2(right[1], right[0]))

    def moved(self, step: FloatArray) -> "Camera":
        """Return the camera after a step in its nine unknowns.

        Parameters
        ----------
        step : (9,) float64
            In the order of :class:`CameraUnknown`; the turn is a rotation vector
            in the wall frame, applied from the left.

        Returns
        -------
        Camera
        """
        turn = rotation_from_vector(step[CameraUnknown.TURN_X : CameraUnknown.TURN_Z + 1])
        # Twice orthonormalised: thousands of steps must not shear the frame.
        basis, _, rest = np.linalg.svd(turn @ self.R_wall_from_camera)
        return replace(
            self,
            focal_px=float(self.focal_px * np.exp(step[CameraUnknown.LOG_FOCAL])),
            centre_px=self.centre_px + step[1:3],
            k1=float(self.k1 + step[CameraUnknown.K1]),
            k2=float(self.k2 + step[CameraUnknown.K2]),
            R_wall_from_camera=basis @ rest,
            standoff_mm=float(self.standoff_mm * np.exp(step[CameraUnknown.LOG_STANDOFF])),
        )

    def project(self, points_mm: FloatArray) -> FloatArray:
        """Return where points appear in the image.

        Parameters
        ----------
        points_mm : (N, 3) float64
            Wall frame.

        Returns
        -------
        (N, 2) float64
            Pixels; NaN for points that are not in front of the camera.
        """
        from_camera = points_mm - np.array([0.0, 0.0, self.standoff_mm])
        rays = from_camera @ self.R_wall_from_camera
        depth = np.where(rays[:, 2] > 0.0, rays[:, 2], np.nan)
        ideal = rays[:, :2] / depth[:, None]
        return distort(ideal, self.k1, self.k2) * self.focal_px + self.centre_px

    def back_project(self, picks_px: FloatArray, z_mm: FloatArray) -> "OnWall":
        """Return where the rays of image points meet planes parallel to the wall.

        Parameters
        ----------
        picks_px : (N, 2) float64
            Image frame.
        z_mm : (N,) float64
            Height of each point's plane above the wall, below the standoff.

        Returns
        -------
        OnWall
            NaN for rays that do not meet their plane in front of the camera.
        """
        distorted = (picks_px - self.centre_px) / self.focal_px
        ideal = undistort(distorted, self.k1, self.k2)
        R = self.R_wall_from_camera
        rays = ideal.points @ R[:, :2].T + R[:, 2]
        # A ray reaches the wall only if it runs towards it: z component negative.
        fall = np.where(rays[:, 2] < 0.0, -rays[:, 2], np.nan)
        reach = (self.standoff_mm - z_mm) / fall
        reach = np.where(reach > 0.0, reach, np.nan)
        slope = rays[:, :2] / fall[:, None]
        xy = reach[:, None] * rays[:, :2]

        # X = reach * ray_xy with reach = (D - z) / -ray_z.
        wrt_ray = np.zeros((len(xy), 2, 3))
        wrt_ray[:, 0, 0] = wrt_ray[:, 1, 1] = reach
        wrt_ray[:, :, 2] = reach[:, None] * slope
        wrt_ideal = wrt_ray @ R[:, :2]
        wrt_distorted = wrt_ideal @ ideal.wrt_distorted
        wrt_px = wrt_distorted / self.focal_px

        camera = np.empty((len(xy), 2, CAMERA_UNKNOWNS))
        camera[:, :, CameraUnknown.LOG_FOCAL] = -np.einsum(
            "nij,nj->ni", wrt_distorted, distorted
        )
        camera[:, :, 1:3] = -wrt_px
        camera[:, :, 3:5] = wrt_ideal @ ideal.wrt_k
        camera[:, :, 5:8] = -wrt_ray @ skew(rays)  # d ray = turn x ray
        camera[:, :, CameraUnknown.LOG_STANDOFF] = self.standoff_mm * slope
        return OnWall(xy, camera, wrt_px, -slope)


@dataclass(frozen=True, slots=True, eq=False)
class OnWall:
    """Image points brought to planes parallel to the wall, with derivatives.

    Attributes
    ----------
    xy_mm : (N, 2) float64
        Wall frame.
    wrt_camera : (N, 2, 9) float64
        Columns as in :class:`CameraUnknown`.
    wrt_px : (N, 2, 2) float64
        Millimetres per pixel.
    wrt_z : (N, 2) float64
        With respect to the height of the plane.
    """

    xy_mm: FloatArray
    wrt_camera: FloatArray
    wrt_px: FloatArray
    wrt_z: FloatArray

    def __getitem__(self, index: slice) -> "OnWall":
        """Return some of the points."""
        return OnWall(
            self.xy_mm[index],
            self.wrt_camera[index],
            self.wrt_px[index],
            self.wrt_z[index],
        )


def rotation_looking(yaw_rad: float, tilt_rad: float, roll_rad: float) -> FloatArray:
    """Return the rotation wall from camera of a camera held in a given way.

    Parameters
    ----------
    yaw_rad, tilt_rad, roll_rad : float
        As in :class:`Camera`.

    Returns
    -------
    (3, 3) float64

    Examples
    --------
    >>> rotation_looking(0.0, 0.0, 0.0) @ np.array([0.0, 0.0, 1.0])
    array([ 0.,  0., -1.])
    """
    turn = rotation_from_vector(np.array([0.0, -yaw_rad, 0.0]))
    lift = rotation_from_vector(np.array([tilt_rad, 0.0, 0.0]))
    roll = rotation_from_vector(np.array([0.0, 0.0, roll_rad]))
    rotation: FloatArray = turn @ lift @ FRONTAL @ roll
    return rotation
