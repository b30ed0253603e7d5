"""Full frame, resized, cut, or cut and resized."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calibration.photo.framing import (
    CUT_LOG_SD,
    CUT_SHARE,
    find_framing,
    sensor_spread,
    unknown_framing,
)

CAMERA = (4000, 3000)


def test_without_exif_the_picture_is_the_frame():
    """Nothing to compare with."""
    framing = find_framing(CAMERA, None)

    assert framing.frame_px == CAMERA
    assert framing.log_sd == 0
    assert framing.centre_sd_px == (0, 0)
    assert framing.advice == ()


@pytest.mark.parametrize("size", [CAMERA, CAMERA[::-1]])
def test_the_untouched_picture_is_the_frame(size):
    """Also when a program turned the pixels and not the tags."""
    framing = find_framing(size, CAMERA)

    assert framing.frame_px == size
    assert framing.advice == ()


@pytest.mark.parametrize(
    ("size", "exif"), [((751, 563), (3264, 2448)), ((600, 800), (4032, 3024))]
)
def test_a_resized_picture_is_its_own_frame(size, exif):
    """The file's own size counts, never the remembered one."""
    framing = find_framing(size, exif)

    assert framing.frame_px == size
    assert framing.log_sd == 0
    assert "has been resized" in framing.advice[0]


@pytest.mark.parametrize(
    ("size", "exif", "frame"),
    [
        ((4000, 2000), CAMERA, (4000, 3000)),
        ((3000, 3000), CAMERA, (4000, 3000)),
        ((2000, 3000), CAMERA, (4000, 3000)),
        ((3000, 2500), CAMERA, (3000, 4000)),  # turned by a program, then cut
        ((3984, 2400), CAMERA, (4000, 3000)),  # a part of a block dropped
    ],
)
def test_a_cut_picture_keeps_the_whole_frame(size, exif, frame):
    """One side unchanged: the focal length stays, the centre is lost."""
    framing = find_framing(size, exif)

    assert framing.frame_px == frame
    assert framing.log_sd == 0
    for outer, inner, sd in zip(frame, size, framing.centre_sd_px, strict=True):
        assert sd == pytest.approx((outer - inner) / math.sqrt(12))
    assert "4000" in framing.advice[0]
    assert "uncut original" in framing.advice[0]


def test_cut_and_perhaps_resized_covers_both_readings():
    """1000 x 500 from 4000 x 3000: only cut, or cut to 4000 x 2000 and quartered."""
    framing = find_framing((1000, 500), CAMERA)

    assert framing.frame_px == pytest.approx((2000, 1500))
    low, high = (2000 * math.exp(sign * framing.log_sd) for sign in (-1, 1))
    assert low == pytest.approx(1000)
    assert high == pytest.approx(4000)
    assert framing.centre_sd_px[0] == pytest.approx(3000 / math.sqrt(12))
    assert "perhaps resized" in framing.advice[0]


def test_enlarged_beyond_the_camera_is_as_doubtful():
    """A stitched or enlarged picture remembers a smaller one."""
    framing = find_framing((8000, 3000), (4000, 3000))

    assert framing.log_sd == pytest.approx(math.log(2) / 2)
    assert framing.frame_px[0] == pytest.approx(4000 * math.sqrt(2))


sides = st.integers(200, 9000)


@given(sides, sides, sides, sides)
def test_turning_everything_changes_nothing(width, height, exif_width, exif_height):
    """Portrait and landscape are the same camera."""
    flat = find_framing((width, height), (exif_width, exif_height))
    tall = find_framing((height, width), (exif_height, exif_width))

    assert tall.frame_px == pytest.approx(flat.frame_px[::-1])
    assert tall.log_sd == pytest.approx(flat.log_sd)
    assert tall.centre_sd_px == pytest.approx(flat.centre_sd_px[::-1])


@given(sides, sides, st.floats(0.2, 1))
def test_resizing_never_looks_like_cutting(width, height, scale):
    """Rounding both sides to whole pixels is allowed for."""
    small = round(width * scale), round(height * scale)

    framing = find_framing(small, (width, height))

    assert framing.frame_px == small


@pytest.mark.parametrize("frame", [(4000, 3000), (3000, 4000), (6000, 4000), (4624, 3468)])
def test_sensors_shapes_leave_no_doubt(frame):
    """4:3 and 3:2 are used whole."""
    whole = sensor_spread(frame)

    assert whole.frame_px == frame
    assert whole.log_sd == 0
    assert whole.advice == ()


@pytest.mark.parametrize("frame", [(4000, 2250), (2250, 4000), (3000, 3000), (4000, 2000)])
def test_in_camera_shapes_widen_the_focal_length_only(frame):
    """The camera cuts evenly, but perhaps states the whole sensor's equivalent."""
    whole = sensor_spread(frame)

    own = math.hypot(*frame)
    around = 5000.0  # every example is cut from 4000 x 3000
    assert math.hypot(*whole.frame_px) == pytest.approx(math.sqrt(own * around))
    assert whole.log_sd == pytest.approx(math.log(around / own) / 2)
    assert whole.centre_sd_px == (0, 0)
    assert len(whole.advice) == 1


def test_an_odd_shape_was_cut_by_somebody():
    """Programs that cut usually rewrite the remembered size as well, and cut all round."""
    whole = sensor_spread((3000, 2700))

    assert whole.centre_sd_px == pytest.approx((CUT_SHARE * 3000, CUT_SHARE * 2700))
    assert whole.log_sd > CUT_LOG_SD
    assert "no camera offers" in whole.advice[0]


def test_a_strip_lies_anywhere_in_its_frame():
    """What the shape needs at least, where that is more than people usually cut."""
    whole = sensor_spread((4000, 1200))

    assert whole.centre_sd_px == pytest.approx((CUT_SHARE * 4000, 1800 / math.sqrt(12)))


@pytest.mark.parametrize("size", [(1600, 1200), (1200, 1600), (2048, 1536), (1600, 900)])
def test_shapes_that_cameras_offer_are_believed_without_camera_data(size):
    """Messengers shrink pictures and leave their shape."""
    framing = unknown_framing(size)

    assert framing.centre_sd_px == (0, 0)
    assert framing.advice == ()


@pytest.mark.parametrize("size", [(1200, 1200), (1500, 1200), (1431, 1200), (900, 1333)])
def test_other_shapes_were_cut_and_lost_their_middle(size):
    """A square most of all: it is what people and programs cut to."""
    framing = unknown_framing(size)

    assert all(
        sd >= CUT_SHARE * side for sd, side in zip(framing.centre_sd_px, size, strict=True)
    )
    assert "uncut original" in framing.advice[0]


@given(sides, sides)
def test_turning_a_cut_picture_changes_nothing(width, height):
    """Nobody says which side was cut."""
    flat, tall = unknown_framing((width, height)), unknown_framing((height, width))

    assert tall.centre_sd_px == pytest.approx(flat.centre_sd_px[::-1])
