"""The three pictures: which elevation, from where, and with what the phone does."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from sample_images.scenes import house
from sample_images.scenes.camera import Camera, Pose, focal_px

if TYPE_CHECKING:
    from sample_images.scenes.house import FloatArray

PHONE_PX = (4032, 3024)
MESSENGER_PX = (1600, 1200)
EQUIVALENT_MM = 26.0
K1, K2 = -0.008, 0.002
PRINCIPAL_OFFSET = (19.0, -23.0)  # of a full-size picture, from its middle


@dataclass(frozen=True, slots=True, kw_only=True)
class Elevation:
    """A wall frame and how it sits in the house frame.

    Attributes
    ----------
    name : str
        ``front`` or ``gable``.
    rotation_house_from_wall : (3, 3) float64
        Rotation.
    origin_mm : tuple of float
        The wall frame's origin in the house frame.
    """

    name: str
    rotation_house_from_wall: FloatArray
    origin_mm: tuple[float, float, float]

    def to_house(self, wall_mm: FloatArray) -> FloatArray:
        """Return house-frame points of (N, 3) wall-frame points."""
        return np.asarray(wall_mm) @ self.rotation_house_from_wall.T + self.origin_mm


FRONT = Elevation(
    name="front", rotation_house_from_wall=np.eye(3), origin_mm=(0.0, 0.0, 0.0)
)
GABLE = Elevation(
    name="gable",
    # x of the gable runs to the back of the house, its z to the right of it.
    rotation_house_from_wall=np.array([[0, 0, 1.0], [0, 1.0, 0], [-1.0, 0, 0]]),
    origin_mm=(house.WALL_WIDTH_MM, 0.0, 0.0),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """One picture to be made.

    Attributes
    ----------
    name : str
        File stem.
    elevation : Elevation
        What is photographed.
    camera : Camera
        Camera of the finished picture.
    sensor_scale : float
        Sensor pixels per finished pixel (a messenger shrinks what it sends).
    quality : int
        JPEG quality.
    taken : str
        Date and time in EXIF; empty if all EXIF is stripped.
    """

    name: str
    elevation: Elevation
    camera: Camera
    sensor_scale: float
    quality: int
    taken: str


def _camera(size_px: tuple[int, int], pose: Pose) -> Camera:
    """Return the demo phone's camera for a picture of this size."""
    width, height = size_px
    scale = width / PHONE_PX[0]
    cx = (width - 1) / 2.0 + PRINCIPAL_OFFSET[0] * scale
    cy = (height - 1) / 2.0 + PRINCIPAL_OFFSET[1] * scale
    return Camera(
        size_px=size_px,
        focal_px=focal_px(EQUIVALENT_MM, size_px),
        principal_px=(cx, cy),
        k1=K1,
        k2=K2,
        pose=pose,
    )


def _pose(
    aim_x_mm: float, distance_mm: float, yaw: float, tilt: float, roll: float
) -> Pose:
    """Return a pose that looks at x = ``aim_x_mm`` on the wall; angles in degrees."""
    x = aim_x_mm - distance_mm * math.tan(math.radians(yaw))
    height_mm = 1600.0
    return Pose(
        position_mm=(round(x, 1), height_mm, distance_mm),
        yaw_rad=math.radians(yaw),
        tilt_rad=math.radians(tilt),
        roll_rad=math.radians(roll),
    )


MIDDLE_MM = house.WALL_WIDTH_MM / 2.0
GABLE_MIDDLE_MM = house.GABLE_WIDTH_MM / 2.0

VIEWS = {
    "front": View(
        name="front",
        elevation=FRONT,
        camera=_camera(PHONE_PX, _pose(MIDDLE_MM + 60, 9350.0, 8.0, 10.6, 1.0)),
        sensor_scale=1.0,
        quality=88,
        taken="2025:05:14 13:52:07",
    ),
    "gable": View(
        name="gable",
        elevation=GABLE,
        camera=_camera(PHONE_PX, _pose(GABLE_MIDDLE_MM + 150, 10_000.0, -15.0, 13.9, -0.8)),
        sensor_scale=1.0,
        quality=88,
        taken="2025:05:14 13:58:41",
    ),
    "front-messenger": View(
        name="front-messenger",
        elevation=FRONT,
        camera=_camera(MESSENGER_PX, _pose(MIDDLE_MM - 250, 9600.0, -20.5, 9.4, -1.3)),
        sensor_scale=1.5,
        quality=75,
        taken="",
    ),
}
