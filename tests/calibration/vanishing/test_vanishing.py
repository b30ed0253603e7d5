"""Vanishing points: found without a header, honest, not led astray by roofs."""

import numpy as np
import pytest

from calibration.edges import EdgeFits
from calibration.vanishing import (
    NONE,
    PLUMB,
    direction_references,
    find_vanishing,
    vanishing_px,
)
from tests.calibration.vanishing.boxes import camera, fits, prior, seen, wall_segments

CLOSE_RAD = float(np.radians(0.6))
"""Twenty level and ten plumb edges of 50 to 300 px with the lean of building."""

VIEWS = [(0, 0, 0), (8, 10, 1), (-15, 14, -1), (25, 5, 3), (-40, 12, -2), (10, 20, 0)]


@pytest.mark.parametrize("known", [True, False])
@pytest.mark.parametrize("view", VIEWS)
def test_camera_is_held_as_the_edges_say(view: tuple[int, int, int], known: bool) -> None:
    rng = np.random.default_rng(3)
    held = camera(*view)
    edges = fits(seen(held, wall_segments(rng, 20, 10), rng))

    found = find_vanishing(edges, prior(known=known))

    assert found is not None
    limit = CLOSE_RAD if known else max(CLOSE_RAD, 3.0 * found.tilt_sd_rad)
    assert found.roll_rad == pytest.approx(held.roll_rad, abs=limit)
    assert found.tilt_rad == pytest.approx(held.tilt_rad, abs=limit)
    # Where both directions vanish far away the focal length stays as it was believed,
    # and yaw with it.
    free = 3.0 * found.focal_log_sd * abs(held.yaw_rad)
    assert found.yaw_rad == pytest.approx(held.yaw_rad, abs=limit + free)


def test_spread_of_tilt_and_roll_is_not_too_small() -> None:
    rng = np.random.default_rng(5)
    sizes = []
    for _ in range(25):
        held = camera(rng.uniform(-30, 30), rng.uniform(2, 16), rng.normal(0.0, 1.5))
        edges = fits(seen(held, wall_segments(rng, 25, 12), rng))
        found = find_vanishing(edges, prior(known=True))
        assert found is not None
        error = np.array([found.tilt_rad - held.tilt_rad, found.roll_rad - held.roll_rad])
        sizes.append(np.abs(error) / found.tilt_sd_rad)

    assert np.sqrt(np.mean(np.square(sizes))) < 1.2


def rakes(pitch: float) -> np.ndarray:
    """Return four parallel edges of each rake of a gable, mm."""
    slope = np.tan(np.radians(pitch))
    lines = []
    for shift in (0.0, 60.0, 180.0, 220.0):
        apex, foot = [0.0, 5000.0 + shift, 0.0], 5000.0 + shift - 4000.0 * slope
        lines += [[[-4000.0, foot, 0.0], apex], [apex, [4000.0, foot, 0.0]]]
    return np.array(lines)


def test_rakes_are_neither_level_nor_plumb() -> None:
    rng = np.random.default_rng(7)
    held = camera(12, 12, 1)
    wall = np.concatenate([rakes(35.0), wall_segments(rng, 14, 6)])
    edges = fits(seen(held, wall, rng))

    found = find_vanishing(edges, prior(known=False))

    assert found is not None
    assert (found.label[:8] != PLUMB).all()
    assert (found.label[:8] != PLUMB + 1).all()
    assert found.yaw_rad == pytest.approx(held.yaw_rad, abs=np.radians(2.0))


def test_strays_are_left_out() -> None:
    rng = np.random.default_rng(8)
    held = camera(-10, 8, 0)
    stray = rng.uniform([0, 0], [1600, 1200], (30, 1, 2)) + rng.uniform(-60, 60, (30, 2, 2))
    good = seen(held, wall_segments(rng, 25, 12), rng)

    found = find_vanishing(fits(np.concatenate([good, stray])), prior(known=True))

    assert found is not None
    assert found.tilt_rad == pytest.approx(held.tilt_rad, abs=CLOSE_RAD)
    assert np.mean(found.label[:37] != NONE) > 0.9
    assert np.mean(found.label[37:] == NONE) > 0.4


def test_too_few_edges_say_nothing() -> None:
    ends = np.array([[[0.0, 0.0], [100.0, 0.0]]] * 5)

    assert find_vanishing(fits(ends), prior(known=True)) is None


def test_random_edges_are_not_clear() -> None:
    rng = np.random.default_rng(9)
    for _ in range(10):
        start = rng.uniform([0, 0], [1600, 1200], (60, 1, 2))
        found = find_vanishing(
            fits(start + rng.uniform(-80, 80, (60, 2, 2))), prior(known=False)
        )

        assert found is None or not found.clear[:2].all()


def test_references_are_few_high_and_share_their_lean() -> None:
    rng = np.random.default_rng(11)
    held = camera(8, 10, 1)
    edges: EdgeFits = fits(seen(held, wall_segments(rng, 30, 12), rng))
    found = find_vanishing(edges, prior(known=True))
    assert found is not None

    offered = direction_references(found, edges, prior(known=True))

    kinds = [reference.kind for reference in offered]
    assert kinds.count("level") == kinds.count("plumb") == 3
    horizon = vanishing_px(found.directions[1], found.focal_px, held.centre_px)
    assert np.isfinite(horizon).all()
    alone = direction_references(found, edges, prior(known=True), most=1)
    assert alone[0].pick_sd_px < offered[0].pick_sd_px


def test_unclear_directions_give_no_references() -> None:
    rng = np.random.default_rng(12)
    start = rng.uniform([0, 0], [1600, 1200], (60, 1, 2))
    edges = fits(start + rng.uniform(-80, 80, (60, 2, 2)))
    found = find_vanishing(edges, prior(known=False))
    assert found is not None

    offered = direction_references(found, edges, prior(known=False))

    clear = {
        kind for kind, ok in zip(("plumb", "level"), found.clear[:2], strict=True) if ok
    }
    assert {reference.kind for reference in offered} <= clear
