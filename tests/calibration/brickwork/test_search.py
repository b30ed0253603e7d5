"""Walls are looked for at the size at which their courses are plainest."""

import numpy as np

from calibration.brickwork.raster import grey, pyramid
from calibration.brickwork.read import read_brickwork, view_of
from calibration.brickwork.search import Candidate, candidates
from calibration.brickwork.tiles import LONGEST_PERIOD_PX
from tests.brick.chance import prior_for
from tests.brick.walls import Wall, look, photograph

COURSE_PX = 26.0


def test_courses_twice_as_high_as_what_repeats_are_left_to_the_smaller_copy():
    camera = look(distance_mm=1800.0)
    pixels = photograph(Wall().paint, camera, np.random.default_rng(1))
    prior = prior_for(pixels, camera.focal_px)
    levels = pyramid(grey(pixels), 64)

    large = list(candidates(view_of(prior), levels, levels[:1], None))
    small = list(candidates(view_of(prior), levels, levels[1:2], None))

    assert all(_course_px(found) < LONGEST_PERIOD_PX for found in large)
    assert any(abs(_course_px(found) / COURSE_PX - 1.0) < 0.02 for found in small)
    assert abs(read_brickwork(pixels, prior).course_px / COURSE_PX - 1.0) < 0.02


def _course_px(found: object) -> float:
    assert isinstance(found, Candidate)
    return found.course_px
