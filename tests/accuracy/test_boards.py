"""Lengths on real photographs against a printed grid: errors, intervals, lens.

Each of the 26 photos is measured once a variant, the reference in another quarter of
the board each time; ``python -m tests.accuracy.boards`` takes all quarters.
"""

from functools import cache

import numpy as np
import pytest

from photomeasure.results import RefusedElevation
from tests.accuracy import boards
from tests.accuracy.board_jobs import (
    BY_HAND,
    CORNER_SD_PX,
    FLAT_SD_MM,
    LIMITS,
    PRINT_SD_MM,
    VARIANTS,
    whole_board,
)
from tests.accuracy.board_shape import board_shape
from tests.accuracy.chessboards import (
    FOLDER,
    NAMES,
    PUBLISHED_FOCAL_PX,
    PUBLISHED_RADIAL,
    WIDE_WINDOW_PX,
    corner_noise_px,
    find_board,
)
from tests.accuracy.score import summarise

pytestmark = [
    pytest.mark.photographs,
    pytest.mark.skipif(
        not FOLDER.is_dir(), reason="the chessboard photos of opencv-doc are not installed"
    ),
]

LEAST_COVERAGE = 0.90
"""Of intervals that state 95 %, on photos whose errors are common to all their lengths
(measuring on real photographs, a wider bar than the 93 % of simulation)."""

MISFIT = (0.6, 1.28)
"""Root mean square of error per standard uncertainty. Above: one, and two standard
deviations of a root mean square over 26 photos, 1 / sqrt(52) each. Below: intervals so
wide that half of them would do are of no use."""

LENS_MISFIT = 1 + 3 / np.sqrt(26)
"""The same for one number of each of 13 photos, three standard deviations."""

WIDEST_PERCENT = 1.0
"""Mean half-width that is still worth having, with corners found by program."""

REFUSED_BY_HAND = 2
"""Of 26 photos, half of them nearly frontal, with clicks of 0.3 % of the board."""

MOST = 0.75
"""Of the lengths from photos with straight edges: three in four."""

MIDDLE = 0.5
"""Radius, focal lengths, where the lens is compared: 268 px, most of the way out."""

ONE_PX = 1.0

run = cache(boards.run)
limits = {variant.key: variant for variant in LIMITS}


def titled(variant):
    return variant.key


@pytest.mark.parametrize("variant", VARIANTS + BY_HAND, ids=titled)
def test_intervals_hold_the_true_length(variant):
    """A fifth of the board, a lens of 15 % barrel unknown, forty lengths a photo."""
    outcome = run(variant)

    assert outcome.score.coverage >= LEAST_COVERAGE
    assert MISFIT[0] <= outcome.score.rms_of_u <= MISFIT[1]


@pytest.mark.parametrize("variant", VARIANTS, ids=titled)
def test_no_photo_is_refused_or_doubted_without_reason(variant):
    """Corners good to an eighth of a pixel: every photo, every length, and narrow."""
    outcome = run(variant)

    assert outcome.refused == {}
    assert outcome.doubted == 0
    assert outcome.score.half_width_percent <= WIDEST_PERCENT


@pytest.mark.parametrize("variant", BY_HAND, ids=titled)
def test_clumsy_picks_are_seldom_refused(variant):
    """What cannot be told from its mirror image is refused, and little else."""
    assert sum(run(variant).refused.values()) <= REFUSED_BY_HAND


@pytest.mark.parametrize("variant", VARIANTS, ids=titled)
def test_the_lens_is_found_as_published(variant):
    """Left camera, each photo alone, against the calibration from thirteen."""
    lenses = [lens for lens in run(variant).lenses if lens.photo.startswith("left")]
    published = sum(k * MIDDLE**n for k, n in zip(PUBLISHED_RADIAL, (2, 4, 6), strict=True))
    found, sd = np.array([lens.displacement(MIDDLE) for lens in lenses]).T
    focal = [(lens.focal_px - PUBLISHED_FOCAL_PX) / lens.focal_sd_px for lens in lenses]

    assert np.sqrt(np.mean(((found - published) / sd) ** 2)) <= LENS_MISFIT
    assert np.sqrt(np.mean(np.square(focal))) <= LENS_MISFIT
    assert np.all(sd < abs(published) / 3.0)  # found, not merely allowed


def test_a_stronger_statement_is_worth_more():
    """Level and plumb lines fix the turn that a small rectangle leaves open."""
    rectangle, _, tapes, focal = (run(v).score.half_width_percent for v in VARIANTS)

    assert tapes < rectangle
    assert focal < rectangle


def test_brickwork_is_rougher_than_a_board():
    """Flatness unstated is 4 mm at a third of a metre: true, and far too wide."""
    score = run(limits["brickwork"]).score

    assert score.coverage == 1.0
    assert score.half_width_percent > 3.0 * run(VARIANTS[0]).score.half_width_percent


def test_a_lens_that_is_no_phones_is_found_by_straight_edges():
    """Nobody said that the lens is unknown: the edges do, fifteen spreads off.

    Where a wrong rectangle would explain nearly as much, the result doubts itself and
    its intervals are wide; the others, most, are as narrow as with a stated lens.
    """
    outcome = run(limits["phone"])
    vouched = outcome.vouched

    assert outcome.refused == {}
    assert outcome.score.coverage >= LEAST_COVERAGE
    assert len(vouched) >= MOST * len(outcome.readings)
    assert summarise(vouched).coverage >= LEAST_COVERAGE
    assert summarise(vouched).half_width_percent <= WIDEST_PERCENT


def test_a_lens_that_nothing_shows_is_never_passed_over():
    """Four corners fit many a lens. Lengths may be wrong, but never vouched for."""
    outcome = run(limits["nothing"])

    assert outcome.score.coverage < LEAST_COVERAGE  # so the words are needed
    assert outcome.vouched == ()
    assert outcome.warned + outcome.refused.get("ReferencesDisagree", 0) == outcome.jobs


@pytest.mark.parametrize("name", NAMES)
def test_all_corners_of_a_photo_agree(name):
    """The whole board as reference: each photo by itself, left02 among them."""
    elevation = boards.measured(whole_board(find_board(name)))

    assert not isinstance(elevation, RefusedElevation)
    assert not boards.is_doubted(elevation)


def test_corners_drawn_to_their_neighbours_are_named():
    """Left02 with the window of the published calibration: its bad view, reproduced.

    The first pick that the result names is the one that moved farthest.
    """
    good, bad = (
        find_board("left02", *window).corners_px for window in ((), (WIDE_WINDOW_PX,))
    )
    moved = np.hypot(*(bad - good).transpose(2, 1, 0)).ravel()  # in the job's order

    elevation = boards.measured(whole_board(find_board("left02", WIDE_WINDOW_PX)))

    reliability = elevation.solution.reliability
    assert np.sum(moved > ONE_PX) == 6
    assert not reliability.passed
    assert reliability.suspects[0].worst.pick == np.argmax(moved)
    assert any("check it" in said for said in elevation.cautions)


def test_what_the_jobs_state_is_what_the_photos_show():
    """Scatter of picks by third differences; print and flatness by a bundle."""
    noise = np.median([corner_noise_px(find_board(name)) for name in NAMES])
    shape = board_shape()

    assert noise == pytest.approx(CORNER_SD_PX, abs=0.01)
    assert 0.05 < shape.in_plane_mm <= PRINT_SD_MM
    assert 0.05 < shape.out_of_plane_mm <= FLAT_SD_MM
    assert shape.free_px < noise < shape.nominal_px
