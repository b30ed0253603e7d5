"""Every kind of reference: equations, derivatives, first values, stated size."""

from dataclasses import replace

import numpy as np
import pytest

from calibration.adjustment import Adjustment
from calibration.arrays import FloatArray
from calibration.camera import CAMERA_UNKNOWNS, Camera
from calibration.network import Network, State, build_network
from calibration.references import (
    CountDirection,
    Courses,
    Distance,
    Points,
    Rectangle,
    Reference,
    Straight,
)
from calibration.references.base import turned
from calibration.references.hints import LengthHint
from calibration.reliability import _size_test, size_direction
from calibration.snooping import Residuals
from tests.calibration.derivatives import central_differences
from tests.calibration.every_kind import MAKERS, Case
from tests.calibration.views import prior_of, random_camera

SEEDS = range(4)

EXACT_MM = 1e-6  # exact picks brought to ten metres in float64
RELATIVE = 1e-7  # of fourth-order differences, per largest derivative of a column

KINDS = list(MAKERS)
SIZED = [kind for kind in KINDS if kind.startswith(("points", "rect", "tape", "courses"))]
SIZED.remove("rectangle of no known side")

every_kind = pytest.mark.parametrize("kind", KINDS)
every_seed = pytest.mark.parametrize("seed", SEEDS)


def made(kind: str, seed: int) -> tuple[Case, Camera, np.random.Generator]:
    """Return a case at a random camera."""
    rng = np.random.default_rng([seed, KINDS.index(kind)])
    camera = random_camera(rng)
    return MAKERS[kind](camera), camera, rng


def disturbed(case: Case, camera: Camera, rng: np.random.Generator) -> State:
    """Return a state some way off the truth, where no derivative is accidentally zero."""
    own = case.own + rng.normal(0.0, 0.01, len(case.own)) * (1.0 + np.abs(case.own))
    step = rng.normal(0.0, 0.01, CAMERA_UNKNOWNS)
    step[1:3] *= 1000.0
    return State(camera.moved(step), own)


def network_of(reference: Reference, camera: Camera) -> Network:
    """Return the network of one reference."""
    return build_network([reference], prior_of(camera))


def misclosures(network: Network, state: State) -> FloatArray:
    """Return the conditions (U C,) in millimetres, from the whitened system."""
    equations = network.equations(state, network.picks_px)
    (block,) = equations.blocks
    white = equations.residual[block.rows].reshape(*block.unwhiten.shape[:2], 1)
    return (block.unwhiten @ white).ravel()


def wall_of(case: Case, camera: Camera) -> FloatArray:
    """Return the true wall points of a case's exact picks."""
    heights, _ = case.reference.planes(case.own)
    return camera.back_project(case.reference.picks_px, heights).xy_mm


@every_kind
@every_seed
def test_conditions_hold_at_the_truth(kind, seed):
    """Exact picks, the true camera and the true unknowns leave no misclosure."""
    case, camera, _ = made(kind, seed)
    network = network_of(case.reference, camera)

    found = misclosures(network, State(camera, case.own))
    np.testing.assert_allclose(found, 0.0, atol=EXACT_MM)


@every_kind
@every_seed
def test_derivative_by_all_unknowns(kind, seed):
    """The whole chain, camera and own unknowns: whitened rows made numeric again."""
    case, camera, rng = made(kind, seed)
    network = network_of(case.reference, camera)
    state = disturbed(case, camera, rng)
    equations = network.equations(state, network.picks_px)
    (block,) = equations.blocks
    rows = equations.jacobian[block.rows].reshape(*block.unwhiten.shape[:2], network.size)
    analytic = (block.unwhiten @ rows).reshape(-1, network.size)

    steps = 0.01 * network.scales
    numeric = central_differences(
        lambda step: misclosures(network, state.moved(step)), np.zeros(network.size), steps
    )
    # In millimetres for a typical change of each unknown, so that rounding is seen
    # as what it is where a derivative is next to nothing.
    largest = np.abs(numeric * network.scales).max()
    np.testing.assert_allclose(
        analytic * network.scales,
        numeric * network.scales,
        rtol=RELATIVE,
        atol=RELATIVE * largest,
    )


