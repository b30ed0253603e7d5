"""Sheets in synthetic photographs: found, measured without bias, doubts told."""

import os
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import pytest

from calibration.sheet import (
    COARSE,
    FINE,
    LAYOUTS,
    LEAST_CELL_PX,
    FoundSheet,
    RefusedSheet,
    Sheet,
    find_sheets,
)
from calibration.sheet.layout import Rect
from tests.calibration.sheet.photographs import CLEAN, Look, Paper, photograph, view_at
from tests.pictures.chance import random_scene

LENGTH_BIAS = 0.0005  # the project's goal for measured lengths, relative
CORNER_RMS_PX = 0.06  # published for calibration boards; ours must not be worse
PHONE = Look(blur_px=0.8, noise=4.0, jpeg=88, sharpening=1.0)
MESSENGER = Look(blur_px=1.0, noise=4.0, jpeg=60, sharpening=0.8)
SHADED = Look(jpeg=90, shadow=(0.6, 0.3))

SAMPLES = Path(__file__).parents[3] / "sample_images"
OPENCV_DOC = Path(os.environ.get("OPENCV_DOC", "/usr/share/doc/opencv-doc"))


def taken(cell_px, paper, look, rng, **how):
    """Return a photo of one paper in its middle, the paper as it hangs, and the view."""
    side = max(300, int(7.5 * cell_px))
    shift = tuple(rng.uniform(-5.0, 5.0, 2))
    cell_mm = paper.sheet.layout.cell_mm if paper.sheet else COARSE.cell_mm
    view = view_at(cell_px, cell_mm=cell_mm, size_px=(side, side), shift_px=shift, **how)
    hung = replace(paper, centre_mm=(*view.aim_mm, 0.0))
    return photograph(view, [hung], look, rng), hung, view


def only(found):
    """Return the one usable sheet."""
    (sheet,) = found
    assert isinstance(sheet, FoundSheet)
    return sheet


def errors_px(found, paper, view):
    """Return the errors of the corners (N, 2) and their true places (N, 2)."""
    true = view.camera.project(paper.on_wall(found.drawn_mm))
    return found.corners_px - true, true


def length_bias(errors, true):
    """Return the relative error of the size, least squares."""
    centred = true - true.mean(axis=0)
    return float(np.sum(errors * centred) / np.sum(centred**2))


@pytest.mark.parametrize("look", [CLEAN, PHONE, MESSENGER, SHADED])
@pytest.mark.parametrize("layout", [COARSE, FINE])
@pytest.mark.parametrize("cell_px", [24.0, 40.0])
def test_corners_are_unbiased(cell_px, layout, look):
    """In every light: right sheet, all numbers, size to 0.05 %, stated spread holds."""
    rng = np.random.default_rng([int(cell_px), layout.columns])
    biases, squares, stated = [], [], []
    for number in (1, 4, 8):
        paper = Paper(Sheet(layout, number), turn_rad=rng.uniform(-0.3, 0.3))
        how = {"yaw_rad": rng.uniform(-0.6, 0.6), "tilt_rad": 0.12}
        photo, hung, view = taken(cell_px, paper, look, rng, **how)
        found = only(find_sheets(photo))
        errors, true = errors_px(found, hung, view)
        assert found.sheet == paper.sheet
        biases.append(length_bias(errors, true))
        squares.append(np.mean(errors**2))
        stated.append(found.sd_px**2)

    assert abs(np.mean(biases)) < LENGTH_BIAS
    assert np.sqrt(np.mean(squares)) < CORNER_RMS_PX
    # Six in ten thousand: the spread of the mean of three photos of some 15 corners.
    assert np.mean(squares) < 1.5 * np.mean(stated)


@pytest.mark.parametrize("yaw_deg", [0, 15, 30, 45])
@pytest.mark.parametrize("turn_deg", [0, 45, 90, 180])
def test_any_way_up_and_from_the_side(yaw_deg, turn_deg):
    """A sheet need not be level: corners keep their names however it hangs."""
    rng = np.random.default_rng([yaw_deg, turn_deg])
    paper = Paper(Sheet(COARSE, 5), turn_rad=np.radians(turn_deg + 3.0))
    photo, hung, view = taken(32.0, paper, PHONE, rng, yaw_rad=np.radians(yaw_deg))
    errors, _ = errors_px(only(find_sheets(photo)), hung, view)

    assert np.abs(errors).max() < 0.3


