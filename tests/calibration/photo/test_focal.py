"""Focal priors against published definitions and against made-up cameras."""

import dataclasses
import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calibration.errors import InputError
from calibration.photo import (
    FocalPrior,
    LensFacts,
    PhotoFormat,
    PhotoHeader,
    focal_prior,
    focal_prior_from_35mm,
    read_header,
)
from calibration.photo.focal import DEFINITION_SD, FILM_DIAGONAL_MM
from tests.calibration.photo.files import camera_exif, encode, scene, write

CAMERA = (4000, 3000)
PLANE = (4000 / 6.4, 3000 / 4.8)  # px per mm of a sensor of 6.4 x 4.8 mm
TRUE_MM = 28 * 8.0 / FILM_DIAGONAL_MM  # the true length that such a sensor needs


def header(size=CAMERA, orientation=1, **lens) -> PhotoHeader:
    return PhotoHeader(
        path=Path("made-up.jpg"), format=PhotoFormat.JPEG, stored_size_px=size,
        orientation=orientation, lens=LensFacts(**lens), advice=(),
    )  # fmt: skip


def test_the_diagonal_definition():
    """CIPA DCG-001 by hand: 28 * 5000 / 43.2666 = 3235.8, by width 3111.1."""
    prior = focal_prior_from_35mm(28, CAMERA)

    assert prior.focal_px == pytest.approx(3235.75, abs=0.01)
    width_definition_px = 28 * 4000 / 36
    assert abs(prior.focal_px - width_definition_px) < prior.sd_px
    assert 0.04 < prior.sd_px / prior.focal_px < 0.045
    assert prior.principal_point_sd_px == (32, 32)  # 0.8 % of 4000
    assert "28 mm as stated" in prior.source
    assert prior.advice == ()


def test_rounding_to_whole_millimetres_is_counted():
    """Half a millimetre either way weighs more at 13 mm; 13.2 was not rounded."""
    whole = focal_prior_from_35mm(13, CAMERA)
    exact = focal_prior_from_35mm(13.2, CAMERA)

    assert exact.sd_px / exact.focal_px == pytest.approx(DEFINITION_SD)
    assert whole.sd_px / whole.focal_px == pytest.approx(
        math.hypot(DEFINITION_SD, 0.5 / 13 / math.sqrt(3))
    )


@pytest.mark.parametrize("focal", [0, -28, 4.9, 2001, math.nan, math.inf])
def test_impossible_statements_are_refused(focal):
    """The user typed it, so the user hears of it."""
    with pytest.raises(InputError, match="outside 5 to 2000 mm; give the 35-mm"):
        focal_prior_from_35mm(focal, CAMERA)


def test_a_resized_photo_uses_its_own_pixels():
    """The public example: 751 x 563 with EXIF 3264 x 2448 and 29 mm gives 629.1."""
    prior = focal_prior(
        header((751, 563), focal_length_mm=4.15, focal_35mm=29, exif_size_px=(3264, 2448))
    )

    assert prior.focal_px == pytest.approx(629.1, abs=0.1)
    assert "has been resized" in prior.advice[0]


def test_a_cut_photo_uses_the_whole_diagonal():
    """4000 x 2000 out of 4000 x 3000 keeps 3235.8 px; the centre may be 500 px off."""
    prior = focal_prior(header((4000, 2000), focal_35mm=28, exif_size_px=CAMERA))

    assert prior.focal_px == pytest.approx(3235.75, abs=0.01)
    assert prior.principal_point_sd_px[0] == pytest.approx(32)
    assert prior.principal_point_sd_px[1] == pytest.approx(
        math.hypot(32, 1000 / math.sqrt(12))
    )
    assert "cut out of" in prior.advice[0]


def test_cut_and_perhaps_resized_covers_both_focal_lengths():
    """1000 x 500: 3235.8 px if only cut, 808.9 px if then quartered."""
    prior = focal_prior(header((1000, 500), focal_35mm=28, exif_size_px=CAMERA))

    assert prior.focal_px == pytest.approx(math.sqrt(3235.75 * 808.94), rel=1e-4)
    log_sd = prior.sd_px / prior.focal_px
    assert log_sd > math.log(3235.75 / prior.focal_px)
    assert "hardly known" in prior.advice[0]


@given(
    st.sampled_from([CAMERA, (4000, 2000), (2000, 3000), (1000, 500), (2000, 1500)]),
    st.integers(1, 8),
)
def test_turning_the_photo_changes_nothing(size, orientation):
    """The prior of the upright picture does not depend on how it is stored."""
    facts = {"focal_35mm": 28, "focal_length_mm": TRUE_MM}
    facts["focal_plane_px_per_mm"] = PLANE
    straight = focal_prior(header(size, exif_size_px=CAMERA, **facts))
    turned_header = header(size, orientation, exif_size_px=CAMERA, **facts)

    turned = focal_prior(turned_header)

    assert turned.focal_px == pytest.approx(straight.focal_px)
    assert turned.sd_px == pytest.approx(straight.sd_px)
    swap = -1 if turned_header.sideways else 1
    expected = straight.principal_point_sd_px[::swap]
    assert turned.principal_point_sd_px == pytest.approx(expected)


def test_turned_pixels_with_unturned_tags_change_nothing():
    """A program turned the pixels and set the orientation to 1, but kept the size."""
    facts = {"focal_35mm": 28, "exif_size_px": CAMERA}
    straight, turned = (focal_prior(header(s, **facts)) for s in (CAMERA, (3000, 4000)))

    assert turned == straight


