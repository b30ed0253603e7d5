"""Trial states far from any house: their cost says so, nothing else happens."""

import numpy as np
import pytest

from calibration.camera import Camera, rotation_looking
from calibration.errors import EstimationError, ReferencesDisagree
from calibration.network import State, build_network
from calibration.priors import LensKnowledge, camera_prior
from calibration.references import Distance, Plumb, Rectangle, Straight
from calibration.solution import calibrate
from photomeasure.job.build import build_elevation
from photomeasure.job.schema import ElevationSpec
from tests.photomeasure.house import front

SIZE = (1600, 1200)


def camera(**changes):
    facts = {
        "focal_px": 1180.0,
        "centre_px": np.array([799.5, 599.5]),
        "R_wall_from_camera": rotation_looking(0.1, 0.1, 0.0),
        "standoff_mm": 8000.0,
    }
    return Camera(**{**facts, **changes})


@pytest.fixture
def network():
    references = [
        Distance(
            name="tape",
            picks_px=np.array([[200.0, 900.0], [700.0, 900.0]]),
            length_mm=3000.0,
            sd_mm=3.0,
        ),
        Rectangle(
            name="door",
            picks_px=np.array([[500.0, 900], [650, 900], [650, 600], [500, 600]]),
            width_mm=910.0,
            height_mm=2040.0,
        ),
        Plumb(name="quoin", picks_px=np.array([[1200.0, 900], [1200, 300]])),
        Straight(name="edge", picks_px=np.array([[100.0, 900], [100, 600], [100, 300]])),
    ]
    return build_network(references, camera_prior(SIZE, LensKnowledge(key="one")))


@pytest.mark.parametrize(
    "changes",
    [
        {"k1": 1e200},
        {"k1": -1e3},
        {"standoff_mm": 1e-300},
        {"standoff_mm": 1e300},
        {"focal_px": 1e-290},
        {"focal_px": 1e290},
        {"centre_px": np.array([1e300, -1e300])},
        {"R_wall_from_camera": rotation_looking(np.pi / 2, 0.0, 0.0)},
        {"R_wall_from_camera": rotation_looking(np.pi, 0.0, 0.0)},
    ],
)
def test_a_wild_camera_costs_more_than_any_house(changes, network):
    """No warning, no exception: an infinite, undefined or enormous cost."""
    own = np.zeros(network.size - 9)

    cost = network.equations(State(camera(**changes), own), network.picks_px).cost

    assert not cost < 1e6


def test_two_ends_on_one_spot_cost_too_much(network):
    """A trial lens may fold both ends of a tape onto each other."""
    together = network.picks_px.copy()
    together[1] = together[0]
    state = network.start(camera())

    assert np.isfinite(network.equations(state, network.picks_px).cost)
    assert not np.isfinite(network.equations(state, together).cost)


def test_a_wandering_adjustment_is_refused(tmp_path):
    """Sharp picks and a count of 99,999 send the steps far off; found by fuzzing."""
    elevation = front()
    elevation["pick_sd_px"] = 0.001
    references = elevation["references"]
    references[1]["ends"][0][1] = 451.0730078572584
    references[2]["picks"][1][0] = 50.0
    references[2]["counts"][3] = 99_999.0
    references[4]["ends"][1][0] = 1307.0685467906792
    references[6]["picks"][2][1] = 649.0
    built = build_elevation(ElevationSpec.model_validate(elevation), tmp_path)

    with pytest.raises(EstimationError):
        calibrate("front", built.references, built.camera)


def test_a_gross_size_is_named_though_the_lens_cannot_be_freed(tmp_path):
    """The doubled tape speaks against the lens too, but it is not the lens."""
    elevation = front()
    elevation["references"][1]["length_mm"] *= 2.0
    built = build_elevation(ElevationSpec.model_validate(elevation), tmp_path)

    with pytest.raises(ReferencesDisagree, match=r"the 6 m tape says .* more"):
        calibrate("front", built.references, built.camera)


def test_equal_residuals_blame_the_first_pick(tmp_path):
    """Three picks of an edge, checked once, stand out alike; rounding must not choose."""
    elevation = front()
    for i, reference in enumerate(elevation["references"]):
        for picks in (reference.get(word, []) for word in ("picks", "ends", "corners")):
            for k, pick in enumerate(picks):
                pick[0] += 0.7 * (-1) ** (i + k)
    built = build_elevation(ElevationSpec.model_validate(elevation), tmp_path)

    reports = calibrate("front", built.references, built.camera).reliability.references

    edge = next(report for report in reports if report.kind == "straight")
    assert edge.worst.pick == 0
    assert abs(edge.worst.w) > 0.1
