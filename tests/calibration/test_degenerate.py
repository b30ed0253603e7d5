"""References that cannot fix the geometry: each refused, by class, in fitting words."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from calibration.camera import Camera
from calibration.errors import (
    AmbiguousViewpoint,
    DegenerateGeometry,
    EstimationError,
    NotConverged,
)
from calibration.references import (
    CountDirection,
    Courses,
    Points,
    Rectangle,
    Reference,
    Soffit,
    Straight,
    TapeDirection,
)
from calibration.solution import calibrate
from tests.calibration.mixes import (
    GAUGE_MM,
    MIXES,
    Rng,
    courses,
    level,
    plumb,
    rectangle,
    spot,
    tape,
)
from tests.calibration.views import likely_camera, pick, prior_of

SEEDS = range(5)

TURNED = "do not fix how the wall is turned"
SCALE = "nothing in the references fixes the scale"


def in_a_row(camera: Camera, rng: Rng, count: int) -> Points:
    """Return points along one sloping line."""
    a, b = spot(camera, 0.2, 0.3), spot(camera, 0.8, 0.6)
    wall = a + np.linspace(0.0, 1.0, count)[:, None] * (b - a)
    picks = pick(camera, wall, rng)
    return Points(name="points", picks_px=picks, wall_mm=wall - a, sd_mm=2.0)


def in_a_column(camera: Camera, rng: Rng) -> Courses:
    """Return a ladder counted up one vertical line: nothing across the wall."""
    counts = np.arange(0.0, 30.0, 5.0)
    foot = spot(camera, 0.5, 0.1)
    wall = foot + np.c_[np.zeros(6), GAUGE_MM * counts]
    return Courses(
        name="ladder",
        picks_px=pick(camera, wall, rng),
        counts=counts,
        pitch_mm=GAUGE_MM,
        pitch_sd_mm=0.01 * GAUGE_MM,
        pitch_key="gauge",
    )


def two_of(ladder: Courses) -> Courses:
    """Return a ladder of two picks."""
    return replace(ladder, picks_px=ladder.picks_px[:2], counts=ladder.counts[[0, 2]])


def tiny(camera: Camera, rng: Rng) -> Rectangle:
    """Return a rectangle of 60 mm, some twenty pixels wide."""
    middle = spot(camera, 0.5, 0.5)
    corners = middle + 60.0 * np.array([[0, 0], [1, 0], [1, 1], [0, 1]])
    picks = pick(camera, corners, rng)
    return Rectangle(name="tile", picks_px=picks, width_mm=60.0, height_mm=60.0)


def soffit(camera: Camera, rng: Rng) -> Soffit:
    """Return a soffit alone: it has no size that anybody stated."""
    picks = [level(camera, rng, up).picks_px for up in (0.7, 0.8)]
    return Soffit(name="soffit", picks_px=np.concatenate(picks), wall_picks=2)


def edge(camera: Camera, rng: Rng) -> Straight:
    """Return a straight edge."""
    return Straight(name="edge", picks_px=in_a_row(camera, rng, 6).picks_px)


CASES: dict[str, tuple[Callable[[Camera, Rng], list[Reference]], str]] = {
    "one level tape": (lambda c, r: [tape(c, r, TapeDirection.LEVEL)], TURNED),
    "one plumb tape": (lambda c, r: [tape(c, r, TapeDirection.PLUMB)], TURNED),
    "one free tape": (lambda c, r: [tape(c, r, TapeDirection.FREE)], TURNED),
    "a tape and a level line beside it": (
        lambda c, r: [tape(c, r, TapeDirection.LEVEL), level(c, r, 0.8)],
        TURNED,
    ),
    "level lines only": (lambda c, r: [level(c, r, 0.2), level(c, r, 0.8)], SCALE),
    "levels and plumbs, no size": (
        lambda c, r: [
            level(c, r, 0.2),
            level(c, r, 0.8),
            plumb(c, r, 0.2),
            plumb(c, r, 0.8),
        ],
        SCALE,
    ),
    "a rectangle of unknown size": (
        lambda c, r: [replace(rectangle(c, r), width_mm=None, height_mm=None)],
        SCALE,
    ),
    "a straight edge only": (lambda c, r: [edge(c, r)], SCALE),
    "a soffit only": (lambda c, r: [soffit(c, r)], SCALE),
    "a straight edge and a tape": (
        lambda c, r: [edge(c, r), tape(c, r, TapeDirection.FREE)],
        TURNED,
    ),
    "points in a row": (lambda c, r: [in_a_row(c, r, 6)], TURNED),
    "three points in a row": (lambda c, r: [in_a_row(c, r, 3)], TURNED),
    "two points": (lambda c, r: [in_a_row(c, r, 2)], TURNED),
    "a ladder in one column": (lambda c, r: [in_a_column(c, r)], TURNED),
    "a ladder of two picks": (
        lambda c, r: [two_of(courses(c, r, CountDirection.UP))],
        f"{TURNED}|{SCALE}",  # neither is fixed; which is named depends on the view
    ),
}
"""What was given, and words of the refusal."""


@pytest.mark.parametrize("focal_known", [True, False], ids=["focal known", "no focal"])
@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("case", CASES)
def test_too_little_is_refused_for_what_it_lacks(case, seed, focal_known):
    """No table of too few references gives a number; each says what is not fixed."""
    make, words = CASES[case]
    rng = np.random.default_rng(seed)
    camera = likely_camera(rng)

    with pytest.raises(DegenerateGeometry, match=words):
        calibrate("front", make(camera, rng), prior_of(camera, focal_known=focal_known))


@pytest.mark.parametrize("case", CASES)
def test_every_refusal_says_what_to_add(case):
    """The second half of the sentence names a reference that a person can take."""
    make, _ = CASES[case]
    rng = np.random.default_rng(0)
    camera = likely_camera(rng)
    with pytest.raises(EstimationError) as caught:
        calibrate("front", make(camera, rng), prior_of(camera))

    assert caught.value.remedy.startswith("add ")
    assert str(caught.value).endswith(".")


def test_the_cases_become_determined_by_what_is_asked_for():
    """The table above can fail: one tape with levels and plumbs is a measured wall."""
    rng = np.random.default_rng(0)
    camera = likely_camera(rng)
    references = MIXES["tape, levels, plumbs"](camera, rng)

    assert calibrate("front", references, prior_of(camera)).reliability.passed


@pytest.mark.parametrize("seed", SEEDS)
def test_a_rectangle_of_twenty_pixels_is_refused(seed):
    """Its view is loose, or two views fit: either way there is no number."""
    rng = np.random.default_rng(seed)
    camera = likely_camera(rng)

    with pytest.raises((DegenerateGeometry, AmbiguousViewpoint)):
        calibrate("front", [tiny(camera, rng)], prior_of(camera))


def test_picks_all_at_one_spot_are_refused():
    """Four picks on one pixel explain no viewpoint, and divide nothing by zero."""
    camera = likely_camera(np.random.default_rng(0))
    spot_px = np.full((4, 2), 1000.0)
    points = Points(name="points", picks_px=spot_px, wall_mm=np.eye(4, 2), sd_mm=1.0)

    with pytest.raises((DegenerateGeometry, NotConverged)):
        calibrate("front", [points], prior_of(camera))


def test_corners_in_the_wrong_order_do_not_pass_as_a_rectangle():
    """Bottom left, top right, bottom right, top left: a bow-tie is no view of a door."""
    rng = np.random.default_rng(1)
    camera = likely_camera(rng)
    crossed = rectangle(camera, rng)
    crossed = replace(crossed, picks_px=crossed.picks_px[[0, 2, 1, 3]])

    with pytest.raises(EstimationError):
        calibrate("front", [crossed], prior_of(camera))


def test_a_mirrored_picture_does_not_pass_as_the_wall():
    """A picture that was mirrored left to right shows a plan that no camera can see."""
    rng = np.random.default_rng(1)
    camera = likely_camera(rng)
    (points,) = MIXES["points"](camera, rng)
    mirrored = replace(points, picks_px=points.picks_px * [-1.0, 1.0] + [3999.0, 0.0])

    with pytest.raises(EstimationError):
        calibrate("front", [mirrored], prior_of(camera))
