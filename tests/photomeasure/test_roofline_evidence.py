"""Evidence for roof lines: chances that share out, ends that admit doubt, soffits."""

from dataclasses import replace

import numpy as np
import pytest

from calibration.priors import LensKnowledge, camera_prior
from photomeasure.job.schema import Role
from photomeasure.proposals import Proposals, Reading, of_a_house, propose_from, read_edges
from photomeasure.proposals.boards import (
    UNSEEN,
    UNSEEN_ACROSS,
    UNSEEN_ALONG,
    doubt_px,
    with_unseen,
)
from photomeasure.proposals.bundles import Bundles
from photomeasure.proposals.coarse import apart
from photomeasure.proposals.ends import ends_of, rake_ends
from photomeasure.proposals.gables import find_gables
from photomeasure.proposals.levels import SUREST_RIDGE, Found, find_levels
from photomeasure.proposals.weights import (
    DOUBT,
    NO_EAVES,
    NONE,
    WEIGHTS,
    chances,
    of_house,
    small,
    weighed,
)
from photomeasure.reading.model import LIKELY
from photomeasure.snapping.model import EDGE_MODEL_SD_PX
from tests.accuracy.roof_scenes import BLACK, WHITE, roof_scene
from tests.accuracy.rooflines import RIGHT_EDGE
from tests.photomeasure.rooflines import off
from tests.pictures.palettes import Rgb
from tests.pictures.truth import Truth

SMALL = (800, 600)
GREEN = (46, 74, 58)
LARGE = (1600, 1200)
EAVES, GABLE = 7, 1000
"""Seeds of a house seen from its eaves and of one seen from its gable."""


def read(seed: int, boards: Rgb, size: tuple[int, int]) -> tuple[Reading, Truth]:
    """Return a small drawn house as it was read."""
    scene = roof_scene(seed)
    house = replace(scene.house, boards=boards, occluders=())
    stand = replace(scene.stand, size_px=size)
    picture = replace(scene, house=house, stand=stand).draw()
    reading = read_edges(picture.rgb, camera_prior(size, LensKnowledge()))
    assert reading is not None
    return reading, picture.truth


def true_ends(truth: Truth, role: str) -> list[np.ndarray]:
    """Return the ends (2, 2) of the true lines of a role, from left to right."""
    lines = [edge.ends_px for edge in truth.edges if edge.role == role]
    return [ends[np.argsort(ends[:, 0])] for ends in lines]


@pytest.fixture(scope="module")
def eaves_house() -> tuple[Reading, Truth]:
    return read(EAVES, WHITE, SMALL)


@pytest.fixture(scope="module")
def eaves_line(eaves_house) -> Found:
    reading, _ = eaves_house
    return find_levels(reading, Role.EAVES, Bundles(reading))[0][0]


@pytest.fixture(scope="module")
def gable_reading() -> tuple[Reading, Truth]:
    return read(GABLE, GREEN, LARGE)


@pytest.fixture(scope="module")
def gable_house(gable_reading) -> tuple[Proposals, Truth]:
    reading, truth = gable_reading
    return propose_from(reading), truth


@pytest.mark.parametrize("role", list(WEIGHTS))
def test_chances_share_out_what_none_of_them_leaves(role: Role) -> None:
    sure = chances([NONE[role] + 9.0, NONE[role]], role)
    alike = chances([NONE[role] + 9.0] * 3, role)

    assert sure[0] > 0.99
    assert sure.sum() < 1.0
    np.testing.assert_allclose(alike, alike[0])
    assert alike[0] < 1.0 / 3.0


def test_a_line_that_fills_little_of_the_photo_is_less_likely() -> None:
    share = np.array([0.05, 0.6, 0.9])
    odds = weighed({"small": small(share, Role.RAKE)}, Role.RAKE)

    assert odds[0] < odds[1] - 3.0
    assert odds[1] == odds[2] == 0.0


def test_the_eaves_of_a_white_board_is_likely_and_the_first(
    eaves_house, eaves_line
) -> None:
    _, truth = eaves_house

    assert eaves_line.board > LIKELY
    assert eaves_line.chance > 0.5
    assert np.abs(off(eaves_line.edge.ends_px[0], true_ends(truth, "eaves")[0])).max() < 0.8


