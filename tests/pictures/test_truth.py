"""The truth lies where the picture shows it."""

from dataclasses import replace
from functools import cache

import cv2
import numpy as np
import pytest

from tests.pictures import Picture, Truth, preset
from tests.pictures.build import Round
from tests.pictures.edges_check import (
    edge_offset_px,
    joint_offset_px,
    light_of,
    step_across,
)
from tests.pictures.finish import LINEAR
from tests.pictures.presets import OVERCAST
from tests.pictures.sheets import Sheet

EDGE_PX = 0.1
"""Nine rays a pixel put an edge within 1/18 px; the rest is texture beside it."""

JOINT_PX = 0.1
"""Mean of many joints, each jittered by about 0.1 px."""

STRONG = 25.0
"""Grey levels across an edge; brickwork on both sides of a quoin shows its joints."""

PROJECTION_PX = 1e-6


@cache
def drawn(name: str) -> Picture:
    scene = preset(name, seed=5)
    stand = replace(scene.stand, size_px=(1024, 768))
    return replace(scene, stand=stand, finish=LINEAR, light=OVERCAST).draw()


@pytest.mark.parametrize("name", ["usual", "oblique", "gable"])
def test_edges_are_where_the_light_changes_most(name):
    picture = drawn(name)
    light = light_of(picture.rgb)
    checked = 0
    for edge in picture.truth.edges:
        strong = edge.role in {"quoin", "eaves", "rake", "ridge", "gutter-bottom"}
        strong &= edge.trace.share_visible > 0.5
        if strong and step_across(light, edge) > STRONG:
            assert abs(edge_offset_px(light, edge)) < EDGE_PX, edge.name
            checked += 1
    assert checked >= 3


def test_outlines_of_round_things_touch_the_line_of_sight():
    axis = np.array([[0.0, 100.0, 60.0], [0.0, 4000.0, 60.0]])
    pipe = Round("pipe", "downpipe", axis, 34.0, np.array([1.0, 0.0, 0.0]))
    eye = np.array([2500.0, 1600.0, 7000.0])
    touch = pipe.outline_mm(eye)[0] - axis[0]
    sight = (eye - axis[0] - touch) * np.array([1.0, 0.0, 1.0])
    assert abs(touch @ sight) < 1e-6
    assert np.linalg.norm(touch) == pytest.approx(34.0)
    assert touch[0] > 0.0


def test_joints_are_where_the_mortar_is():
    picture = drawn("wall-clean")
    light = light_of(picture.rgb)
    joints = [j.trace for j in picture.truth.brick.bed_joints]
    assert abs(joint_offset_px(light, joints)) < JOINT_PX


def test_truth_projects_as_opencv_does():
    truth = drawn("oblique").truth
    view = truth.view
    camera = view.camera
    turn = camera.R_wall_from_camera.T
    f, (cx, cy) = camera.focal_px, camera.centre_px
    inner = np.array([[f, 0.0, cx], [0.0, f, cy], [0.0, 0.0, 1.0]])
    lens = np.array([camera.k1, camera.k2, 0.0, 0.0])
    for edge in truth.edges:
        px, _ = cv2.projectPoints(
            edge.trace.mm[:, None], cv2.Rodrigues(turn)[0], -turn @ view.eye_mm, inner, lens
        )
        assert np.abs(px[:, 0] - edge.trace.px).max() < PROJECTION_PX


def test_truth_survives_its_file():
    truth = drawn("usual").truth
    again = Truth.from_json(truth.to_json())
    assert again.brick.visible_courses == truth.brick.visible_courses
    assert len(again.edges) == len(truth.edges)
    for one, other in zip(truth.edges, again.edges, strict=True):
        np.testing.assert_allclose(other.trace.px, one.trace.px, atol=1e-4)
        assert (other.trace.visible == one.trace.visible).all()
    np.testing.assert_allclose(
        again.view.project(truth.edges[0].ends_mm), truth.edges[0].ends_px
    )


def test_counts_run_without_a_gap():
    counts = [j.count for j in drawn("usual").truth.brick.bed_joints]
    assert counts == list(range(counts[0], counts[0] + len(counts)))


def test_openings_are_not_brickwork():
    picture = drawn("usual")
    inside = np.array([o.box_mm for o in picture.scene.house.openings])
    middles = np.c_[inside[:, [0, 2]].mean(axis=1), inside[:, [1, 3]].mean(axis=1)]
    px = (
        picture.truth.view.project(np.c_[middles, np.zeros(len(middles))])
        .round()
        .astype(int)
    )
    assert not picture.brick_mask[px[:, 1], px[:, 0]].any()
    assert 0.1 < picture.brick_mask.mean() < 0.6


def test_hidden_points_are_not_called_visible():
    eaves = drawn("usual").truth.edge("wall foot")
    hidden = drawn("occluded").truth.edge("wall foot")
    assert eaves.trace.share_visible > 0.95
    assert hidden.trace.share_visible < 0.7


def test_a_sheet_is_printed_where_it_is_taped():
    squares = np.kron(np.indices((8, 6)).sum(axis=0) % 2, np.ones((40, 40)))
    sheet = Sheet(
        name="check",
        image=(255 * squares).astype(np.uint8),
        width_mm=180.0,
        height_mm=240.0,
        centre_mm=(4000.0, 1500.0),
        turn_rad=0.2,
    )
    scene = preset("wall-clean", seed=1)
    stand = replace(scene.stand, distance_mm=2500.0, tilt_rad=0.0, size_px=(1024, 768))
    picture = replace(scene, sheets=(sheet,), stand=stand, finish=LINEAR).draw()
    inner = 30.0 * np.array([[i, j] for i in range(1, 6) for j in range(1, 8)], dtype=float)
    true = picture.truth.view.project(sheet.on_wall(inner)).astype(np.float32)
    grey = np.ascontiguousarray(picture.rgb.mean(axis=2).astype(np.uint8))
    stop = (cv2.TERM_CRITERIA_EPS | cv2.TERM_CRITERIA_COUNT, 60, 1e-4)
    found = cv2.cornerSubPix(grey, true[:, None].copy(), (4, 4), (-1, -1), stop)[:, 0]
    assert np.abs(found - true).max() < EDGE_PX
    assert "sheet check corners" in picture.truth.marks
