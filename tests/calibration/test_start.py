"""The closed-form start: the true viewpoint, never its mirror image, from any mix."""

from dataclasses import replace

import cv2
import numpy as np
import pytest

from calibration.adjustment import adjust, descend
from calibration.arrays import FloatArray
from calibration.camera import FRONTAL, Camera, rotation_looking
from calibration.errors import AmbiguousViewpoint, ReferencesDisagree
from calibration.network import build_network
from calibration.priors import CameraPrior, LensKnowledge, camera_prior
from calibration.references import Distance, Points, Rectangle, Reference
from calibration.references.base import turned
from calibration.references.rectangle import CORNERS
from calibration.solution import calibrate
from calibration.start import (
    first_cameras,
    mirrored_normals,
    rotations_facing,
    trial_normals,
)
from tests.calibration.mixes import MIXES
from tests.calibration.views import CENTRE_PX, FOCAL_PX, SIZE_PX, likely_camera, prior_of

SEEDS = range(12)
STEEPEST_DEG = 42.0  # beyond it the wall's horizon enters the picture of these scenes

SAME_MINIMUM = 1e-4
"""Weighted squares; two descents into one minimum settle to far less."""

LIKELY = 25.0
"""Squared distance of the found view from the true one, in its covariance: two degrees
of freedom pass this once in 270 000."""


def scene(
    mix: str, seed: int, *, focal_known: bool
) -> tuple[Camera, list[Reference], CameraPrior]:
    """Return a camera, a mix of references picked with noise, and a prior."""
    rng = np.random.default_rng([seed, list(MIXES).index(mix), focal_known])
    camera = likely_camera(rng, steepest_deg=STEEPEST_DEG)
    return camera, MIXES[mix](camera, rng), prior_of(camera, focal_known=focal_known)


def angle_between(a: FloatArray, b: FloatArray) -> float:
    """Return the angle of two unit vectors."""
    return float(np.arccos(np.clip(a @ b, -1.0, 1.0)))


def off_in_sigmas(found: Camera, true: Camera, covariance: FloatArray) -> float:
    """Return the squared distance of two views in a (2, 2) covariance of their tilt."""
    turn = found.R_wall_from_camera @ true.R_wall_from_camera.T
    step = 0.5 * np.array([turn[2, 1] - turn[1, 2], turn[0, 2] - turn[2, 0]])
    return float(step @ np.linalg.solve(covariance, step))


@pytest.mark.parametrize("focal_known", [True, False], ids=["focal known", "no focal"])
@pytest.mark.parametrize("mix", MIXES)
@pytest.mark.parametrize("seed", SEEDS)
def test_the_true_viewpoint_is_found(mix, seed, focal_known):
    """The view found is the true one within its own covariance, not the mirrored one.

    264 scenes; a start in another basin, a start that stops short, and a refusal of
    what is determined would each show.
    """
    camera, references, prior = scene(mix, seed, focal_known=focal_known)
    solution = calibrate("front", references, prior)
    found = solution.camera.R_wall_from_camera[2]
    mirrored = mirrored_normals(solution.network, camera)[0]
    covariance = solution.adjustment.covariance[5:7, 5:7]

    true = camera.R_wall_from_camera[2]
    assert off_in_sigmas(solution.camera, camera, covariance) < LIKELY
    assert angle_between(found, true) <= angle_between(found, mirrored)


@pytest.mark.parametrize("focal_known", [True, False], ids=["focal known", "no focal"])
@pytest.mark.parametrize("mix", MIXES)
@pytest.mark.parametrize("seed", SEEDS[:4])
def test_no_better_minimum_lies_at_the_truth(mix, seed, focal_known):
    """Walking down from the true camera reaches nothing better than what is returned."""
    camera, references, prior = scene(mix, seed, focal_known=focal_known)
    network = build_network(references, prior)
    near, _ = descend(network, network.start(camera))
    from_truth = adjust(network, near)

    found = calibrate("front", references, prior).adjustment
    assert found.cost <= from_truth.cost + SAME_MINIMUM


