"""What is said of a photo before time is spent on it."""

from pathlib import Path

import cv2
import numpy as np
import pytest
from PIL import Image

from calibration.photo import load_upright
from photomeasure.job.schema import ElevationSpec
from photomeasure.photo_look import BLURRED, about_lines, blur, look_at

SAMPLES = Path(__file__).parents[2] / "sample_images"


def test_a_good_photo_is_left_in_peace():
    """Twelve megapixels with the lens in the file: nothing to warn of."""
    look = look_at(SAMPLES / "front.jpg")

    assert look.warnings == ()
    assert look.facts[0] == "4032 × 3024 pixels (12 megapixels)."
    assert "lens is known" in look.facts[1]


def test_a_messengers_copy_is_named():
    """Small and without a lens: ask for the original."""
    look = look_at(SAMPLES / "front-messenger.jpg")

    assert any("messenger" in warning for warning in look.warnings)


@pytest.mark.parametrize(
    ("size", "words"), [((640, 480), "very small"), ((2048, 1536), "messenger")]
)
def test_small_pictures(tmp_path, size, words):
    """The smaller, the stronger the words."""
    path = tmp_path / "small.jpg"
    Image.fromarray(
        np.random.default_rng(1).integers(0, 255, (*size[::-1], 3), np.uint8)
    ).save(path)

    assert words in look_at(path).warnings[0]


@pytest.mark.parametrize(("size", "cut"), [((1431, 1200), True), ((1600, 1200), False)])
def test_a_cut_picture_without_camera_data_is_named(tmp_path, size, cut):
    """The middle of the lens is lost, and only the uncut original has it."""
    path = tmp_path / "sent.jpg"
    pixels = np.random.default_rng(1).integers(0, 255, (*size[::-1], 3), np.uint8)
    Image.fromarray(pixels).save(path)

    assert any("uncut original" in said for said in look_at(path).warnings) is cut


@pytest.mark.parametrize("name", ["front", "gable"])
def test_blur_is_told_from_sharpness(name):
    """A blur of six pixels is called so, one of two is not; more blur scores higher."""
    sharp = load_upright(SAMPLES / f"{name}.jpg")
    scores = []
    for sigma in (0.0, 2.0, 6.0, 10.0):
        soft = cv2.GaussianBlur(sharp, (0, 0), sigma) if sigma else sharp
        scores.append(blur(cv2.resize(soft, (1600, 1200), interpolation=cv2.INTER_AREA)))

    assert scores == sorted(scores)
    assert scores[1] < BLURRED < scores[2]


def test_a_blurred_photo_is_warned_of(tmp_path):
    """The warning says what to do."""
    soft = cv2.GaussianBlur(load_upright(SAMPLES / "front.jpg"), (0, 0), 8.0)
    Image.fromarray(soft).save(tmp_path / "soft.jpg")

    assert any("blurred" in warning for warning in look_at(tmp_path / "soft.jpg").warnings)


def test_a_picture_of_nothing_is_called_blurred():
    """Where there is no detail nothing can be picked."""
    assert blur(np.full((200, 300, 3), 128, np.uint8)) == 1.0


@pytest.mark.parametrize(
    ("ends", "role", "told"),
    [
        ([[0, 500], [3000, 500]], "eaves", True),
        ([[500, 2], [3000, 500]], "rake", True),
        ([[500, 500], [3999, 500]], "eaves", True),
        ([[500, 500], [3000, 500]], "eaves", False),
        ([[0, 500], [3000, 500]], "wall", False),
    ],
)
def test_rooflines_that_the_picture_cuts_off(ends, role, told):
    """A roofline that ends at the border may go on outside."""
    line = {"name": "x", "role": role, "picks": ends}
    spec = ElevationSpec.model_validate({"name": "front", "lines": [line]})

    assert bool(about_lines(spec, (4000, 3000))) is told