@pytest.mark.parametrize(
    "facts",
    [
        {},
        {"focal_length_mm": 4.2},
        {"focal_plane_px_per_mm": PLANE},
        {"exif_size_px": CAMERA, "camera_key": "1234"},
        {"focal_length_mm": 4.2, "focal_plane_px_per_mm": (72 / 25.4, 72 / 25.4)},
        {"focal_length_mm": 4.2, "focal_plane_px_per_mm": (PLANE[0], 2 * PLANE[1])},
    ],
)
def test_too_little_is_no_prior(facts):
    """Without the sensor's size a focal length is no angle."""
    assert focal_prior(header(**facts)) is None


def test_the_sensors_resolution_alone():
    """5.18 mm on 625 px per mm; trusted half as much as with a second witness."""
    prior = focal_prior(header(focal_length_mm=TRUE_MM, focal_plane_px_per_mm=PLANE))

    assert prior.focal_px == pytest.approx(TRUE_MM * 625)
    assert prior.sd_px / prior.focal_px == pytest.approx(0.08)
    assert "sensor's resolution" in prior.source


def test_the_sensors_resolution_of_a_resized_photo():
    """Half the pixels on the same sensor: half the focal length."""
    facts = {"focal_length_mm": TRUE_MM, "focal_plane_px_per_mm": PLANE}
    prior = focal_prior(header((2000, 1500), exif_size_px=CAMERA, **facts))

    assert prior.focal_px == pytest.approx(TRUE_MM * 625 / 2)


def test_two_agreeing_readings_are_joined():
    """They stem from one maker, so agreement does not narrow the prior."""
    facts = {"focal_length_mm": TRUE_MM * 1.05, "focal_plane_px_per_mm": PLANE}
    prior = focal_prior(header(focal_35mm=28, **facts))

    assert prior.focal_px == pytest.approx(3235.75 * math.sqrt(1.05), rel=1e-5)
    assert prior.sd_px / prior.focal_px >= DEFINITION_SD
    assert "35-mm-equivalent" in prior.source
    assert "sensor's resolution" in prior.source
    assert prior.advice == ()


def test_two_disagreeing_readings_widen_the_prior():
    """Factor 1.5 apart: the mean, both inside one standard deviation, and a doubt."""
    facts = {"focal_length_mm": TRUE_MM * 1.5, "focal_plane_px_per_mm": PLANE}
    prior = focal_prior(header(focal_35mm=28, **facts))

    assert prior.focal_px == pytest.approx(3235.75 * math.sqrt(1.5), rel=1e-5)
    assert prior.sd_px / prior.focal_px > math.log(1.5) / 2
    assert "contradicts itself" in prior.advice[0]


def test_digital_zoom_covers_both_conventions():
    """Twofold zoom: 3235.8 px if the tag includes it, 6471.5 px if not."""
    prior = focal_prior(header(focal_35mm=28, digital_zoom=2.0))

    assert prior.focal_px == pytest.approx(3235.75 * math.sqrt(2), rel=1e-5)
    assert prior.sd_px / prior.focal_px > math.log(2) / 2
    assert "2-fold digital zoom" in prior.advice[0]


def test_a_wide_picture_of_a_phone_is_doubted():
    """16:9 from a 4:3 sensor: 2970 px or 3235.8 px."""
    prior = focal_prior_from_35mm(28, (4000, 2250))

    readings = 28 * math.hypot(4000, 2250) / FILM_DIAGONAL_MM, 3235.75
    assert readings[0] < prior.focal_px < readings[1]
    assert all(abs(r - prior.focal_px) < 1.1 * prior.sd_px for r in readings)
    assert "whole sensor" in prior.advice[0]


def test_most_made_up_cameras_lie_within_two_deviations():
    """Makers of both definitions, lenses 3 % off: 95 % within two sd, seeded."""
    rng = np.random.default_rng(20)
    hits = []
    for _ in range(2000):
        true = rng.uniform(13, 80)
        by_width = rng.random() < 0.3
        stated = true * (0.9611 if by_width else 1) * rng.normal(1, 0.02)
        prior = focal_prior_from_35mm(max(5, round(stated)), CAMERA)
        focal_px = true * 5000 / FILM_DIAGONAL_MM
        hits.append(abs(prior.focal_px - focal_px) <= 2 * prior.sd_px)

    assert np.mean(hits) > 0.95


def test_from_a_file_to_the_prior(tmp_path):
    """The whole way, with a sideways phone picture."""
    data = encode(scene(4000 // 25, 3000 // 25), "JPEG", camera_exif(28, CAMERA, 6))

    prior = focal_prior(read_header(write(tmp_path, data)))

    assert prior.focal_px == pytest.approx(3235.75 / 25, rel=1e-5)
    assert prior.principal_point_sd_px == pytest.approx((1.28, 1.28))


@pytest.mark.parametrize("name", ["focal_px", "sd_px"])
@pytest.mark.parametrize("value", [0.0, -1.0, math.nan, math.inf])
def test_a_prior_that_exists_is_valid(name, value):
    """Zero or infinite spread would break the adjustment later."""
    good = FocalPrior(
        focal_px=3000.0,
        sd_px=120.0,
        principal_point_sd_px=(32.0, 32.0),
        source="made up",
    )

    with pytest.raises(ValueError, match="positive finite"):
        dataclasses.replace(good, **{name: value})
