"""Parallel edges, corners, runs and the segments of a whole picture."""

import numpy as np
import pytest

from calibration.edges import corner, edges_beside, fit_edges, light_of, photo_segments
from calibration.edges.runs import Run, follow
from calibration.edges.segments import merged
from tests.calibration.edges.pictures import LENS, line_at, lit, step

CENTRE = np.array([200.0, 150.0])


def coded(values: np.ndarray) -> np.ndarray:
    """Return light as the 8-bit sRGB picture that a phone would write."""
    light = np.clip(values, 0.0, 1.0)
    code = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    return np.repeat(np.rint(255.0 * code).astype(np.uint8)[..., None], 3, axis=2)


def test_light_undoes_the_display_curve() -> None:
    ramp = np.linspace(0.0, 1.0, 256)[None].repeat(4, axis=0)

    light = light_of(coded(ramp))

    assert np.abs(light.values - ramp).max() < 0.006


def test_all_parallels_are_found_in_order_with_their_signs() -> None:
    ends, normal = line_at(0.08, CENTRE, 220.0)
    values = np.full((300, 400), 0.1)
    for shift, height in ((-12.0, 0.3), (-4.0, -0.2), (6.0, 0.4)):
        values = values + step(normal, CENTRE + shift * normal, levels=(0.0, height))

    found = edges_beside(lit(values), ends, LENS, reach_px=16.0)

    across = ((found.ends_px - ends) @ normal).mean(axis=1)
    np.testing.assert_allclose(across, [-12.0, -4.0, 6.0], atol=0.15)
    np.testing.assert_array_equal(np.sign(found.contrast), [1.0, -1.0, 1.0])


def test_nothing_is_found_in_noise() -> None:
    rng = np.random.default_rng(2)
    ends, _ = line_at(0.2, CENTRE, 200.0)

    counts = [
        len(
            edges_beside(
                lit(np.full((300, 400), 0.4), 0.02, rng), ends, LENS, reach_px=16.0
            )
        )
        for _ in range(10)
    ]

    assert sum(counts) <= 2


def test_corner_lies_where_two_edges_meet_and_its_covariance_holds() -> None:
    rng = np.random.default_rng(7)
    first, n1 = line_at(0.1, CENTRE, 150.0)
    second, n2 = line_at(1.4, CENTRE, 150.0)
    values = np.minimum(step(n1, CENTRE), step(-n2, CENTRE))
    sizes = []
    for _ in range(30):
        light = lit(values, 0.015, rng)
        a = fit_edges(light, (CENTRE + np.outer([0.1, 1.0], first[1] - CENTRE))[None], LENS)
        b = fit_edges(
            light, (CENTRE + np.outer([0.1, 1.0], second[1] - CENTRE))[None], LENS
        )
        met = corner(a, b, LENS)
        assert met is not None
        error = met.point_px - CENTRE
        sizes.append(error @ np.linalg.solve(met.covariance, error))

    # Chi squared of two degrees: mean 2; 30 trials tell it to a quarter.
    assert np.mean(sizes) < 3.5


def test_parallel_edges_meet_nowhere() -> None:
    ends, normal = line_at(0.1, CENTRE, 200.0)
    light = lit(step(normal, CENTRE))
    edge = fit_edges(light, ends[None], LENS)

    assert corner(edge, edge, LENS) is None


def followed(values: np.ndarray, to_px: float, **reach_px: float) -> Run:
    """Return the run of a level edge at row 149.5, known from column 60 on."""
    light = lit(values)
    rough = np.array([[[60.0, 149.5], [to_px, 149.5]]])
    return follow(light, fit_edges(light, rough, LENS), LENS, **reach_px)


def test_run_ends_where_the_board_ends() -> None:
    values = np.full((300, 400), 0.3)
    values[140:150, 60:320] = 0.8
    values[150:, :] = 0.1
    values[150:, 330:] = 0.3
    rough = np.array([[[120.0, 149.5], [260.0, 149.5]]])
    light = lit(values)

    run = follow(light, fit_edges(light, rough, LENS), LENS, beyond_px=140.0, gap_px=10.0)

    assert run.share[1] * 140.0 + 120.0 == pytest.approx(320.0, abs=12.0)
    assert not run.open.any()


