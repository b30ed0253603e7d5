"""What is assumed of the lens beyond what is stated."""

import numpy as np
import pytest

from calibration.priors import (
    LENS_BEYOND_K1,
    LENS_CORNER_SD_K1,
    LENS_CORNER_SD_K2,
    LensKnowledge,
    camera_prior,
)

SIZE, FOCAL_PX = (4000, 3000), 3000.0
CORNER = 2500.0 / FOCAL_PX


def spreads_at_corner(k1_sd: float | None) -> tuple[float, float]:
    """Return relative displacement by either term at the corner, one sd."""
    lens = LensKnowledge(focal_px=FOCAL_PX, k1=0.0 if k1_sd else None, k1_sd=k1_sd)
    prior = camera_prior(SIZE, lens)
    return prior.k1_sd * CORNER**2, prior.k2_sd * CORNER**4


def test_a_phone_keeps_its_two_spreads():
    """Nothing stated: what phone software leaves, each term its own."""
    assert spreads_at_corner(None) == pytest.approx((LENS_CORNER_SD_K1, LENS_CORNER_SD_K2))


def test_a_lens_stated_unknown_is_unknown_in_its_second_term_too():
    """A barrel of 15 % at the corner has a second term of about 3 %, not of 0.4 %."""
    first, second = spreads_at_corner(0.3)

    assert first == pytest.approx(0.3 * CORNER**2)
    assert second == pytest.approx(LENS_BEYOND_K1 * first)


def test_a_calibrated_first_term_says_nothing_of_the_second():
    """The job states k1 alone: the rest keeps the spread of a phone."""
    _, second = spreads_at_corner(0.001)

    assert second == pytest.approx(LENS_CORNER_SD_K2)


@pytest.mark.parametrize(("k1", "k2"), [(-0.2905, 0.1041), (-0.2889, 0.1038)])
def test_calibrated_webcams_lie_within_two_sd(k1, k2):
    """Left and right camera of the opencv-doc photos, two terms fitted to 13 boards."""
    prior = camera_prior((640, 480), LensKnowledge(k1=0.0, k1_sd=0.3))

    assert np.abs([k1 / prior.k1_sd, k2 / prior.k2_sd]).max() < 2.0
