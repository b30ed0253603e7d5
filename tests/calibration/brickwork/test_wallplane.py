"""The plane of a wall by its counts: where the camera's height is on it."""

import cv2
import numpy as np
import pytest

from calibration.brickwork.wallplane import View, WallPlane
from tests.brick.walls import look

GAUGE_MM = 75.0
CAMERA_V = 21.5
"""Courses from the first joint down to the height of the camera."""


@pytest.mark.parametrize("tilt_deg", [-5.0, 0.0, 15.0])
@pytest.mark.parametrize("yaw_deg", [-35.0, 0.0, 20.0])
def test_the_height_of_the_camera_is_found_on_the_wall(
    yaw_deg: float, tilt_deg: float
) -> None:
    camera = look(
        yaw_deg=yaw_deg,
        tilt_deg=tilt_deg,
        roll_deg=2.0,
        distance_mm=8000.0,
        size_px=(1600, 1200),
    )
    # The wall's frame has its origin opposite the camera.
    wall_mm = np.array([[-900.0, -700.0], [900.0, -700.0], [900.0, 800.0], [-900.0, 800.0]])
    counts = np.c_[wall_mm[:, 0] / GAUGE_MM, CAMERA_V - wall_mm[:, 1] / GAUGE_MM]
    view = View(focal_px=camera.focal_px, centre_px=camera.centre_px, k1=camera.k1)
    ideal = view.ideal(camera.project(np.c_[wall_mm, np.zeros(4)]))
    H = cv2.getPerspectiveTransform(ideal.astype(np.float32), counts.astype(np.float32))
    plane = WallPlane(view, H)

    for u in (-10.0, 0.0, 30.0):
        assert plane.eye_level(u) == pytest.approx(CAMERA_V, abs=0.1)
