"""A painted wall is counted as it was painted."""

from dataclasses import replace

import numpy as np
import pytest
from skimage import data

from calibration.brickwork.confidence import LEAST, SURE
from calibration.brickwork.read import around, read_brickwork
from calibration.brickwork.result import BondName
from calibration.camera import Camera
from calibration.errors import NoBrickwork
from tests.accuracy.brickwork import EYE
from tests.accuracy.joints import joints_drawn
from tests.brick.chance import (
    PaintedScene,
    line_error_px,
    numbered_rightly,
    prior_for,
    stretcher_scale,
)
from tests.brick.impostors import plain_tiles
from tests.brick.walls import EnglishWall, Wall, look, photograph
from tests.pictures import random_scene

LATTICE_RMS_PX = 0.3
"""The goal set for clean pictures."""

RATIO = 0.01
"""Stretcher against gauge of a known lens, relative."""


def taken(wall: Wall, camera: Camera, seed: int = 1) -> PaintedScene:
    rng = np.random.default_rng(seed)
    return PaintedScene(wall, camera, photograph(wall.paint, camera, rng))


def read(scene: PaintedScene):
    return read_brickwork(scene.pixels, prior_for(scene.pixels, scene.camera.focal_px))


WALLS = {
    "stretcher": Wall(),
    "flemish": Wall(bond="flemish"),
    "english": EnglishWall(),
    "german": Wall(gauge_mm=62.5, stretcher_mm=250.0),
    "dark mortar": Wall(mortar=80.0, brick=140.0),
    "painted": Wall(mortar=208.0, brick=190.0, brick_sd=3.0),
}


@pytest.mark.parametrize("name", WALLS)
def test_courses_bond_and_ratio_are_read(name: str):
    """Every joint carries its true number, and the format's ratio comes out."""
    wall = WALLS[name]
    scene = taken(wall, look(yaw_deg=15.0, tilt_deg=8.0, distance_mm=3600.0))

    found = read(scene)

    assert found.best.confidence >= SURE
    assert numbered_rightly(found, scene) > 0.99
    assert found.best.ratio == pytest.approx(wall.stretcher_mm / wall.gauge_mm, rel=RATIO)
    assert stretcher_scale(found, scene) == pytest.approx(1.0, abs=RATIO)


@pytest.mark.parametrize(
    ("yaw_deg", "tilt_deg", "k1"),
    [(0.0, 0.0, 0.0), (45.0, 0.0, 0.0), (-40.0, 15.0, 0.02), (10.0, 20.0, -0.03)],
)
def test_perspective_and_lens_do_not_lose_count(yaw_deg: float, tilt_deg: float, k1: float):
    """The lattice's lines lie on the true joints at all corners."""
    camera = look(
        yaw_deg=yaw_deg, tilt_deg=tilt_deg, k1=k1, distance_mm=3600.0, roll_deg=2.0
    )
    scene = taken(Wall(), camera)

    found = read(scene)

    error = line_error_px(found, scene)
    assert numbered_rightly(found, scene) > 0.99
    assert np.sqrt(np.mean((error - np.median(error)) ** 2)) < LATTICE_RMS_PX


def test_courses_of_five_pixels():
    """The smallest courses that are promised."""
    scene = taken(Wall(), look(distance_mm=75.0 * 624.0 / 5.2))

    found = read(scene)

    assert found.course_px < 5.5
    assert numbered_rightly(found, scene) > 0.98


def test_courses_of_six_pixels_are_sure():
    """Too small to break off plainly at their joints, but their perpends keep the bond."""
    scene = taken(Wall(), look(distance_mm=75.0 * 624.0 / 6.2, yaw_deg=20.0, tilt_deg=6.0))

    found = read(scene)

    assert found.course_px < 6.5
    assert numbered_rightly(found, scene) > 0.98
    assert found.best.confidence >= SURE


def test_tiles_hung_above_a_wall_are_not_counted_as_its_courses():
    """Lines of something else fall near where joints would be; the perpends do not."""
    wall, top = Wall(), 300.0

    def paint(x: np.ndarray, y: np.ndarray, rng: np.random.Generator) -> np.ndarray:
        return np.where(y > top, plain_tiles(x, y - top, rng), wall.paint(x, y, rng))

    camera = look(distance_mm=5200.0, yaw_deg=10.0)
    pixels = photograph(paint, camera, np.random.default_rng(2))
    scene = PaintedScene(wall, camera, pixels)
    found = read(scene)
    xy = camera.back_project(found.beds.px, np.zeros(len(found.beds.px))).xy_mm

    assert numbered_rightly(found, scene) > 0.99
    assert np.mean(xy[:, 1] > top + 150.0) < 0.02


def test_openings_and_soldiers_do_not_break_the_count():
    """Joints left, right, above and below of openings belong to one ladder."""
    windows = ((-700.0, -500.0, 300.0, 500.0), (600.0, -900.0, 1100.0, 700.0))
    soldiers = tuple((x - 75.0, t, r + 75.0, t + 225.0) for x, _, r, t in windows)
    wall = Wall(openings=windows, soldiers=soldiers)
    scene = taken(wall, look(distance_mm=4500.0, yaw_deg=-12.0, tilt_deg=5.0))

    found = read(scene)

    assert numbered_rightly(found, scene) > 0.99
    assert np.ptp(found.beds.number) >= 36


