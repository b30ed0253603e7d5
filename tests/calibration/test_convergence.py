"""Cameras of which nothing is known: the hardest descents, and where they must end."""

import numpy as np
import pytest

from calibration.adjustment import adjust, descend
from calibration.camera import Camera, rotation_looking
from calibration.network import State, build_network
from calibration.priors import LensKnowledge, camera_prior
from calibration.references import Rectangle, Straight
from calibration.solution import calibrate

SIZE = (640, 480)
SQUARE_MM = 25.0
UNKNOWN_LENS = LensKnowledge(k1=0.0, k1_sd=0.3)
BARREL = {"k1": -0.29, "k2": 0.10}

SAME_MINIMUM = 1e-3
"""Misfit that descents to one minimum may differ by: they stop at 1e-8 sd."""


def strong_barrel(yaw: float, tilt: float, roll: float) -> Camera:
    return Camera(
        focal_px=532.0,
        centre_px=np.array([325.0, 238.0]),
        R_wall_from_camera=rotation_looking(yaw, tilt, roll),
        standoff_mm=350.0,
        **BARREL,
    )


def grid_references(camera: Camera, rng: np.random.Generator, pick_sd_px: float):
    """Lay a 9 x 6 grid before the camera: a part of known size, rows, columns."""
    sight = camera.axis[:2] / -camera.axis[2] * camera.standoff_mm
    origin = sight - [100.0, 62.5] + rng.uniform(-30.0, 30.0, 2)
    c, r = rng.choice([0, 4]), rng.choice([0, 2])

    def picks(cells):
        xy = origin + SQUARE_MM * np.array(cells)
        exact = camera.project(np.c_[xy, np.zeros(len(xy))])
        return exact + pick_sd_px * rng.standard_normal(exact.shape)

    common = {"pick_sd_px": pick_sd_px, "projection_sd_mm": 0.1}
    corners = [(c, r), (c + 4, r), (c + 4, r + 2), (c, r + 2)]
    rectangle = Rectangle(
        name="part", picks_px=picks(corners), width_mm=100.0, height_mm=50.0,
        sd_mm=0.1, rotated=True, **common,
    )  # fmt: skip
    edges = [[(c, r) for c in range(0, 9, 2)] for r in (0, 2, 4)]
    edges += [[(c, r) for r in (0, 2, 4)] for c in range(0, 9, 2)]
    straight = [
        Straight(name=f"edge {i}", picks_px=picks(edge), sd_mm=0.1, **common)
        for i, edge in enumerate(edges)
    ]
    return [rectangle, *straight]


CORNER_SD_PX, HAND_SD_PX = 0.12, 1.0

CREPT = (159, 164)
"""Of the first 300 seeds, those where descents at full precision stopped short."""

SWUNG = 29
"""The first seed where plain steps swing about the minimum and settle too slowly."""


@pytest.mark.parametrize(
    ("seed", "pick_sd_px"),
    [(seed, CORNER_SD_PX) for seed in (*CREPT, *range(8))]
    + [(seed, HAND_SD_PX) for seed in (SWUNG, *range(8))],
)
def test_an_unknown_strong_lens_is_found_from_an_unknown_viewpoint(seed, pick_sd_px):
    """Focal length, lens and tilt trade against each other in a narrow bent valley.

    The program starts at a distortion of zero and a trial viewpoint; a descent from
    the true camera shows where the valley's floor is.
    """
    rng = np.random.default_rng([seed, 7])
    camera = strong_barrel(*rng.uniform(-0.5, 0.5, 2), rng.uniform(-3.0, 3.0))
    references = grid_references(camera, rng, pick_sd_px)
    prior = camera_prior(SIZE, UNKNOWN_LENS)
    network = build_network(references, prior)
    floor = adjust(network, _downhill(network, camera)).cost

    found = calibrate("grid", references, prior)

    assert found.adjustment.cost <= floor + SAME_MINIMUM
    assert found.camera.k1 == pytest.approx(BARREL["k1"], abs=4.0 * _sd(found, 3))
    assert found.camera.focal_px == pytest.approx(532.0, abs=4.0 * 532.0 * _sd(found, 0))


def _downhill(network, camera: Camera) -> State:
    """Descend from the true camera until nothing more is gained."""
    state, cost = descend(network, network.start(camera))
    for _ in range(30):
        state, lower = descend(network, state)
        if lower > cost - 1e-6:
            break
        cost = lower
    return state


def _sd(solution, column: int) -> float:
    return float(np.sqrt(np.sum(solution.factor[column] ** 2)))