@every_kind
@every_seed
def test_derivative_by_the_picks(kind, seed):
    """B, millimetres per pixel, unit by unit, is what moving each pick does."""
    case, camera, rng = made(kind, seed)
    network = network_of(case.reference, camera)
    state = disturbed(case, camera, rng)
    (block,) = network.equations(state, network.picks_px).blocks
    units, count, _ = block.wrt_picks.shape
    analytic = np.zeros((units, count, *network.picks_px.shape))
    for unit, picks in enumerate(block.picks):
        analytic[unit][:, picks] = block.wrt_picks[unit].reshape(count, -1, 2)

    def moved(shift: FloatArray) -> FloatArray:
        picks = case.reference.picks_px + shift.reshape(-1, 2)
        return misclosures(
            network_of(replace(case.reference, picks_px=picks), camera), state
        )

    size = network.picks_px.size
    numeric = central_differences(moved, np.zeros(size), np.full(size, 0.5))
    scale = np.abs(numeric).max()
    np.testing.assert_allclose(
        analytic.reshape(units * count, -1) / scale, numeric / scale, atol=RELATIVE
    )


@every_kind
@every_seed
def test_shift_to_adjusted_picks_is_first_order(kind, seed):
    """F at adjusted picks plus B times what they moved is F at the picks as given.

    Picks half a pixel apart leave only the second order: a thousandth of a millimetre
    where the first is some millimetres.
    """
    case, camera, rng = made(kind, seed)
    network = network_of(case.reference, camera)
    state = State(camera, case.own)
    moved = network.picks_px + rng.uniform(-0.5, 0.5, network.picks_px.shape)
    equations = network.equations(state, moved)
    (block,) = equations.blocks
    white = equations.residual[block.rows].reshape(*block.unwhiten.shape[:2], 1)

    np.testing.assert_allclose((block.unwhiten @ white).ravel(), 0.0, atol=0.02)


@every_kind
@every_seed
def test_covariance_is_of_picks_and_reference_together(kind, seed):
    """The whitening undoes pick noise through B plus the reference's own covariance."""
    case, camera, _ = made(kind, seed)
    network = network_of(case.reference, camera)
    state = State(camera, case.own)
    (block,) = network.equations(state, network.picks_px).blocks
    wall, _ = network.place(state, network.picks_px)
    own = network.conditions(state, wall, 0).covariance
    sd = case.reference.pick_sd_px

    np.testing.assert_allclose(
        block.unwhiten @ block.unwhiten.transpose(0, 2, 1),
        sd**2 * block.wrt_picks @ block.wrt_picks.transpose(0, 2, 1) + own,
        rtol=1e-9,
        atol=1e-9,
    )


@every_kind
@every_seed
def test_first_values_are_near_the_truth(kind, seed):
    """From exact picks on the stated plane the first values are the true ones."""
    case, camera, _ = made(kind, seed)
    count = len(case.reference.picks_px)
    heights = np.full(count, case.reference.projection_mm)
    wall = camera.back_project(case.reference.picks_px, heights)
    first = case.reference.initial(wall)
    if isinstance(case.reference, Straight):
        first = _same_normal(first, case.own)

    # A soffit's overhang is read off by the lift of its outer edge: exact too.
    np.testing.assert_allclose(first, case.own, rtol=1e-9, atol=1e-3)


def _same_normal(found: FloatArray, true: FloatArray) -> FloatArray:
    """Return the same line with its normal on the true side."""
    flipped = np.cos(found[0] - true[0]) < 0.0
    angle, distance = (found[0] + np.pi, -found[1]) if flipped else found
    return np.array([(angle - true[0] + np.pi) % (2 * np.pi) - np.pi + true[0], distance])


@every_kind
@every_seed
def test_hints_hold_at_the_truth(kind, seed):
    """What a kind tells the closed-form start is true of the true wall points."""
    case, camera, _ = made(kind, seed)
    xy = wall_of(case, camera)

    for hint in case.reference.hints():
        if isinstance(hint, LengthHint):
            a, b = hint.picks
            assert np.hypot(*(xy[b] - xy[a])) == pytest.approx(hint.length_mm)
        else:
            rest = xy[hint.picks, hint.axis] - hint.values_mm
            assert np.ptp(rest) == pytest.approx(0.0, abs=EXACT_MM)


@every_kind
def test_every_pick_is_used_once(kind):
    """No pick occurs in two units, and none is left out."""
    case, camera, _ = made(kind, 0)
    found = case.reference.conditions(wall_of(case, camera), case.own)

    used = np.sort(found.picks.ravel())
    np.testing.assert_array_equal(used, np.arange(len(case.reference.picks_px)))


@every_kind
def test_unknown_keys_are_different(kind):
    """Each unknown of a kind has a key of its own and a positive scale."""
    case, _, _ = made(kind, 0)
    unknowns = case.reference.unknowns()

    assert len({unknown.key for unknown in unknowns}) == len(unknowns) == len(case.own)
    assert all(unknown.scale > 0.0 for unknown in unknowns)