@pytest.mark.parametrize("layout", LAYOUTS.values())
def test_every_number_is_read(layout):
    """All eight sheets of a layout are told apart."""
    rng = np.random.default_rng(7)
    for number in range(1, len(layout.codes) + 1):
        paper = Paper(Sheet(layout, number), turn_rad=rng.uniform(-3.0, 3.0))
        photo, _, _ = taken(20.0, paper, PHONE, rng)

        assert only(find_sheets(photo)).sheet == paper.sheet


def test_large_squares_are_found_in_the_small_picture():
    """A sheet held before the camera fills it: measured at full size."""
    rng = np.random.default_rng(1)
    paper = Paper(Sheet(FINE, 2), turn_rad=0.1)
    photo, hung, view = taken(70.0, paper, PHONE, rng, yaw_rad=0.3)
    errors, _ = errors_px(only(find_sheets(photo)), hung, view)

    assert np.abs(errors).max() < 0.1


def test_too_small_is_refused_with_the_reason():
    """Squares of eleven pixels are recognised and refused, not measured badly."""
    rng = np.random.default_rng(2)
    photo, _, _ = taken(11.5, Paper(Sheet(COARSE, 3)), Look(), rng)
    (refused,) = find_sheets(photo)

    assert isinstance(refused, RefusedSheet)
    assert refused.sheet == Sheet(COARSE, 3)
    assert f"need {LEAST_CELL_PX:.0f}" in refused.reason


def test_blur_is_refused_with_the_reason():
    """A shaken photo of large enough squares."""
    rng = np.random.default_rng(3)
    photo, _, _ = taken(28.0, Paper(Sheet(COARSE, 3)), Look(blur_px=2.6, noise=2.0), rng)
    (refused,) = find_sheets(photo)

    assert isinstance(refused, RefusedSheet)
    assert refused.sheet == Sheet(COARSE, 3)
    assert "blurred" in refused.reason


LEAF = Rect(x_mm=35.0, y_mm=50.0, width_mm=80.0, height_mm=60.0, dark=True)
"""Something dark over the upper right corner of the coarse squares."""


def test_partly_hidden_sheet_is_told_and_its_corners_are_right():
    """What is hidden is left out; the rest keeps its names and its accuracy."""
    rng = np.random.default_rng(4)
    paper = Paper(Sheet(COARSE, 6), rects=(LEAF,))
    photo, hung, view = taken(30.0, paper, PHONE, rng, yaw_rad=0.2)
    found = only(find_sheets(photo))
    errors, _ = errors_px(found, hung, view)

    assert found.hidden >= 1
    assert any("partly hidden" in said for said in found.doubts())
    assert np.abs(errors).max() < 0.2


def test_splashes_beside_corners_shift_none():
    """Mud, a berry, a staple: the corner is left out or is right all the same."""
    rng = np.random.default_rng(12)
    left_out = 0
    for _ in range(12):
        corner = COARSE.corners_mm[rng.integers(len(COARSE.corners_mm))]
        x, y = corner + rng.uniform(-10.0, 4.0, 2)
        width, height = rng.uniform(4.0, 12.0, 2)
        mud = Rect(
            x_mm=x, y_mm=y, width_mm=width, height_mm=height, dark=rng.random() < 0.5
        )
        paper = Paper(Sheet(COARSE, 4), rects=(mud,), turn_rad=0.1)
        photo, hung, view = taken(30.0, paper, PHONE, rng)
        found = only(find_sheets(photo))
        left_out += found.hidden
        errors, _ = errors_px(found, hung, view)
        assert found.hidden <= 1
        assert np.abs(errors).max() < 0.3

    assert left_out >= 1


