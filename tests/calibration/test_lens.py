"""Radial distortion: against OpenCV, both ways, to the fold and beyond."""

import cv2
import numpy as np
import pytest

from calibration.lens import distort, undistort
from tests.calibration.derivatives import central_differences

ROUNDING = 1e-12  # units of the focal length: a millionth of a millionth of it
TRUNCATION = 1e-8  # of fourth-order differences with a step of 1e-3
EXACT_CRITERIA = (cv2.TERM_CRITERIA_COUNT | cv2.TERM_CRITERIA_EPS, 1000, 1e-15)

LENSES = [
    (0.0, 0.0),
    (0.08, -0.02),
    (-0.08, 0.02),
    (-0.3, 0.0),  # strong barrel: an action camera
    (-0.3, 0.09),
    (0.25, 0.1),  # strong pincushion
]


def field(count: int = 400, reach: float = 0.7) -> np.ndarray:
    """Return ideal points in a disc of a given radius, seeded."""
    rng = np.random.default_rng(3)
    angle, radius = (
        rng.uniform(0, 2 * np.pi, count),
        reach * np.sqrt(rng.uniform(0, 1, count)),
    )
    return np.c_[radius * np.cos(angle), radius * np.sin(angle)]


def fold(k1: float) -> float:
    """Return the ideal radius where a barrel without k2 folds: 1 + 3 k1 r^2 = 0."""
    return float(np.sqrt(-1.0 / (3.0 * k1)))


@pytest.mark.parametrize(("k1", "k2"), LENSES)
def test_distort_is_opencvs(k1, k2):
    """OpenCV's projection of points at depth one moves them to the same places."""
    ideal = field()
    points = np.c_[ideal, np.ones(len(ideal))]
    theirs, _ = cv2.projectPoints(
        points, np.zeros(3), np.zeros(3), np.eye(3), np.array([k1, k2, 0.0, 0.0])
    )

    np.testing.assert_allclose(
        distort(ideal, k1, k2), theirs.reshape(-1, 2), rtol=0.0, atol=ROUNDING
    )


@pytest.mark.parametrize(("k1", "k2"), LENSES)
def test_undistort_is_opencvs(k1, k2):
    """OpenCV's own iteration, run until it stands still, reaches the same ideal points."""
    distorted = distort(field(), k1, k2)
    theirs = cv2.undistortPoints(
        distorted.reshape(-1, 1, 2),
        np.eye(3),
        np.array([k1, k2, 0.0, 0.0]),
        criteria=EXACT_CRITERIA,
    )

    # OpenCV stops when a step no longer changes the picture, some rounding earlier.
    np.testing.assert_allclose(
        undistort(distorted, k1, k2).points, theirs.reshape(-1, 2), rtol=0.0, atol=1e-9
    )


@pytest.mark.parametrize(("k1", "k2"), LENSES)
def test_undistort_inverts_distort(k1, k2):
    """There and back again is the same point, over the whole field."""
    ideal = field()

    back = undistort(distort(ideal, k1, k2), k1, k2).points
    np.testing.assert_allclose(back, ideal, rtol=0.0, atol=ROUNDING)


@pytest.mark.parametrize(("k1", "k2"), LENSES)
def test_derivative_by_the_distorted_point(k1, k2):
    """Sherman and Morrison's inverse is the numeric derivative."""
    distorted = distort(field(40), k1, k2)
    analytic = undistort(distorted, k1, k2).wrt_distorted

    for row, point in enumerate(distorted):
        numeric = central_differences(
            lambda x: undistort(x[None], k1, k2).points[0], point, np.full(2, 1e-3)
        )
        np.testing.assert_allclose(analytic[row], numeric, atol=TRUNCATION)


@pytest.mark.parametrize(("k1", "k2"), LENSES)
def test_derivative_by_the_coefficients(k1, k2):
    """The inverse function theorem's derivative is the numeric one."""
    distorted = distort(field(40), k1, k2)
    analytic = undistort(distorted, k1, k2).wrt_k

    numeric = central_differences(
        lambda k: undistort(distorted, k[0], k[1]).points,
        np.array([k1, k2]),
        np.full(2, 1e-3),
    )
    np.testing.assert_allclose(analytic, numeric, atol=TRUNCATION)


def test_centre_stays_where_it_is():
    """Radial distortion does not move the principal point, nor is it singular there."""
    at_centre = undistort(np.zeros((1, 2)), -0.3, 0.1)

    np.testing.assert_array_equal(at_centre.points, [[0.0, 0.0]])
    np.testing.assert_array_equal(at_centre.wrt_distorted, [np.eye(2)])
    np.testing.assert_array_equal(at_centre.wrt_k, np.zeros((1, 2, 2)))


@pytest.mark.parametrize("share", [0.5, 0.9, 0.99, 0.999])
def test_strong_barrel_is_inverted_up_to_its_fold(share):
    """With k1 -0.3 ideal radii up to a hundredth of a pixel from the fold come back."""
    ideal = np.array([[share * fold(-0.3), 0.0]])

    back = undistort(distort(ideal, -0.3, 0.0), -0.3, 0.0).points
    # The slope of the distortion falls to zero at the fold; rounding grows by it.
    slope = 1.0 - share**2
    np.testing.assert_allclose(back, ideal, rtol=0.0, atol=ROUNDING / slope)


@pytest.mark.parametrize("beyond", [1.0 + 1e-6, 1.01, 1.2, 3.0, 1e3])
def test_nothing_comes_from_beyond_the_fold(beyond):
    """A picture radius that a barrel never reaches has no ideal point: NaN."""
    edge = distort(np.array([[fold(-0.3), 0.0]]), -0.3, 0.0)[0, 0]
    found = undistort(np.array([[beyond * edge, 0.0], [0.1, 0.1]]), -0.3, 0.0)

    assert np.isnan(found.points[0]).all()
    assert np.isfinite(found.points[1]).all()


def test_inverse_stays_on_the_branch_through_the_centre():
    """Where a barrel maps two radii to one, the smaller is the ideal point."""
    folded_back = np.array([[1.3, 0.0]])
    assert folded_back[0, 0] > fold(-0.3)
    seen = distort(folded_back, -0.3, 0.0)

    found = undistort(seen, -0.3, 0.0).points
    assert found[0, 0] < fold(-0.3)
    np.testing.assert_allclose(distort(found, -0.3, 0.0), seen, atol=ROUNDING)


def test_no_lens_is_the_identity_bit_for_bit():
    """Zero coefficients change nothing, not even by rounding."""
    points = field()

    np.testing.assert_array_equal(undistort(points, 0.0, 0.0).points, points)
    np.testing.assert_array_equal(distort(points, 0.0, 0.0), points)
