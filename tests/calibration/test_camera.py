"""The camera: against OpenCV, there and back, and its analytic derivatives."""

import cv2
import numpy as np
import pytest

from calibration.camera import CAMERA_UNKNOWNS, Camera, rotation_looking
from tests.calibration.derivatives import central_differences
from tests.calibration.views import CENTRE_PX, SIZE_PX, on_picture, random_camera

SEEDS = range(12)

ROUNDING_PX = 1e-9  # float64 at coordinates of some thousand pixels, with room
ROUNDING_MM = 1e-6  # the same at ten metres
RELATIVE = 1e-7  # of fourth-order differences against derivatives of any size


def camera_of(seed: int) -> tuple[Camera, np.random.Generator]:
    """Return a seeded camera and the generator it came from."""
    rng = np.random.default_rng(seed)
    return random_camera(rng), rng


def picks_of(rng: np.random.Generator, count: int = 30) -> np.ndarray:
    """Return picks (N, 2) all over the picture."""
    return rng.uniform([0, 0], SIZE_PX, (count, 2))


def heights_of(rng: np.random.Generator, count: int = 30) -> np.ndarray:
    """Return planes (N,) from behind the wall to well in front of it."""
    return rng.uniform(-300.0, 900.0, count)


def opencv_picture(camera: Camera, points_mm: np.ndarray) -> np.ndarray:
    """Return OpenCV's projection of wall points (N, 3)."""
    R_camera_from_wall = camera.R_wall_from_camera.T
    shift = -R_camera_from_wall @ np.array([0.0, 0.0, camera.standoff_mm])
    x, y = camera.centre_px
    K = np.array([[camera.focal_px, 0.0, x], [0.0, camera.focal_px, y], [0.0, 0.0, 1.0]])
    lens = np.array([camera.k1, camera.k2, 0.0, 0.0])
    turn, _ = cv2.Rodrigues(R_camera_from_wall)
    picture, _ = cv2.projectPoints(points_mm, turn, shift, K, lens)
    return picture.reshape(-1, 2)


@pytest.mark.parametrize("seed", SEEDS)
def test_projection_is_opencvs(seed):
    """Wall, camera and picture frames and the lens agree with OpenCV's projectPoints."""
    camera, rng = camera_of(seed)
    heights = heights_of(rng)
    wall = camera.back_project(picks_of(rng), heights).xy_mm
    points = np.c_[wall, heights]

    np.testing.assert_allclose(
        camera.project(points), opencv_picture(camera, points), rtol=0.0, atol=ROUNDING_PX
    )


@pytest.mark.parametrize("seed", SEEDS)
def test_projecting_what_was_back_projected_returns_the_pick(seed):
    """Picture to plane to picture is the identity, on planes before and behind the wall."""
    camera, rng = camera_of(seed)
    picks, heights = picks_of(rng), heights_of(rng)
    wall = camera.back_project(picks, heights).xy_mm

    again = camera.project(np.c_[wall, heights])
    np.testing.assert_allclose(again, picks, rtol=0.0, atol=ROUNDING_PX)


@pytest.mark.parametrize("seed", SEEDS)
def test_back_projecting_what_was_projected_returns_the_point(seed):
    """Plane to picture to plane is the identity, in millimetres."""
    camera, rng = camera_of(seed)
    wall = on_picture(camera, rng.uniform(0, 1, 30), rng.uniform(0, 1, 30))
    heights = rng.uniform(0.0, 600.0, 30)
    picks = camera.project(np.c_[wall, heights])

    again = camera.back_project(picks, heights).xy_mm
    np.testing.assert_allclose(again, wall, rtol=0.0, atol=ROUNDING_MM)


@pytest.mark.parametrize("seed", SEEDS)
def test_derivative_by_the_cameras_unknowns(seed):
    """All nine columns are the numeric derivative of a step made by ``moved``."""
    camera, rng = camera_of(seed)
    picks, heights = picks_of(rng), heights_of(rng)
    analytic = camera.back_project(picks, heights).wrt_camera

    steps = np.array([1e-4, 0.1, 0.1, 1e-4, 1e-4, 1e-4, 1e-4, 1e-4, 1e-4])
    numeric = central_differences(
        lambda step: camera.moved(step).back_project(picks, heights).xy_mm,
        np.zeros(CAMERA_UNKNOWNS),
        steps,
    )
    scale = np.abs(numeric).max(axis=(0, 1))
    np.testing.assert_allclose(analytic / scale, numeric / scale, atol=RELATIVE)