@pytest.mark.parametrize("side", [0, 1, 2, 3])
def test_a_sheet_cut_off_by_the_edge_of_the_photo(side):
    """The corners that are left are measured; the rest is told to be missing."""
    rng = np.random.default_rng(side)
    photo, hung, view = taken(30.0, Paper(Sheet(FINE, 6), turn_rad=0.05), PHONE, rng)
    first = 118  # the first row and column of corners, wherever the paper was shifted
    cuts = (np.s_[first:], np.s_[:-first], np.s_[:, first:], np.s_[:, :-first])
    moved = np.array([[0, first], [0, 0], [first, 0], [0, 0]][side], dtype=float)
    found = only(find_sheets(np.ascontiguousarray(photo[cuts[side]])))
    true = view.camera.project(hung.on_wall(found.drawn_mm)) - moved

    assert found.sheet == Sheet(FINE, 6)
    assert found.hidden >= 4
    assert np.abs(found.corners_px - true).max() < 0.2


@pytest.mark.parametrize("tilt_deg", [-25, 25])
def test_seen_from_below_and_above(tilt_deg):
    """A sheet under the eaves, or below a window that somebody leans out of."""
    rng = np.random.default_rng(100 + tilt_deg)
    tilted = {"tilt_rad": np.radians(tilt_deg), "yaw_rad": 0.3, "roll_rad": 0.2}
    photo, hung, view = taken(34.0, Paper(Sheet(COARSE, 2)), PHONE, rng, **tilted)
    errors, _ = errors_px(only(find_sheets(photo)), hung, view)

    assert np.abs(errors).max() < 0.2


@pytest.mark.parametrize("fold_deg", [20, 25])
def test_creased_sheet_is_refused(fold_deg):
    """Nobody knows the size of a sheet of which a half leans out of the wall.

    From where it does not look like perspective: docs/accuracy.md says how often it does.
    """
    rng = np.random.default_rng(fold_deg)
    paper = Paper(Sheet(COARSE, 2), fold_rad=np.radians(fold_deg))
    photo, _, _ = taken(30.0, paper, PHONE, rng, yaw_rad=-0.4)
    (refused,) = find_sheets(photo)

    assert isinstance(refused, RefusedSheet)
    assert "creased" in refused.reason


@pytest.mark.parametrize("fold_deg", [8, 15])
def test_bent_sheet_is_told(fold_deg):
    """A fold down the middle shows as a misfit to every plane seen in perspective."""
    rng = np.random.default_rng(fold_deg)
    paper = Paper(Sheet(COARSE, 2), fold_rad=np.radians(fold_deg))
    photo, _, _ = taken(30.0, paper, PHONE, rng, yaw_rad=0.4)
    found = only(find_sheets(photo))

    assert found.bent
    assert any("not flat" in said for said in found.doubts())


def test_flat_sheets_are_not_called_bent():
    """Twenty flat sheets in a phone's photos, nearly all large enough."""
    rng = np.random.default_rng(8)
    usable = 0
    for _ in range(20):
        paper = Paper(Sheet(COARSE, 1), turn_rad=rng.uniform(-1.0, 1.0))
        cell_px, yaw = rng.uniform(16.0, 40.0), rng.uniform(-0.7, 0.7)
        photo, _, _ = taken(cell_px, paper, PHONE, rng, yaw_rad=yaw)
        (sheet,) = find_sheets(photo)
        usable += isinstance(sheet, FoundSheet)
        assert isinstance(sheet, RefusedSheet) or not sheet.bent

    assert usable >= 15


def test_two_sheets_in_one_photo():
    """Two numbers, from left to right."""
    rng = np.random.default_rng(5)
    view = view_at(26.0, size_px=(640, 320), yaw_rad=0.2)
    x, y = view.aim_mm
    papers = [
        Paper(Sheet(COARSE, 7), centre_mm=(x - 350.0, y, 0.0), turn_rad=0.1),
        Paper(Sheet(FINE, 1), centre_mm=(x + 350.0, y, 0.0), turn_rad=-0.2),
    ]
    found = find_sheets(photograph(view, papers, PHONE, rng))

    assert [sheet.sheet for sheet in found] == [paper.sheet for paper in papers]


def test_two_prints_of_one_number_are_two_sheets():
    """Somebody printed the page twice."""
    rng = np.random.default_rng(6)
    view = view_at(26.0, size_px=(640, 320))
    x, y = view.aim_mm
    papers = [
        Paper(Sheet(COARSE, 7), centre_mm=(x + side * 350.0, y, 0.0)) for side in (-1, 1)
    ]

    assert len(find_sheets(photograph(view, papers, PHONE, rng))) == 2


