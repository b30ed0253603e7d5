"""Scenes are what their data says, and the same again from the same seed."""

from dataclasses import replace
from io import BytesIO

import numpy as np
import pytest
from PIL import Image, ImageOps

from calibration.brick_formats import FORMATS
from tests.pictures import LOOK_ALIKES, PRESETS, preset, random_scene
from tests.pictures.bonds import BONDS, Brickwork, lay
from tests.pictures.finish import Finish

SMALL = (320, 240)


def small(scene, **changes):
    return replace(scene, stand=replace(scene.stand, size_px=SMALL), **changes)


def test_equal_scenes_make_equal_pictures():
    scene = small(preset("usual", seed=3))
    assert (scene.draw().rgb == scene.draw().rgb).all()
    assert (scene.draw().rgb != replace(scene, seed=4).draw().rgb).any()


@pytest.mark.parametrize("kind", LOOK_ALIKES)
def test_look_alikes_claim_no_bricks(kind):
    picture = small(random_scene(np.random.default_rng(1), kind)).draw()
    assert picture.truth.wall == kind
    assert picture.truth.brick is None
    assert not picture.brick_mask.any()
    assert picture.rgb.shape == (240, 320, 3)


def test_random_scenes_show_bricks():
    rng = np.random.default_rng(11)
    for _ in range(4):
        picture = small(random_scene(rng)).draw()
        brick = picture.truth.brick
        assert brick.visible_courses >= 8
        assert abs(brick.gauge_mm / brick.nominal_gauge_mm - 1.0) < 0.05
        assert picture.brick_mask.mean() > 0.01


def test_drift_shows_in_the_stated_gauge():
    scene = small(PRESETS["wall-clean"], work=Brickwork(gauge_drift=0.008, wave_mm=0.0))
    brick = scene.draw().truth.brick
    assert brick.gauge_mm == pytest.approx(75.0 * 1.008, rel=1e-9)


@pytest.mark.parametrize("name", ["uk-metric", "us-modular", "de-nf", "uk-block"])
def test_stretcher_bond_breaks_joints_by_half(name):
    laid = lay(Brickwork(format=name), (0.0, 0.0, 4000.0, 2000.0), np.random.default_rng(0))
    pitch = FORMATS[name].stretcher_mm * 1.002
    shift = (laid.perpends_mm[1][3] - laid.perpends_mm[0][3]) / pitch % 1.0
    assert shift == pytest.approx(0.5)
    assert np.diff(laid.perpends_mm[0]) == pytest.approx(pitch)


def test_flemish_headers_stand_over_the_middle_of_stretchers():
    work = Brickwork(bond="flemish")
    laid = lay(work, (0.0, 0.0, 4000.0, 2000.0), np.random.default_rng(0))
    lower, upper = laid.perpends_mm[2], laid.perpends_mm[3]
    long = np.diff(lower) > 0.75 * work.stretcher_mm
    middles = 0.5 * (lower[:-1] + lower[1:])[long]
    short = np.diff(upper) < 0.75 * work.stretcher_mm
    headers = 0.5 * (upper[:-1] + upper[1:])[short]
    inner = middles[2:-3]
    nearest = np.abs(inner[:, None] - headers[None, :]).min(axis=1)
    assert nearest == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("bond", BONDS)
def test_every_bond_covers_the_wall(bond):
    laid = lay(Brickwork(bond=bond), (0.0, 0.0, 3000.0, 2000.0), np.random.default_rng(0))
    assert all(p[0] < 0.0 and p[-1] > 3000.0 for p in laid.perpends_mm)
    assert laid.joints_mm[0] < 0.0
    assert laid.joints_mm[-1] > 2000.0


def test_places_as_built_come_back_to_the_lattice():
    laid = lay(Brickwork(wave_mm=4.0), (0.0, 0.0, 8000.0, 5000.0), np.random.default_rng(2))
    points = np.random.default_rng(3).uniform(0.0, 5000.0, (50, 2))
    x, y = laid.built(points).T
    back = np.stack([x - laid.across.at(x, y), y - laid.up.at(x, y)], axis=1)
    assert back == pytest.approx(points, abs=1e-9)
    grid = laid.up.grid(points[:9, 0], points[:7, 1])
    assert grid == pytest.approx(laid.up.at(points[:9, 0], points[:7, 1, None]), abs=1e-4)
    joint = laid.bed_joint_mm(20, np.array([100.0, 4000.0]))
    level = joint[:, 1] - laid.up.at(*joint.T)
    assert level == pytest.approx(laid.joints_mm[20 - laid.first], abs=1e-9)


@pytest.mark.parametrize("orientation", [1, 3, 6, 8])
def test_files_are_upright_once_their_header_is_heeded(orientation):
    scene = small(preset("usual", seed=2), finish=Finish(orientation=orientation))
    picture = scene.draw()
    with Image.open(BytesIO(picture.jpeg())) as stored:
        assert stored.getexif()[0x0112] == orientation
        details = stored.getexif().get_ifd(0x8769)
        assert details[0xA405] == 26
        upright = np.asarray(ImageOps.exif_transpose(stored).convert("RGB"))
    assert upright.shape == picture.rgb.shape
    assert np.abs(upright.astype(int) - picture.rgb).mean() < 4.0


def test_a_messenger_strips_the_header():
    data = small(preset("messenger", seed=2)).draw().jpeg()
    with Image.open(BytesIO(data)) as stored:
        assert not stored.getexif()