def test_a_line_that_is_surely_the_ridge_is_no_eaves(eaves_house, eaves_line) -> None:
    reading, _ = eaves_house
    ridge = replace(eaves_line, role=Role.RIDGE, chance=0.99)
    higher = replace(ridge, ends_px=ridge.ends_px - [0.0, 60.0])

    def against_none(ridges: list[Found]) -> float:
        (first, *_), none = find_levels(reading, Role.EAVES, Bundles(reading), ridges)
        return first.chance / none

    free = against_none([])
    assert against_none([ridge]) == pytest.approx(free * (1.0 - SUREST_RIDGE), rel=0.01)
    assert against_none([higher]) == pytest.approx(free, rel=0.01)


def test_the_wall_s_edge_of_the_soffit_is_found_below_its_eaves(eaves_house) -> None:
    reading, truth = eaves_house
    inner, outer = propose_from(reading).soffits[0]

    wall = true_ends(truth, "soffit-wall")[0]
    assert np.abs(off(inner.edge.ends_px[0], wall)).max() < 1.0
    assert outer.role is Role.EAVES


def test_ends_lie_within_their_spread(eaves_house, eaves_line) -> None:
    reading, truth = eaves_house
    ends, sd = ends_of(reading, eaves_line)
    error = np.hypot(*(ends - true_ends(truth, "eaves")[0]).T)

    assert (error < 3.0 * np.hypot(sd, 0.5)).all()
    assert (sd < 0.02 * max(SMALL)).all()


def test_an_end_where_the_parallels_stop_elsewhere_is_less_sure(
    eaves_house, eaves_line
) -> None:
    reading, _ = eaves_house
    short = eaves_line.runs.copy()
    rows = [row for row in range(len(short)) if row != eaves_line.row]
    short[rows, 1] = eaves_line.ends_px[1] - [30.0, 0.0]
    agreeing = short.copy()
    agreeing[rows, 1] = eaves_line.ends_px[1]

    _, doubted = ends_of(reading, replace(eaves_line, runs=short))
    _, sure = ends_of(reading, replace(eaves_line, runs=agreeing))

    assert doubted[1] > 1.5 * sure[1]
    assert doubted[0] == pytest.approx(sure[0], rel=0.5)


def test_dark_rakes_that_differ_little_from_their_underside_come_first(gable_house) -> None:
    offered, truth = gable_house
    left, right = offered.rakes[:2]

    for line, true in zip((left, right), true_ends(truth, "rake"), strict=True):
        across = np.sqrt(line.edge.covariance[0, 0, 0] + EDGE_MODEL_SD_PX**2)
        error = np.abs(off(line.picks_px, true)).mean()
        assert error < min(3.0 * across, RIGHT_EDGE * max(LARGE))


def test_a_rake_that_runs_on_into_a_hedge_ends_level_with_the_other(gable_reading) -> None:
    reading, truth = gable_reading
    gable = find_gables(reading, Bundles(reading))[0][0]
    line = gable.left
    way = line.ends_px[1] - line.ends_px[0]
    on = line.ends_px - [[0.15 * reading.side_px], [0.0]] * (way / np.hypot(*way))
    runs = line.runs.copy()
    runs[line.row] = on
    hidden = replace(line, ends_px=on, runs=runs)

    alone, _ = ends_of(reading, hidden)
    ends, _ = ends_of(reading, hidden, (0, gable.right.ends_px[1]))

    foot = min(true_ends(truth, "rake"), key=lambda ends: ends[0, 0])[0]
    assert np.hypot(*(alone[0] - foot)) > 100.0
    assert np.hypot(*(ends[0] - foot)) < 5.0


def test_an_apex_is_as_doubtful_as_which_edge_the_other_rake_is(gable_reading) -> None:
    reading, _ = gable_reading
    best, *others = find_gables(reading, Bundles(reading))[0]
    other = next(
        gable
        for gable in others
        if gable.left.row == best.left.row
        and apart(gable.right.ends_px, best.right.ends_px) > 5.0
    )
    unsure = [replace(gable, chance=0.5) for gable in (best, other)]

    one, two = (rake_ends(reading, g, g[0].left, 1)[2] for g in ([best], unsure))

    assert one[0] == two[0]
    assert one[1] < 2.0
    assert 5.0 < two[1] < 40.0


