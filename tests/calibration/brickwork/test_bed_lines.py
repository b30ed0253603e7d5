"""Bed joints drawn as lines of their own, against joints that undulate by formula."""

import numpy as np

from calibration.brickwork.bed_lines import bed_lines, smooth_field
from calibration.brickwork.result import BondName, Brickwork, Picks, Reading
from calibration.brickwork.wallplane import View, WallPlane

COURSE_PX, SCATTER = 20.0, 0.02
COURSES, WIDE, LOWEST = 40, 80.0, 52.0


def _wave(u: np.ndarray, number: np.ndarray) -> np.ndarray:
    """Return a bend of 1 px over 40 courses along, turning slowly with the height."""
    return 0.05 * np.sin(2.0 * np.pi * u / 40.0 + 0.08 * number)


def _wall(rng: np.random.Generator, bend: float) -> Brickwork:
    """Return picks every two courses, a third of them hidden, with joint 0 at v = 52."""
    view = View(focal_px=1000.0, centre_px=np.array([800.0, 600.0]))
    to_count = np.array([[50.0, 0.0, 40.0], [0.0, 50.0, 32.0], [0.15, 0.05, 1.0]])
    plane = WallPlane(view, to_count)
    u, number = np.meshgrid(np.arange(1.0, WIDE, 2.0), np.arange(COURSES + 1.0))
    seen = rng.random(u.shape) > 1.0 / 3.0
    u, number = u[seen], number[seen]
    residual = rng.normal(0.0, SCATTER, len(u)) + bend * _wave(u, number)
    px = plane.pixels(np.c_[u, LOWEST - number + residual])
    beds = Picks(px, number, number.astype(np.intp), residual, 1.0, float(residual.std()))
    none = np.zeros(0)
    perpends = Picks(np.zeros((0, 2)), none, none.astype(np.intp), none, 0.0, 0.0)
    reading = Reading(BondName.STRETCHER, 3.0, 1.0, 1.0, ("uk-metric",))
    return Brickwork(plane, (reading,), beds, perpends, COURSE_PX, COURSES, 20, {})


def _off(found: Brickwork, bend: float) -> float:
    """Return how far the lines lie off the joints, rms, courses."""
    off = []
    for number, line in enumerate(bed_lines(found)):
        u, v = found.plane.counts(line).T
        off.append(v - (LOWEST - number) - bend * _wave(u, np.full(len(u), float(number))))
    return float(np.sqrt(np.mean(np.concatenate(off) ** 2)))


def test_lines_follow_joints_that_undulate():
    """The lattice is 0.035 courses off; the lines come within a quarter of it."""
    found = _wall(np.random.default_rng(1), bend=1.0)

    assert _off(found, bend=0.0) > 0.030
    assert _off(found, bend=1.0) < 0.009


def test_lines_of_a_regular_wall_stay_on_its_lattice():
    """Hundreds of picks that scatter by 0.02 courses must not bend the lines by 0.004."""
    assert _off(_wall(np.random.default_rng(2), bend=0.0), bend=0.0) < 0.004


def test_a_line_runs_through_the_picks_of_its_own_number():
    """Joint 0 lies at v = 52 of the plane: lines may not be off by whole courses."""
    found = _wall(np.random.default_rng(3), bend=1.0)
    lines = bed_lines(found)

    assert len(lines) == COURSES + 1
    for number in (0, 17, COURSES):
        mine = found.beds.px[found.beds.number == number]
        line = lines[number]
        y = np.interp(mine[:, 0], line[:, 0], line[:, 1])
        assert abs(np.mean(mine[:, 1] - y)) < 0.5


def test_scatter_alone_is_no_field():
    """Where no field foretells picks better than the lattice, there is next to none."""
    rng = np.random.default_rng(4)
    uk = np.c_[rng.uniform(0.0, 60.0, 300), rng.integers(0, 30, 300)]

    field = smooth_field(uk, rng.normal(0.0, SCATTER, 300))

    assert np.sqrt(np.mean(field.at(uk) ** 2)) < 0.15 * SCATTER