@pytest.mark.parametrize(
    ("mix", "seed", "trap"),
    [
        ("rotated rectangle", 21, "a rival that stopped on its way to the same minimum"),
        ("courses up, plumbs", 33, "a rival that stopped on its way"),
        ("rectangle, courses, tape, level", 7, "a rival that stopped on its way"),
        ("rectangle, courses, tape, level", 11, "a rival that stopped on its way"),
        ("courses up", 33, "a rival at three times the focal length"),
    ],
)
def test_a_stop_on_the_way_is_no_second_viewpoint(mix, seed, trap):
    """Without a focal length descents meet a long bent valley: its bend is no minimum."""
    rng = np.random.default_rng([seed, sorted(MIXES).index(mix), False])
    camera = likely_camera(rng)
    solution = calibrate("f", MIXES[mix](camera, rng), prior_of(camera, focal_known=False))

    covariance = solution.adjustment.covariance[5:7, 5:7]
    assert off_in_sigmas(solution.camera, camera, covariance) < LIKELY, trap


def test_a_slow_valley_is_followed_to_its_end():
    """Courses alone, no focal length: steps shrink by a tenth only, and still settle."""
    camera, references, prior = scene("courses up", 11, focal_known=False)
    network = build_network(references, prior)
    near, _ = descend(network, network.start(camera))
    adjustment = adjust(network, near)

    gradient = adjustment.equations.jacobian.T @ adjustment.equations.residual
    left = adjustment.cofactor_root.T @ gradient
    assert np.abs(left).max() < SAME_MINIMUM


# --- Against OpenCV's two planar solutions --------------------------------------------


def exact_prior() -> CameraPrior:
    """Return a calibrated pinhole."""
    lens = LensKnowledge(
        focal_px=FOCAL_PX,
        focal_sd_px=0.01,
        k1=0.0,
        k1_sd=1e-7,
        centre_px=tuple(CENTRE_PX),
        centre_sd_px=(0.01, 0.01),
    )
    return replace(camera_prior(SIZE_PX, lens), k2_sd=1e-7)


def pinhole(yaw_deg: float, tilt_deg: float, standoff_mm: float) -> Camera:
    """Return that camera, held level."""
    return Camera(
        focal_px=FOCAL_PX,
        centre_px=CENTRE_PX,
        R_wall_from_camera=rotation_looking(np.radians(yaw_deg), np.radians(tilt_deg), 0.0),
        standoff_mm=standoff_mm,
    )


def door(camera: Camera, size_mm: tuple[float, float], sd_px: float = 0.0) -> Rectangle:
    """Return a rectangle about the middle of the picture."""
    middle = camera.back_project(CENTRE_PX[None], np.zeros(1)).xy_mm[0]
    plan = (CORNERS - 0.5) * size_mm + middle
    exact = camera.project(np.c_[plan, np.zeros(4)])
    return Rectangle(
        name="door",
        picks_px=exact + np.random.default_rng(4).normal(0.0, sd_px, (4, 2)),
        width_mm=size_mm[0],
        height_mm=size_mm[1],
        sd_mm=1.0,
        projection_sd_mm=0.01,
    )


def opencv_normals(reference: Rectangle) -> list[FloatArray]:
    """Return the wall normal in the camera of OpenCV's two solutions, better first."""
    plan = (CORNERS - 0.5) * [reference.width_mm, reference.height_mm]
    K = np.array([[FOCAL_PX, 0, CENTRE_PX[0]], [0, FOCAL_PX, CENTRE_PX[1]], [0, 0, 1.0]])
    _, turns, _, _ = cv2.solvePnPGeneric(
        np.c_[plan, np.zeros(4)],
        np.ascontiguousarray(reference.picks_px),
        K,
        None,
        flags=cv2.SOLVEPNP_IPPE,
    )
    return [cv2.Rodrigues(turn)[0][:, 2] for turn in turns]