# --- What is no sheet -----------------------------------------------------------------


def chequered(columns, rows, cell_px, rng):
    """Return a picture of a plain chessboard on grey."""
    board = np.kron(np.indices((rows, columns)).sum(axis=0) % 2, np.ones((cell_px,) * 2))
    picture = np.full((rows * cell_px + 60, columns * cell_px + 60), 120.0)
    picture[30:-30, 30:-30] = 30.0 + 190.0 * board
    picture = cv2.GaussianBlur(picture, (0, 0), 0.9) + rng.normal(0.0, 3.0, picture.shape)
    return np.clip(picture, 0, 255).astype(np.uint8)


@pytest.mark.parametrize("size", [(4, 5), (5, 6), (5, 4), (9, 6), (20, 20)])
@pytest.mark.parametrize("cell_px", [15, 30])
def test_chessboards_are_no_sheets(size, cell_px):
    """Even one with exactly the corners of ours: it lacks the dots."""
    assert not find_sheets(chequered(*size, cell_px, np.random.default_rng(0)))


def test_chessboards_with_random_dots_are_no_sheets():
    """The right squares with dots by chance: no number within reach."""
    rng = np.random.default_rng(1)
    for _ in range(40):
        code = int(rng.integers(0, 1 << COARSE.bits))
        if min((code ^ known).bit_count() for known in COARSE.codes) < 3:
            continue
        stranger = replace(COARSE, codes=(code,))
        photo, _, _ = taken(24.0, Paper(Sheet(stranger, 1)), PHONE, rng)

        assert not find_sheets(photo)


@pytest.mark.parametrize("cell", [3, 8, 15, 30])
@pytest.mark.parametrize("sigma", [0.0, 1.0])
def test_noise_and_code_like_patterns_are_no_sheets(cell, sigma):
    """Random black and white modules of every size, sharp and soft."""
    rng = np.random.default_rng([cell, int(sigma)])
    modules = rng.integers(0, 2, (900 // cell, 900 // cell))
    picture = np.kron(modules, np.ones((cell, cell))) * 200.0 + 25.0
    picture = cv2.GaussianBlur(picture, (0, 0), sigma) if sigma else picture

    assert not find_sheets(picture.astype(np.uint8))


@pytest.mark.parametrize("kind", ["brick", "grating", "mesh", "tile-hanging"])
def test_no_sheet_on_a_drawn_house(kind):
    """Brickwork, its look-alikes and noise, as another renderer draws them."""
    scene = random_scene(np.random.default_rng(21), kind)
    stand = replace(scene.stand, size_px=(1000, 750))
    picture = replace(scene, stand=stand).draw()

    assert not find_sheets(np.round(picture.grey).astype(np.uint8))


@pytest.mark.parametrize("name", ["front.jpg", "gable.jpg", "front-messenger.jpg"])
def test_no_sheet_in_the_sample_pictures(name):
    """Brickwork, windows and a garden hold none."""
    photo = cv2.imread(str(SAMPLES / name), cv2.IMREAD_GRAYSCALE)

    assert photo is not None
    assert not find_sheets(photo)


@pytest.mark.parametrize("side", [1, 2, 40, 119])
def test_tiny_and_empty_pictures(side):
    """Nothing to find is no error."""
    assert not find_sheets(np.full((side, side + 1), 128, np.uint8))


@pytest.mark.photographs
@pytest.mark.parametrize(
    "pattern", ["examples/data/*.jpg", "examples/data/*.png", "**/*aruco*.*"]
)
def test_no_sheet_in_the_calibration_photographs(pattern):
    """Real chessboards and other boards of markers are none of ours."""
    if not OPENCV_DOC.is_dir():
        pytest.skip("Debian's opencv-doc is not installed")
    names = sorted(OPENCV_DOC.glob(pattern))
    photos = [cv2.imread(str(name), cv2.IMREAD_GRAYSCALE) for name in names]
    photos = [photo for photo in photos if photo is not None]
    assert photos

    for photo in photos:
        assert not find_sheets(photo)
