"""Ladders of courses, and prints: what shares a gauge or a printer shares one error."""

from dataclasses import replace

import numpy as np
import pytest

from calibration.camera import CAMERA_UNKNOWNS, Camera
from calibration.network import build_network
from calibration.references import CountDirection, Courses
from tests.calibration.every_kind import MAKERS
from tests.calibration.views import prior_of, random_camera


def ladder(name: str, key: str, camera: Camera) -> Courses:
    """Return the upward ladder under a name and a pitch key."""
    reference = MAKERS["courses up"](camera).reference
    assert isinstance(reference, Courses)
    return replace(reference, name=name, pitch_key=key)


def test_ladders_of_one_gauge_share_one_unknown_and_one_prior():
    """Two ladders with the same pitch key: one column, one pseudo-observation."""
    camera = random_camera(np.random.default_rng(0))
    left, right = (ladder(name, "front: gauge", camera) for name in ("left", "right"))
    network = build_network([left, right], prior_of(camera))
    keys = [unknown.key for unknown in network.unknowns]
    priors = [prior.key for _, prior in network.priors]
    equations = network.equations(network.start(camera), network.picks_px)
    column = equations.jacobian[:, network.column("front: gauge")]

    assert keys.count("front: gauge") == priors.count("front: gauge") == 1
    for block in equations.blocks:
        assert np.any(column[block.rows] != 0.0)


def test_sheets_of_one_printer_share_one_scale_error():
    """Two prints with the same key: one column each error, one pseudo-observation."""
    camera = random_camera(np.random.default_rng(0))
    sheet = MAKERS["points of a print"](camera).reference
    network = build_network([sheet, replace(sheet, name="other")], prior_of(camera))
    priors = [prior.key for _, prior in network.priors if prior.shared]
    equations = network.equations(network.start(camera), network.picks_px)

    assert sheet.prior_keys() == ("print: scale", "print: scale across", "print: scale up")
    for key in sheet.prior_keys():
        column = equations.jacobian[:, network.column(key)]
        assert priors.count(key) == 1
        assert all(np.any(column[block.rows] != 0.0) for block in equations.blocks)


def test_ladders_of_different_gauges_share_nothing():
    """Different keys are different walls: two columns, two pseudo-observations."""
    camera = random_camera(np.random.default_rng(0))
    old, new = ladder("old", "old gauge", camera), ladder("new", "new gauge", camera)
    network = build_network([old, new], prior_of(camera))
    apart = build_network([old], prior_of(camera)).size - CAMERA_UNKNOWNS

    assert network.size - CAMERA_UNKNOWNS == 2 * apart


def test_drift_bends_the_ladder_evenly_about_its_middle():
    """At the first count the pitch is (1 - drift) of itself, at the last (1 + drift)."""
    camera = random_camera(np.random.default_rng(0))
    reference = replace(ladder("ladder", "gauge", camera), counts=np.arange(6.0) * 4.0)
    own = np.array([0.0, 0.0, 75.0, 0.01])
    heights = -reference.conditions(np.zeros((6, 2)), own).misclosure[:, 0]
    fine = replace(reference, counts=np.array([0.0, 0.001, 5.0, 10.0, 19.999, 20.0]))
    near = -fine.conditions(np.zeros((6, 2)), own).misclosure[:, 0]

    assert (near[1] - near[0]) / 0.001 == pytest.approx(75.0 * 0.99, rel=1e-5)
    assert (near[5] - near[4]) / 0.001 == pytest.approx(75.0 * 1.01, rel=1e-5)
    assert heights[-1] - heights[0] == pytest.approx(20 * 75.0)


def test_counting_along_reads_the_other_coordinate():
    """Perpends are numbered along the wall, beds up it."""
    camera = random_camera(np.random.default_rng(0))
    up = ladder("ladder", "gauge", camera)
    along = replace(up, direction=CountDirection.ALONG)
    xy = np.random.default_rng(1).normal(0.0, 1000.0, (6, 2))
    own = np.array([0.0, 10.0, 75.0, 0.001])

    np.testing.assert_allclose(
        along.conditions(xy, own).misclosure, up.conditions(xy[:, ::-1], own).misclosure
    )
