"""Cameras in front of a wall, drawn from seeds, and picks of known wall points."""

from dataclasses import replace

import numpy as np

from calibration.arrays import FloatArray
from calibration.camera import Camera, rotation_looking
from calibration.priors import CameraPrior, LensKnowledge, camera_prior

SIZE_PX = (4000, 3000)
CENTRE_PX = (np.array(SIZE_PX) - 1.0) / 2.0
FOCAL_PX = 3000.0


def random_camera(
    rng: np.random.Generator, *, distorted: bool = True, steepest_deg: float = 35.0
) -> Camera:
    """Return a hand-held camera: yaw, tilt up to a limit, a little roll, a phone lens."""
    steepest = np.radians(steepest_deg)
    return Camera(
        focal_px=FOCAL_PX * float(np.exp(rng.uniform(-0.15, 0.15))),
        centre_px=CENTRE_PX + rng.normal(0.0, 15.0, 2) * distorted,
        k1=float(rng.uniform(-0.08, 0.08)) * distorted,
        k2=float(rng.uniform(-0.02, 0.02)) * distorted,
        R_wall_from_camera=rotation_looking(
            float(rng.uniform(-steepest, steepest)),
            float(rng.uniform(-0.1, 0.8) * steepest),
            float(rng.normal(0.0, np.radians(2.0))),
        ),
        standoff_mm=float(rng.uniform(5000.0, 15000.0)),
    )


def likely_camera(rng: np.random.Generator, *, steepest_deg: float = 35.0) -> Camera:
    """Return a hand-held camera whose lens is one that the usual prior expects."""
    camera = random_camera(rng, distorted=False, steepest_deg=steepest_deg)
    prior = prior_of(camera)
    return replace(
        camera,
        centre_px=rng.normal(prior.centre_px, prior.centre_sd_px),
        k1=float(rng.normal(0.0, prior.k1_sd)),
        k2=float(rng.normal(0.0, prior.k2_sd)),
    )


def prior_of(camera: Camera, *, focal_known: bool = True) -> CameraPrior:
    """Return what a careful person would know of a camera."""
    focal = camera.focal_px if focal_known else None
    return camera_prior(SIZE_PX, LensKnowledge(focal_px=focal))


def on_picture(camera: Camera, across: FloatArray, up: FloatArray) -> FloatArray:
    """Return wall points (N, 2) at shares of the picture, 0 to 1 from bottom left."""
    picks = np.c_[across * SIZE_PX[0], (1.0 - up) * SIZE_PX[1]] - 0.5
    return camera.back_project(picks, np.zeros(len(picks))).xy_mm


def pick(
    camera: Camera,
    wall_mm: FloatArray,
    rng: np.random.Generator,
    *,
    sd_px: float = 1.0,
    z_mm: float = 0.0,
) -> FloatArray:
    """Return noisy picks of wall points (N, 2) at a height above the wall."""
    exact = camera.project(np.c_[wall_mm, np.full(len(wall_mm), z_mm)])
    return exact + rng.normal(0.0, sd_px, exact.shape)