@pytest.mark.parametrize("seed", SEEDS)
def test_derivative_by_the_pick(seed):
    """Millimetres per pixel are the numeric derivative, pick by pick."""
    camera, rng = camera_of(seed)
    picks, heights = picks_of(rng), heights_of(rng)
    analytic = camera.back_project(picks, heights).wrt_px

    numeric = central_differences(
        lambda d: camera.back_project(picks + d, heights).xy_mm, np.zeros(2), np.ones(2)
    )
    np.testing.assert_allclose(analytic, numeric, atol=RELATIVE * np.abs(numeric).max())


@pytest.mark.parametrize("seed", SEEDS)
def test_derivative_by_the_height_of_the_plane(seed):
    """A point slides along its ray, exactly in proportion to the height."""
    camera, rng = camera_of(seed)
    picks, heights = picks_of(rng), heights_of(rng)
    here = camera.back_project(picks, heights)
    there = camera.back_project(picks, heights + 100.0)

    np.testing.assert_allclose(
        there.xy_mm - here.xy_mm, 100.0 * here.wrt_z, rtol=0.0, atol=ROUNDING_MM
    )


def test_points_behind_the_camera_are_not_in_the_picture():
    """Behind the camera, and in its very plane, there is no image: NaN."""
    camera = Camera(
        focal_px=3000.0,
        centre_px=CENTRE_PX,
        R_wall_from_camera=rotation_looking(0.0, 0.0, 0.0),
        standoff_mm=8000.0,
    )
    picture = camera.project(
        np.array([[0.0, 0.0, 8001.0], [100.0, 0.0, 8000.0], [0.0, 0.0, 7999.0]])
    )

    assert np.isnan(picture[:2]).all()
    np.testing.assert_allclose(picture[2], CENTRE_PX)


def test_picks_beyond_the_horizon_meet_no_wall():
    """Looking 50 degrees along the wall, its horizon crosses the picture 40 degrees out.

    The vanishing point of x lies at ``f tan 40 degrees`` from the centre; one pixel to
    either side of it is a point kilometres away, or no point at all.
    """
    camera = Camera(
        focal_px=2000.0,
        centre_px=CENTRE_PX,
        R_wall_from_camera=rotation_looking(np.radians(50.0), 0.0, 0.0),
        standoff_mm=8000.0,
    )
    out = 2000.0 * np.tan(np.radians(40.0))
    picks = CENTRE_PX + np.array([[out - 1.0, 0.0], [out + 1.0, 0.0]])
    found = camera.back_project(picks, np.zeros(2)).xy_mm

    assert found[0, 0] > 1e6
    assert np.isnan(found[1]).all()


def test_planes_behind_the_camera_are_not_met():
    """A plane further from the wall than the camera is: NaN; at the camera too."""
    camera, _ = camera_of(0)
    heights = np.array([camera.standoff_mm + 1.0, camera.standoff_mm, 0.0])
    found = camera.back_project(np.tile(CENTRE_PX, (3, 1)), heights).xy_mm

    assert np.isnan(found[:2]).all()
    assert np.isfinite(found[2]).all()


def test_strong_barrel_goes_there_and_back_and_ends_at_its_fold():
    """With k1 -0.3 picks inside the fold return; beyond it they have no wall point."""
    camera = Camera(
        focal_px=1500.0,
        centre_px=CENTRE_PX,
        k1=-0.3,
        R_wall_from_camera=rotation_looking(0.1, 0.2, 0.0),
        standoff_mm=6000.0,
    )
    fold_px = 1500.0 * (2.0 / 3.0) * np.sqrt(1.0 / 0.9)  # r (1 - 0.3 r^2) at r^2 = 1 / 0.9
    picks = CENTRE_PX + fold_px * np.array([[-0.9, 0.0], [0.0, 0.98], [1.01, 0.0]])
    wall = camera.back_project(picks, np.zeros(3)).xy_mm
    again = camera.project(np.c_[wall[:2], np.zeros(2)])

    np.testing.assert_allclose(again, picks[:2], rtol=0.0, atol=1e-7)
    assert np.isnan(wall[2]).all()


