"""A count that slips by a course in a far part of the wall bends the lattice, and shows."""

import numpy as np

from calibration.brickwork.survey import bent
from calibration.brickwork.wallplane import View, WallPlane, fit_plane


def _fitted(slip: float, rng: np.random.Generator) -> float:
    """Return how bent a wall is of which the lowest fifth is counted wrong by a slip."""
    view = View(focal_px=1200.0, centre_px=np.array([800.0, 600.0]))
    plane = WallPlane(view, np.array([[80.0, 0, 50.0], [0, 80.0, 40.0], [0.2, 0.1, 1.0]]))
    u, v = (a.ravel() for a in np.meshgrid(np.arange(2.0, 90.0, 2.0), np.arange(2.0, 70.0)))
    px = plane.pixels(np.c_[u, v + rng.normal(0.0, 0.03, len(v))])
    upright = np.arange(0, len(u), 3)
    number = v + np.where(v > 56.0, slip, 0.0)
    fit = fit_plane(plane, px, number, px[upright], u[upright])
    assert fit is not None
    return bent(u, number, fit.bed_residual)


def test_a_slip_of_one_course_shows_and_scatter_does_not():
    rng = np.random.default_rng(5)

    assert _fitted(0.0, rng) == 0.0
    assert _fitted(1.0, rng) > 0.15


def test_hardly_any_picks_say_nothing():
    assert bent(np.arange(4.0), np.zeros(4), np.full(4, 0.3)) == 0.0
