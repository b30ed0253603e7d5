"""What one job states alone: a size that nothing contradicts, a lens nobody overrules."""

import numpy as np
import pytest

from calibration.camera import Camera, rotation_looking
from calibration.priors import LensKnowledge, camera_prior
from calibration.references import Points, Straight
from calibration.solution import calibrate

SIZE = (640, 480)
GRID_MM = 25.0 * np.stack(np.meshgrid(np.arange(9), np.arange(6)), axis=-1).reshape(-1, 2)
PICK_SD_PX = 0.12

CAMERA = Camera(
    focal_px=532.0,
    centre_px=np.array([325.0, 238.0]),
    k1=-0.29,
    k2=0.10,
    R_wall_from_camera=rotation_looking(0.35, -0.2, 1.2),
    standoff_mm=350.0,
)


def seen(rng, xy_mm):
    foot = CAMERA.axis[:2] / -CAMERA.axis[2] * CAMERA.standoff_mm
    xy = xy_mm - xy_mm.mean(axis=0) + foot
    exact = CAMERA.project(np.c_[xy, np.zeros(len(xy))])
    return exact + PICK_SD_PX * rng.standard_normal(exact.shape)


def grid(picks):
    return Points(
        name="grid",
        picks_px=picks,
        wall_mm=GRID_MM,
        sd_mm=0.1,
        rotated=True,
        pick_sd_px=PICK_SD_PX,
        projection_sd_mm=0.1,
        title="the grid",
    )


def prior(k1_sd):
    return camera_prior(SIZE, LensKnowledge(k1=0.0, k1_sd=k1_sd))


def test_picks_off_their_place_are_not_blamed_on_the_only_size():
    """Three of 54 picks lie 4 to 6 px aside. The scale is one with the distance."""
    rng = np.random.default_rng(3)
    picks = seen(rng, GRID_MM)
    picks[[0, 9, 18]] += [[5.0, -4.0], [3.0, -3.0], [-4.0, 2.0]]

    found = calibrate("board", [grid(picks)], prior(0.3)).reliability

    assert not found.passed
    (suspect,) = found.suspects
    assert suspect.worst.what == "pick"
    assert suspect.worst.pick in {0, 9, 18}


@pytest.mark.parametrize("k1_sd", [0.3, 0.002])
def test_a_stated_spread_of_the_lens_is_kept(k1_sd):
    """Wide: not made wider. Narrow and wrong: the references speak against it."""
    rng = np.random.default_rng(4)
    edges = [GRID_MM[GRID_MM[:, 1] == y] for y in (0.0, 50.0, 125.0)]
    straight = [
        Straight(name=f"row {i}", picks_px=picks, sd_mm=0.1, pick_sd_px=PICK_SD_PX)
        for i, picks in enumerate(np.split(seen(rng, np.concatenate(edges)), len(edges)))
    ]

    found = calibrate("board", [grid(seen(rng, GRID_MM)), *straight], prior(k1_sd))

    assert found.network.camera.k1_sd == k1_sd
    assert found.reliability.passed == (k1_sd == 0.3)
