"""Upright joints: what runs straight on is none, and the bond has places without any."""

import numpy as np

from calibration.brickwork.align import align, spare
from calibration.brickwork.bonds import Bond, BondFit, Perpends, without_runs
from calibration.brickwork.strip import PIXELS_A_COURSE

COURSES, WIDE = 40, 60 * PIXELS_A_COURSE


def half_bond(unit: float) -> np.ndarray:
    """Return responses of half bond, one pixel wide, unit in courses."""
    response = np.zeros((COURSES, WIDE))
    for course in range(COURSES):
        start = (0.5 * unit if course % 2 else 0.0) + 1.0
        at = np.arange(start, WIDE / PIXELS_A_COURSE, unit) * PIXELS_A_COURSE
        response[course, np.round(at[at < WIDE - 1]).astype(int)] = 1.0
    return response


def test_a_jamb_is_taken_off_and_perpends_stay() -> None:
    bond = half_bond(3.0)
    jamb = bond.copy()
    jamb[10:22, 200] = 2.0

    left = without_runs(jamb)

    assert np.array_equal(without_runs(bond), bond)
    assert left[10:22, 200].max() == 0.0
    away = np.ones(WIDE, bool)
    away[195:206] = False
    assert np.array_equal(left[:, away], bond[:, away])


def test_a_leaning_pipe_is_taken_off_too() -> None:
    pipe = np.zeros((COURSES, WIDE))
    for course in range(5, 35):
        pipe[course, 300 + course // 3] = -1.5

    assert np.abs(without_runs(pipe)).max() == 0.0


def test_blur_between_two_perpends_is_no_run() -> None:
    """A fifth of a joint shows in the next course where courses have few pixels."""
    bond = half_bond(3.0)
    blurred = bond.copy()
    blurred[1:] += 0.2 * bond[:-1]
    blurred[:-1] += 0.2 * bond[1:]

    left = without_runs(blurred)

    assert left[bond > 0.0].min() > 0.9


def test_slates_stand_where_flemish_bond_has_no_joints() -> None:
    """Half bond of half the stretcher looks much like Flemish bond of twice that."""
    slates = Perpends(half_bond(1.5), np.ones((COURSES, WIDE)), 1.0)
    flemish = BondFit(Bond.FLEMISH, 3.0, 0.8, 0.5, headers_even=False)
    stretchers = BondFit(Bond.HALF, 1.5, 0.9, 0.5, headers_even=False)

    assert spare(slates, align(slates, flemish)) > 0.5
    assert spare(slates, align(slates, stretchers)) < 0.05
