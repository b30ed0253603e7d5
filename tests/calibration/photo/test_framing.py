"""Full frame, resized, cut, or cut and resized."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calibration.photo.framing import find_framing, sensor_spread

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
    """Programs that cut usually rewrite the remembered size as well."""
    whole = sensor_spread((3000, 2700))

    assert whole.centre_sd_px == pytest.approx((600 / math.sqrt(12), 0))
    assert "no camera offers" in whole.advice[0]