# --- Stated sizes ---------------------------------------------------------------------

STRETCH = 1e-4


def stretched(reference: Reference) -> Reference:
    """Return a reference whose stated size is larger by a little, picks unchanged."""
    gain = 1.0 + STRETCH
    if isinstance(reference, Points):
        middle = reference.wall_mm.mean(axis=0)
        return replace(reference, wall_mm=middle + gain * (reference.wall_mm - middle))
    if isinstance(reference, Rectangle):
        sides = reference.width_mm, reference.height_mm
        width, height = (side and gain * side for side in sides)
        return replace(reference, width_mm=width, height_mm=height)
    if isinstance(reference, Distance):
        return replace(reference, length_mm=gain * reference.length_mm)
    assert isinstance(reference, Courses)
    return replace(reference, pitch_mm=gain * reference.pitch_mm)


PRINTS = [kind for kind in SIZED if kind.startswith("points of a")]


@pytest.mark.parametrize("kind", [kind for kind in SIZED if kind not in PRINTS])
@every_seed
def test_size_error_is_what_a_wrong_size_does_to_the_rows(kind, seed):
    """The direction tested for a wrong size is the numeric change of the whitened rows."""
    case, camera, _ = made(kind, seed)
    network = network_of(case.reference, camera)
    wrong = network_of(stretched(case.reference), camera)
    state = State(camera, case.own)
    equations = network.equations(state, network.picks_px)
    change = wrong.equations(state, network.picks_px).residual - equations.residual
    nothing_known = np.zeros((network.size, network.size))
    adjustment = Adjustment(state, equations, nothing_known)
    test = _size_test(network, adjustment, Residuals(adjustment), 0)

    # A reading that is too large lowers the misclosure computed less stated.
    scale = np.abs(change / STRETCH).max()
    np.testing.assert_allclose(
        test.direction / scale, change / STRETCH / scale, atol=10 * STRETCH
    )


@pytest.mark.parametrize("kind", PRINTS)
@every_seed
def test_size_error_of_a_print_is_its_prior(kind, seed):
    """Scaled coordinates and a shifted scale prior differ only by an unknown's step."""
    case, camera, _ = made(kind, seed)
    network = network_of(case.reference, camera)
    wrong = network_of(stretched(case.reference), camera)
    state = State(camera, case.own)
    equations = network.equations(state, network.picks_px)
    change = wrong.equations(state, network.picks_px).residual - equations.residual
    direction = size_direction(network, equations, state, 0)
    assert direction is not None
    told = direction - change / STRETCH
    step = np.linalg.lstsq(equations.jacobian, told, rcond=None)[0]

    rest = told - equations.jacobian @ step
    scale = np.abs(change / STRETCH).max()
    np.testing.assert_allclose(rest / scale, 0.0, atol=10 * STRETCH)


@every_kind
def test_only_sized_kinds_have_a_size_error(kind):
    """A kind states a size exactly if it says so to the start."""
    case, _, _ = made(kind, 0)

    stated = case.reference.size_error(case.own) is not None
    assert stated == case.reference.sized == (kind in SIZED)


# --- Shared and special unknowns ------------------------------------------------------


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


@every_seed
def test_a_straight_edge_in_space_is_straight_on_the_wall(seed):
    """Whatever its depth and slope, brought to the wall it leaves no misclosure."""
    rng = np.random.default_rng(seed)
    camera = random_camera(rng)
    ends = np.array([[-1500.0, 2000.0, 400.0], [1800.0, 2600.0, -900.0]])
    edge = ends[0] + np.linspace(0.0, 1.0, 6)[:, None] * (ends[1] - ends[0])
    reference = Straight(name="edge", picks_px=camera.project(edge))
    wall = camera.back_project(reference.picks_px, np.zeros(6))

    found = reference.conditions(wall.xy_mm, reference.initial(wall)).misclosure
    np.testing.assert_allclose(found, 0.0, atol=EXACT_MM)


@every_kind
def test_a_plane_in_front_of_the_wall_is_the_sized_kinds_first_unknown(kind):
    """Sized kinds lie on their own plane; the others have none."""
    case, _, _ = made(kind, 0)
    unknowns = case.reference.unknowns()

    has_plane = bool(unknowns) and unknowns[0].key.endswith(": plane")
    assert has_plane == type(case.reference).gives_size


def test_turned_is_anticlockwise():
    """A quarter turn carries the x axis to the y axis."""
    quarter = turned(np.array([[1.0, 0.0]]), np.pi / 2)

    np.testing.assert_allclose(quarter, [[0.0, 1.0]], atol=1e-15)