def test_eight_bricks_by_four_are_enough():
    """A small patch in a plain surround is found and counted, sure or not."""
    wall = Wall(box_mm=(-900.0, -300.0, 900.0, 300.0))
    scene = taken(wall, look(distance_mm=2600.0))

    found = read(scene)

    assert numbered_rightly(found, scene) > 0.97


def test_a_tap_chooses_the_wall():
    """The search begins where the user points."""
    scene = taken(Wall(), look(distance_mm=4000.0))
    box = around((200.0, 200.0), np.array([800.0, 600.0]))

    found = read_brickwork(
        scene.pixels, prior_for(scene.pixels, scene.camera.focal_px), box_px=box
    )

    assert numbered_rightly(found, scene) > 0.99


def test_header_bond_with_dark_joints_is_a_question():
    """Headers in half bond look like tiles: the reading is right but not sure."""
    wall = Wall(bond="header", mortar=70.0, brick=130.0)
    scene = taken(wall, look(distance_mm=3600.0, yaw_deg=10.0))

    found = read(scene)

    assert found.best.bond is BondName.HEADER
    assert found.best.confidence < SURE
    assert numbered_rightly(found, scene) > 0.99


def test_header_bond_with_light_joints_is_sure():
    """Mortar may be lighter than its units; the gaps between tiles never are."""
    scene = taken(Wall(bond="header"), look(distance_mm=4200.0, yaw_deg=10.0))

    found = read(scene)

    assert found.best.bond is BondName.HEADER
    assert found.best.confidence >= SURE
    assert numbered_rightly(found, scene) > 0.99


def test_units_two_to_one_are_a_question_with_light_joints_too():
    """Headers of DF (62.5 mm a course) and 2DF stretchers (125 mm) are of one shape."""
    wall = Wall(stretcher_mm=250.0, gauge_mm=62.5, joint_mm=9.0, bond="header")
    scene = taken(wall, look(distance_mm=3600.0, yaw_deg=10.0))

    found = read(scene)

    assert found.best.confidence < 0.6
    assert {reading.bond for reading in found.readings} == {
        BondName.HEADER,
        BondName.STRETCHER,
    }


def test_few_courses_of_flemish_bond_are_sure():
    """Stone is laid in units of one length: where two take turns it is brick."""
    wall, camera = Wall(bond="flemish"), look(distance_mm=1900.0, yaw_deg=10.0)

    mixed = read(taken(wall, camera))
    plain = read(taken(Wall(), camera))

    assert mixed.courses < 34
    assert mixed.best.confidence >= SURE
    assert plain.best.confidence < SURE


def test_a_known_format_settles_header_bond():
    """The user's word leaves only readings of that format."""
    scene = taken(Wall(bond="header"), look(distance_mm=3600.0, yaw_deg=10.0))

    prior = prior_for(scene.pixels, scene.camera.focal_px)
    found = read_brickwork(scene.pixels, prior, brick_format="uk-metric")

    assert {name for reading in found.readings for name in reading.formats} == {"uk-metric"}
    assert found.best.ratio == pytest.approx(3.0, rel=RATIO)


def test_a_told_block_is_sure_though_its_bond_fits_longer_bricks_too():
    """Half bond of two to one also fits English bond of four, nearly as well."""
    wall = Wall(gauge_mm=225.0, stretcher_mm=450.0)
    scene = taken(wall, look(distance_mm=8000.0, yaw_deg=10.0))
    prior = prior_for(scene.pixels, scene.camera.focal_px)

    told = read_brickwork(scene.pixels, prior, brick_format="uk-block")

    assert told.best.bond is BondName.STRETCHER
    assert told.best.confidence >= SURE
    assert read_brickwork(scene.pixels, prior).best.confidence < SURE


def test_a_told_format_that_the_bond_does_not_fit_is_not_believed():
    """Headers 1.5 courses long that alternate with stretchers of 3 are no blocks."""
    scene = taken(Wall(bond="flemish"), look(distance_mm=3600.0, yaw_deg=10.0))
    prior = prior_for(scene.pixels, scene.camera.focal_px)

    with pytest.raises(NoBrickwork):
        read_brickwork(scene.pixels, prior, brick_format="uk-block")


def test_a_photograph_of_wild_bond_is_counted_and_asked_about():
    """Twelve courses by eye; its published warp is no camera's, so the stretcher is off."""
    upper, lower, courses = EYE
    pixels = np.rot90(data.brick(), -1).copy()

    found = read_brickwork(pixels, prior_for(pixels))
    v = found.plane.counts(np.array([upper, lower]))[:, 1]

    assert v[1] - v[0] == pytest.approx(courses, abs=0.3)
    assert found.best.confidence < 0.8


def test_wild_bond_is_counted_on_the_places_of_its_headers():
    """Stretchers and headers at random: the right stretcher, and every joint its number."""
    scene = random_scene(np.random.default_rng([91, 1]))
    stand = replace(scene.stand, size_px=(1024, 768))
    drawn = replace(scene, work=replace(scene.work, bond="wild"), stand=stand).draw()
    truth = joints_drawn(drawn.truth)

    found = read_brickwork(drawn.rgb, prior_for(drawn.rgb, truth.camera.focal_px))
    off = truth.counted(found.beds.px)[0] - found.beds.number

    assert np.mean(np.abs(off - np.median(off)) < 0.3) > 0.97
    assert found.best.ratio == pytest.approx(truth.ratio, rel=0.03)
    assert found.best.confidence > LEAST
