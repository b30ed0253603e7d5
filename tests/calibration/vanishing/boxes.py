"""Edges of a wall in space as a camera sees them, with scatter and strays."""

import numpy as np

from calibration.camera import Camera, rotation_looking
from calibration.edges.fit import EdgeFits
from calibration.priors import CameraPrior, LensKnowledge, camera_prior

SIZE = (1600, 1200)
FOCAL_PX = 1200.0


def camera(yaw: float, tilt: float, roll: float, k1: float = 0.0) -> Camera:
    """Return a camera ten metres before a wall, angles in degrees."""
    return Camera(
        focal_px=FOCAL_PX,
        centre_px=(np.array(SIZE) - 1.0) / 2.0,
        k1=k1,
        R_wall_from_camera=rotation_looking(*np.radians([yaw, tilt, roll])),
        standoff_mm=10_000.0 * np.cos(np.radians(yaw)),
    )


def prior(*, known: bool) -> CameraPrior:
    """Return what is known of the camera."""
    return camera_prior(SIZE, LensKnowledge(focal_px=FOCAL_PX if known else None))


def fits(ends_px: np.ndarray, sd_px: float = 0.1) -> EdgeFits:
    """Return edges as if they had been fitted."""
    count = len(ends_px)
    covariance = np.tile(np.diag([sd_px**2, sd_px**2, 1e-6]), (count, 1, 1))
    flat = np.ones(count)
    return EdgeFits(ends_px, 0.0 * flat, covariance, flat, flat, flat, 0.2 * flat)


def wall_segments(rng: np.random.Generator, level: int, plumb: int) -> np.ndarray:
    """Return level and plumb segments about (0, 2.5 m) on the wall, mm, (N, 2, 3)."""
    place = np.stack(
        [rng.uniform(-3500, 3500, level + plumb), rng.uniform(-1500, 3500, level + plumb)],
        1,
    )
    way = np.zeros((level + plumb, 2))
    way[:level, 0] = rng.uniform(400, 2500, level)
    way[level:, 1] = rng.uniform(400, 2000, plumb)
    lean = rng.normal(0.0, 0.0008, level + plumb)
    turned = way + lean[:, None] * np.stack([-way[:, 1], way[:, 0]], axis=1)
    ends = place[:, None] + np.array([-0.5, 0.5])[:, None] * turned[:, None]
    return np.concatenate([ends, np.zeros((len(ends), 2, 1))], axis=2)


def seen(camera_: Camera, segments_mm: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Return segments in the picture with a tenth of a pixel of scatter."""
    # The camera looks at a wall whose origin is its own foot: walls stand about the
    # place where its axis meets them.
    foot = camera_.axis / -camera_.axis[2] * camera_.standoff_mm
    points = segments_mm.reshape(-1, 3) + np.array([foot[0], 0.0, 0.0])
    px = camera_.project(points).reshape(-1, 2, 2)
    return px + rng.normal(0.0, 0.1, px.shape)
