"""Brickwork enters the adjustment as few picks with one gauge."""

import numpy as np
import pytest

from calibration.brick_formats import brick_format
from calibration.brickwork.read import read_brickwork
from calibration.brickwork.references import (
    LADDERS,
    RUNGS,
    TapedCourses,
    course_references,
    scatter,
)
from calibration.references.courses import CountDirection
from calibration.solution import calibrate
from tests.brick.chance import prior_for
from tests.brick.walls import Wall, look, photograph

CAMERA = look(yaw_deg=20.0, tilt_deg=8.0, distance_mm=4000.0)


@pytest.fixture(scope="module")
def found():
    pixels = photograph(Wall().paint, CAMERA, np.random.default_rng(3))
    return read_brickwork(pixels, prior_for(pixels, CAMERA.focal_px))


@pytest.fixture(scope="module")
def prior():
    return prior_for(np.zeros((600, 800, 3), np.uint8), CAMERA.focal_px)


def test_two_directions_share_nothing_but_the_wall(found):
    """Up and along, each with its own gauge."""
    up, along = course_references(found, brick_format("uk-metric"), "front")

    assert up.direction is CountDirection.UP
    assert along.direction is CountDirection.ALONG
    assert up.pitch_key != along.pitch_key
    assert (up.pitch_mm, along.pitch_mm) == (75.0, 225.0)


def test_picks_are_thinned(found):
    """Hundreds of joints become at most six ladders of twelve."""
    references = course_references(found, brick_format("uk-metric"), "front")

    assert len(found.beds.number) > 300
    assert all(len(r.picks_px) <= LADDERS * RUNGS for r in references)


def test_the_adjustment_finds_the_camera(found, prior):
    """Scale and turn of the painted wall come out within their own uncertainty."""
    references = course_references(found, brick_format("uk-metric"), "front")

    solution = calibrate("front", references, prior)

    camera = solution.camera
    sd = np.sqrt(np.diag(solution.adjustment.covariance))
    assert camera.yaw_rad == pytest.approx(CAMERA.yaw_rad, abs=np.radians(1.0))
    assert abs(np.log(camera.standoff_mm / CAMERA.standoff_mm)) < 3.0 * sd[8]


def test_the_common_gauge_error_stays(found, prior):
    """All those picks cannot know the scale better than the gauge is known."""
    references = course_references(found, brick_format("uk-metric"), "front")

    solution = calibrate("front", references, prior)

    sd = float(np.sqrt(solution.adjustment.covariance[8, 8]))
    # gauge and stretcher are each known to 1 %: together 0.7 % at best
    assert sd > 0.0065


def test_a_taped_run_sharpens_the_gauge(found):
    """Ten courses taped at 752 mm."""
    taped = TapedCourses(courses=10, length_mm=752.0, sd_mm=1.5)

    up, _ = course_references(found, brick_format("uk-metric"), "front", taped)

    assert up.pitch_mm == pytest.approx(75.2)
    assert up.pitch_sd_mm < 0.3


def test_scatter_counts_waves_as_few():
    """A wave along the ladder weighs more than as much white scatter."""
    number = np.arange(200.0)
    rng = np.random.default_rng(0)
    white = rng.normal(0.0, 1.0, 200)
    wave = np.sqrt(2.0) * np.sin(number / 15.0)

    assert scatter(white, number) == pytest.approx(1.0, abs=0.2)
    assert scatter(wave, number) > 2.0