@pytest.mark.parametrize("seed", SEEDS)
def test_yaw_tilt_and_roll_are_those_it_was_made_with(seed):
    """The three angles of a rotation are read back as they were given."""
    rng = np.random.default_rng(seed)
    angles = rng.uniform(-1.0, 1.0, 3)
    camera = Camera(
        focal_px=1.0,
        centre_px=np.zeros(2),
        R_wall_from_camera=rotation_looking(*angles),
        standoff_mm=1.0,
    )

    found = [camera.yaw_rad, camera.tilt_rad, camera.roll_rad]
    np.testing.assert_allclose(found, angles, atol=1e-12)


@pytest.mark.parametrize(
    ("yaw", "tilt", "roll", "wall_mm", "side"),
    [
        (0.2, 0.0, 0.0, [3000.0, 0.0, 0.0], "right of a camera turned right"),
        (0.0, 0.2, 0.0, [0.0, 3000.0, 0.0], "above a camera turned up"),
    ],
)
def test_signs_of_yaw_and_tilt(yaw, tilt, roll, wall_mm, side):
    """A camera turned to the right (up) brings the wall's right (top) to its middle."""
    angles = np.array([[yaw, tilt, roll], [0.0, 0.0, 0.0]])
    turned, straight = (
        Camera(
            focal_px=3000.0,
            centre_px=CENTRE_PX,
            R_wall_from_camera=rotation_looking(*row),
            standoff_mm=10_000.0,
        ).project(np.array([wall_mm]))
        for row in angles
    )

    nearer = np.linalg.norm(turned - CENTRE_PX)
    assert nearer < np.linalg.norm(straight - CENTRE_PX), side


def test_a_camera_rolled_clockwise_turns_the_picture_anticlockwise():
    """The wall's right end then lies above its left end in the picture."""
    camera = Camera(
        focal_px=3000.0,
        centre_px=CENTRE_PX,
        R_wall_from_camera=rotation_looking(0.0, 0.0, np.radians(10.0)),
        standoff_mm=10_000.0,
    )
    left, right = camera.project(np.array([[-1000.0, 0.0, 0.0], [1000.0, 0.0, 0.0]]))

    assert right[1] < left[1]


@pytest.mark.parametrize("seed", SEEDS)
def test_turning_about_the_walls_normal_adds_to_the_swing(seed):
    """The third turn is the swing, so nothing else of the view depends on it."""
    camera, _ = camera_of(seed)
    step = np.zeros(CAMERA_UNKNOWNS)
    step[7] = 0.05

    assert camera.moved(step).swing_rad - camera.swing_rad == pytest.approx(0.05)


def test_a_thousand_steps_do_not_shear_the_frame():
    """Rotation stays a rotation to rounding."""
    camera, rng = camera_of(1)
    for _ in range(1000):
        step = np.zeros(CAMERA_UNKNOWNS)
        step[5:8] = rng.normal(0.0, 0.1, 3)
        camera = camera.moved(step)

    R = camera.R_wall_from_camera
    np.testing.assert_allclose(R @ R.T, np.eye(3), atol=1e-14)
    assert np.linalg.det(R) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("focal_px", "standoff_mm"), [(0.0, 1.0), (-1.0, 1.0), (1.0, 0.0), (np.nan, 1.0)]
)
def test_impossible_cameras_cannot_exist(focal_px, standoff_mm):
    """Focal length and standoff are positive numbers."""
    with pytest.raises(ValueError, match="focal"):
        Camera(
            focal_px=focal_px,
            centre_px=CENTRE_PX,
            R_wall_from_camera=np.eye(3),
            standoff_mm=standoff_mm,
        )