VIEWS = [(0, 25), (20, 2), (-30, 10), (35, 20), (-15, 30), (8, 12)]
"""Yaw and tilt, degrees. OpenCV's planar pose breaks down at a tilt of exactly zero."""


@pytest.mark.parametrize(("yaw", "tilt"), VIEWS)
def test_exact_rectangle_is_opencvs_better_solution(yaw, tilt):
    """With exact corners the better of OpenCV's two planar poses is the view found."""
    camera = pinhole(yaw, tilt, 6000.0)
    reference = door(camera, (1800.0, 2100.0))
    better, _ = opencv_normals(reference)

    found = calibrate("front", [reference], exact_prior()).camera.R_wall_from_camera[2]
    assert angle_between(found, better) < 1e-4  # radians: the lens's residual freedom


@pytest.mark.parametrize(("yaw", "tilt"), VIEWS)
@pytest.mark.parametrize("seed", range(8))
def test_noisy_rectangle_is_never_opencvs_worse_solution(yaw, tilt, seed):
    """With picks a pixel off the view found is nearer to the better of the two."""
    camera = pinhole(yaw, tilt, 6000.0)
    exact = door(camera, (1800.0, 2100.0))
    noise = np.random.default_rng(seed).normal(0.0, 1.0, (4, 2))
    reference = replace(exact, picks_px=exact.picks_px + noise)
    better, worse = opencv_normals(reference)

    found = calibrate("front", [reference], exact_prior()).camera.R_wall_from_camera[2]
    assert angle_between(found, better) < angle_between(found, worse)


@pytest.mark.parametrize(("yaw", "tilt"), VIEWS)
def test_mirrored_normal_is_opencvs_worse_solution(yaw, tilt):
    """Seen from afar, the view that is tried as the rival is OpenCV's second pose."""
    camera = pinhole(yaw, tilt, 60_000.0)
    reference = door(camera, (1800.0, 2100.0))
    network = build_network([reference], exact_prior())
    _, worse = opencv_normals(reference)

    # Exact for parallel rays; 2 m at 60 m leave about a thirtieth of a radian.
    assert angle_between(mirrored_normals(network, camera)[0], worse) < 1.0 / 30.0


@pytest.mark.parametrize(("yaw", "tilt"), [(0, 25), (20, 0), (-30, 10), (25, 20)])
def test_a_small_rectangle_far_away_is_refused_as_ambiguous(yaw, tilt):
    """300 mm at 15 m in picks of a pixel: both planar poses fit, and both are named."""
    camera = pinhole(yaw, tilt, 15_000.0)
    reference = door(camera, (300.0, 300.0))

    with pytest.raises(AmbiguousViewpoint, match="two viewpoints equally well"):
        calibrate("front", [reference], exact_prior())


def test_level_lines_far_apart_settle_the_ambiguity():
    """What the refusal asks for resolves it: a level line high above the rectangle."""
    camera = pinhole(25.0, 20.0, 15_000.0)
    small = door(camera, (300.0, 300.0))
    rng = np.random.default_rng(0)
    lines = MIXES["tape, levels, plumbs"](camera, rng)[1:]
    solution = calibrate("front", [small, *lines], exact_prior())

    found = solution.camera.R_wall_from_camera[2]
    assert angle_between(found, camera.R_wall_from_camera[2]) < np.radians(3.0)


# --- Trial viewpoints -----------------------------------------------------------------


def test_trial_normals_face_the_camera_and_leave_no_gap():
    """Unit vectors within the cone; every direction in it has a trial within 8 degrees."""
    normals = trial_normals()
    rng = np.random.default_rng(0)
    fall = rng.uniform(np.cos(np.radians(60.0)), 1.0, 2000)
    angle = rng.uniform(0.0, 2.0 * np.pi, 2000)
    side = np.sqrt(1.0 - fall**2)
    wanted = np.stack([side * np.cos(angle), side * np.sin(angle), -fall], axis=1)

    np.testing.assert_allclose(np.linalg.norm(normals, axis=1), 1.0)
    assert np.all(normals[:, 2] < 0.0)
    assert np.degrees(np.arccos((wanted @ normals.T).max(axis=1)).max()) < 8.0