def test_rakes_come_from_both_sides_in_turn_and_each_edge_once(gable_house) -> None:
    offered, _ = gable_house
    ways = [line.picks_px[-1] - line.picks_px[0] for line in offered.rakes]
    rising = [bool(way[0] * way[1] < 0.0) for way in ways]
    sides = {
        side: [li for li, up in zip(offered.rakes, rising, strict=True) if up is side]
        for side in (True, False)
    }

    assert rising[:2] == [True, False]
    for lines in sides.values():
        chance = [line.confidence for line in lines]
        assert chance == sorted(chance, reverse=True)
        assert sum(chance) <= 1.0 + 1e-9
        for place, line in enumerate(lines):
            for other in lines[:place]:
                assert np.abs(off(line.edge.ends_px[0], other.edge.ends_px[0])).max() > 0.6


def test_a_board_whose_arris_does_not_show_has_the_mean_place_of_its_edges() -> None:
    evidence = {"length": np.array([1.0, 3.0, 5.0]), "clear": np.array([1.0, 2.0, 3.0])}
    rows = with_unseen(evidence, np.array([0, 0, 1]), Role.EAVES)

    np.testing.assert_array_equal(rows["length"], [1.0, 3.0, 5.0, 2.0, 5.0])
    np.testing.assert_array_equal(rows["clear"], [1.0, 2.0, 3.0, 0.0, 0.0])
    np.testing.assert_array_equal(rows[UNSEEN], [0.0, 0.0, 0.0, 1.0, 1.0])


def test_edges_of_one_board_widen_a_line_by_their_chance() -> None:
    line = np.array([[100.0, 50.0], [900.0, 50.0]])
    lower = line + np.array([[-20.0, 10.0], [30.0, 10.0]])
    short = line + np.array([[20.0, 10.0], [-30.0, 10.0]])
    both = np.stack([line, lower])

    alone = doubt_px(line, both[:1], np.array([0.9]), (0.0, 1000.0))
    shared = doubt_px(line, both, np.array([0.75, 0.25]), (0.0, 1000.0))

    np.testing.assert_array_equal(alone[0], [0.0, 0.0])
    assert alone[1] == 0.0
    # A quarter's chance of being so far off: rms is half of it.
    np.testing.assert_allclose(shared[0], [10.0, 15.0])
    assert shared[1] == pytest.approx(5.0)
    # A board is as long as its longest edge.
    inner = doubt_px(line, np.stack([line, short]), np.array([0.75, 0.25]), (0.0, 1000.0))
    np.testing.assert_array_equal(inner[0], [0.0, 0.0])


def test_an_arris_that_may_not_show_widens_a_line_that_is_alone() -> None:
    line = np.array([[100.0, 50.0], [900.0, 50.0]])
    along, across = doubt_px(line, line[None], np.array([0.5]), (0.5, 1000.0))

    np.testing.assert_allclose(along, UNSEEN_ALONG * 1000.0 / np.sqrt(2.0))
    assert across == pytest.approx(UNSEEN_ACROSS * 1000.0 / np.sqrt(2.0))


def test_a_black_eaves_is_sure_though_its_arris_is_not() -> None:
    reading, truth = read(EAVES, BLACK, LARGE)
    best = propose_from(reading).eaves[0]
    true = true_ends(truth, "eaves")[0]
    ends = best.picks_px[[0, 2]]

    assert best.board > LIKELY
    assert best.board > best.confidence
    assert (np.abs(ends - true) < 3.0 * best.pick_sd_px).all()


def test_a_photo_of_a_house_for_sure_has_likelier_lines(eaves_house) -> None:
    reading, _ = eaves_house
    found = propose_from(reading)
    doubted, sure = found.eaves[0], of_a_house(found).eaves[0]

    assert doubted.board < sure.board <= 1.0
    np.testing.assert_array_equal(sure.picks_px, doubted.picks_px)


@pytest.mark.parametrize("gable", [0.0, 1.0])
def test_a_house_that_shows_no_gable_shows_its_eaves(gable: float) -> None:
    none = {Role.EAVES: 0.8, Role.RAKE: 1.0 - gable}
    gain = of_house(none)[Role.EAVES]
    against = (1.0 - 0.2 * gain) / (0.2 * gain)

    # The doubt of any photo falls away; no gable speaks for eaves, a gable not against.
    change = DOUBT[Role.EAVES] + (0.0 if gable else NONE[Role.EAVES] - NO_EAVES[0])
    assert np.log(4.0 / against) == pytest.approx(change)