@pytest.mark.parametrize(("trunk_px", "bridged"), [(30, True), (90, False)])
def test_a_board_goes_on_behind_a_tree_but_not_beyond_a_long_gap(
    trunk_px: int, bridged: bool
) -> None:
    values = np.full((300, 400), 0.3)
    values[140:150, 30:380] = 0.8
    values[150:, :] = 0.1
    values[:, 200 : 200 + trunk_px] = 0.05

    plain, over = (
        followed(values, 190.0, beyond_px=230.0, gap_px=10.0, bridge_px=bridge)
        for bridge in (0.0, 60.0)
    )

    assert plain.ends_px[1, 0] == pytest.approx(200.0, abs=5.0)
    assert over.ends_px[1, 0] == pytest.approx(380.0 if bridged else 200.0, abs=5.0)


def test_leaves_beyond_a_gap_are_not_bridged_to() -> None:
    rng = np.random.default_rng(3)
    values = np.full((300, 400), 0.3)
    values[140:150, 30:200] = 0.8
    values[150:, :200] = 0.1
    values[:, 230:] = rng.uniform(0.05, 0.8, (300, 170))

    run = followed(values, 190.0, beyond_px=200.0, gap_px=10.0, bridge_px=60.0)

    assert run.ends_px[1, 0] == pytest.approx(200.0, abs=5.0)


def test_leaves_that_turn_an_edge_round_and_round_are_no_part_of_it() -> None:
    values = np.full((300, 400), 0.3)
    values[130:150] = np.where(np.arange(400) // 20 % 2, 0.25, 0.5)
    values[150:, :200] = 0.1
    values[150:, 200:] = np.where(np.arange(200) // 7 % 2, 0.05, 0.9)

    run = followed(values, 190.0, beyond_px=200.0, gap_px=30.0, bridge_px=60.0)

    assert run.ends_px[1, 0] == pytest.approx(200.0, abs=20.0)


def test_a_board_goes_on_where_the_wall_behind_it_ends() -> None:
    values = np.full((300, 400), 0.9)
    values[140:150, 30:380] = 0.4
    values[150:, :330] = 0.1

    run = followed(values, 300.0, beyond_px=100.0, gap_px=30.0, bridge_px=60.0)

    assert run.ends_px[1, 0] == pytest.approx(380.0, abs=5.0)


def test_run_that_leaves_the_picture_is_open() -> None:
    ends, normal = line_at(0.0, CENTRE, 120.0)
    light = lit(step(normal, CENTRE))

    run = follow(
        light, fit_edges(light, ends[None], LENS), LENS, beyond_px=300.0, gap_px=9.0
    )

    assert run.open.all()


def test_collinear_parts_are_merged_and_parallel_ones_are_not() -> None:
    parts = np.array(
        [
            [[10.0, 10.0], [60.0, 10.2]],
            [[70.0, 10.1], [130.0, 10.4]],
            [[10.0, 15.0], [130.0, 15.3]],
            [[130.0, 10.3], [20.0, 10.0]],
        ]
    )

    joined = merged(parts)

    assert len(joined) == 3
    assert np.hypot(*(joined[:, 1] - joined[:, 0]).T).max() == pytest.approx(120.0, abs=1.0)


def test_segments_of_a_picture_lie_on_its_edges_and_keep_the_dark_side_left() -> None:
    normal = line_at(0.3, CENTRE, 200.0)[1]
    rgb = coded(step(normal, CENTRE))

    found = photo_segments(rgb, light_of(rgb), LENS)

    assert len(found) >= 1
    off = (found.ends_px[0] - CENTRE) @ normal
    # Code values are steps of 1/255: half a step over the slope of the edge.
    assert np.abs(off).max() < 0.05
    assert (found.contrast > 0.0).all()


def test_plain_picture_has_no_segments() -> None:
    rgb = np.full((120, 160, 3), 90, dtype=np.uint8)

    assert len(photo_segments(rgb, light_of(rgb), LENS)) == 0