def test_rotations_facing_are_level_and_faces_its_normal():
    """Rows are the wall's axes in the camera; the camera's x axis lies level on it."""
    normals = trial_normals()[::7]
    for normal, R in zip(normals, rotations_facing(normals), strict=True):
        np.testing.assert_allclose(R @ R.T, np.eye(3), atol=1e-12)
        np.testing.assert_allclose(R[2], normal, atol=1e-12)
        assert np.linalg.det(R) == pytest.approx(1.0)
        assert R[1, 0] == pytest.approx(0.0, abs=1e-12)
        assert R[0, 0] > 0.0


def test_closed_form_is_exact_at_the_true_normal():
    """Exact picks and the true normal give swing and standoff in one linear solution."""
    camera = replace(pinhole(12.0, 18.0, 7000.0))
    reference = door(camera, (1800.0, 2100.0))
    network = build_network([reference], exact_prior())
    (found,) = first_cameras(network, camera.R_wall_from_camera[2][None])

    assert found.standoff_mm == pytest.approx(7000.0, rel=1e-9)
    np.testing.assert_allclose(
        found.R_wall_from_camera, camera.R_wall_from_camera, atol=1e-9
    )


@pytest.mark.parametrize("quarter", [1, 2, 3])
def test_a_photo_on_its_side_is_found_too(quarter):
    """Levels and plumbs tell which way is up, whatever way the picture was stored."""
    camera = pinhole(15.0, 20.0, 7000.0)
    roll = np.radians(90.0 * quarter)
    c, s = np.round([np.cos(roll), np.sin(roll)])
    on_side = replace(
        camera,
        R_wall_from_camera=camera.R_wall_from_camera @ [[c, -s, 0], [s, c, 0], [0, 0, 1]],
    )
    reference = door(on_side, (900.0, 1200.0))
    found = calibrate("front", [reference], exact_prior()).camera

    np.testing.assert_allclose(
        found.R_wall_from_camera, on_side.R_wall_from_camera, atol=1e-4
    )


def test_gross_contradiction_of_two_tapes_is_refused_by_name():
    """A rectangle and a tape that says a quarter more: nobody is believed."""
    camera = pinhole(15.0, 20.0, 7000.0)
    reference = door(camera, (1800.0, 2100.0))
    tape = Distance(
        name="tape",
        title="the tape",
        picks_px=reference.picks_px[:2],
        length_mm=1.25 * 1800.0,
        sd_mm=3.0,
    )

    with pytest.raises(ReferencesDisagree, match="contradict each other"):
        calibrate("front", [reference, tape], exact_prior())


def test_rotated_points_find_their_turn():
    """A plan turned by 20 degrees against the level is found turned by 20 degrees."""
    camera = pinhole(15.0, 20.0, 7000.0)
    plan = (CORNERS - 0.5) * [1500.0, 1100.0]
    middle = camera.back_project(CENTRE_PX[None], np.zeros(1)).xy_mm[0]
    wall = turned(plan, np.radians(20.0)) + middle
    reference = Points(
        name="plan",
        picks_px=camera.project(np.c_[wall, np.zeros(4)]),
        wall_mm=plan,
        sd_mm=1.0,
        rotated=True,
    )
    level = MIXES["tape, levels, plumbs"](camera, np.random.default_rng(0))[1:3]
    solution = calibrate("front", [reference, *level], exact_prior())

    assert np.degrees(solution.value("plan: turn")) == pytest.approx(20.0, abs=0.2)
    assert not np.allclose(solution.camera.R_wall_from_camera, FRONTAL)
