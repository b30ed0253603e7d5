"""Painted walls and impostors by chance, and what is true of them."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from calibration.brickwork.result import Brickwork
from calibration.camera import Camera
from calibration.priors import CameraPrior, LensKnowledge, camera_prior
from tests.brick.impostors import IMPOSTORS
from tests.brick.walls import EnglishWall, Wall, look, photograph

BONDS: Final = ("stretcher", "flemish", "english", "header", "stretcher")

SIZES_MM: Final = (
    (75.0, 225.0),
    (78.0, 238.0),
    (62.5, 250.0),
    (250.0 / 3.0, 250.0),
    (60.0, 220.0),
    (85.86, 240.0),
    (67.73, 203.2),
    (225.0, 450.0),
)

TONES: Final = ((190.0, 115.0), (190.0, 115.0), (95.0, 150.0), (205.0, 185.0))
"""Mortar and brick; the last is painted brickwork."""

RIGHT: Final = 0.97
"""Share of measured joints that must have their true number."""

_NEAR: Final = 0.3


@dataclass(frozen=True)
class PaintedScene:
    """A painted wall, the camera, and the picture."""

    wall: Wall
    camera: Camera
    pixels: np.ndarray


def painted_wall(number: int, sides_px: tuple[int, ...] = (640, 800, 1200)) -> PaintedScene:
    """Return a wall drawn by chance from a number."""
    rng = np.random.default_rng([41, number])
    bond = BONDS[number % len(BONDS)]
    gauge, stretcher = SIZES_MM[rng.integers(len(SIZES_MM))]
    if bond != "stretcher" and gauge > 100.0:
        gauge, stretcher = SIZES_MM[0]
    mortar, brick = TONES[rng.integers(len(TONES))]
    side = int(rng.choice(sides_px))
    size = (side, side * 3 // 4)
    focal = 27.0 / 43.2666 * float(np.hypot(*size))
    yaw, tilt = rng.uniform(-45.0, 45.0), rng.uniform(-3.0, 20.0)
    course_px = float(np.exp(rng.uniform(np.log(5.5), np.log(40.0))))
    distance = focal * gauge / course_px * float(np.cos(np.radians(yaw)))
    half = size[1] / focal * distance / 2.0
    corners = rng.uniform(-1.2, 1.0, (int(rng.integers(0, 4)), 2)) * half
    openings = tuple((x, y, x + 0.4 * half, y + 0.35 * half) for x, y in corners)
    soldiers = tuple((x, t, r, t + 3.0 * gauge) for x, _, r, t in openings)
    kind = EnglishWall if bond == "english" else Wall
    wall = kind(
        gauge_mm=gauge,
        stretcher_mm=stretcher,
        bond=bond,
        mortar=mortar,
        brick=brick,
        brick_sd=float(rng.uniform(4.0, 22.0)),
        joint_mm=float(rng.uniform(8.0, 13.0)),
        jitter_mm=float(rng.uniform(0.5, 3.0)),
        openings=openings,
        soldiers=soldiers if rng.random() < 0.5 else (),
    )
    camera = look(
        yaw_deg=float(yaw),
        tilt_deg=float(tilt),
        roll_deg=float(rng.uniform(-4.0, 4.0)),
        distance_mm=distance,
        size_px=size,
        k1=float(rng.uniform(-0.03, 0.03)),
    )
    pixels = photograph(
        wall.paint,
        camera,
        rng,
        size_px=size,
        noise=float(rng.uniform(1.0, 6.0)),
        grain=float(rng.uniform(2.0, 8.0)),
        blur_px=float(rng.uniform(0.4, 0.9)),
        jpeg=int(rng.integers(70, 95)),
    )
    return PaintedScene(wall, camera, pixels)


def painted_impostor(name: str, number: int, side_px: int = 800) -> np.ndarray:
    """Return a picture of something that is no brickwork."""
    rng = np.random.default_rng([43, number, sum(map(ord, name))])
    size = (side_px, side_px * 3 // 4)
    camera = look(
        yaw_deg=float(rng.uniform(-40.0, 40.0)),
        tilt_deg=float(rng.uniform(0.0, 20.0)),
        roll_deg=float(rng.uniform(-4.0, 4.0)),
        distance_mm=float(rng.uniform(2500.0, 9000.0)),
        size_px=size,
    )
    noise, grain = rng.uniform(1.0, 6.0), rng.uniform(1.0, 8.0)
    return photograph(
        IMPOSTORS[name], camera, rng, size_px=size, noise=float(noise), grain=float(grain)
    )


def prior_for(pixels: np.ndarray, focal_px: float | None = None) -> CameraPrior:
    """Return what is known of the camera: its focal length, or nothing."""
    height, width = pixels.shape[:2]
    return camera_prior((width, height), LensKnowledge(focal_px=focal_px))


def numbered_rightly(found: Brickwork, scene: PaintedScene) -> float:
    """Return the share of measured bed joints that carry their true number."""
    picks = found.beds
    kept = np.abs(picks.residual) < 3.0 * picks.sd
    xy = scene.camera.back_project(picks.px[kept], np.zeros(int(kept.sum()))).xy_mm
    off = xy[:, 1] / scene.wall.gauge_mm - picks.number[kept]
    return float(np.mean(np.abs(off - np.median(off)) < _NEAR))


def line_error_px(found: Brickwork, scene: PaintedScene) -> np.ndarray:
    """Return how far the lattice's bed joints lie from the true ones, pixels (N,)."""
    picks = found.beds
    kept = np.abs(picks.residual) < 3.0 * picks.sd
    xy = scene.camera.back_project(picks.px[kept], np.zeros(int(kept.sum()))).xy_mm
    true_y = np.round(xy[:, 1] / scene.wall.gauge_mm) * scene.wall.gauge_mm
    points = np.stack([xy[:, 0], true_y, np.zeros(len(xy))], axis=1)
    place = scene.camera.project(points)
    off = found.plane.counts(place)[:, 1]
    off = off - np.round(off)
    ahead = scene.camera.project(points + np.array([0.0, scene.wall.gauge_mm, 0.0]))
    return off * np.linalg.norm(ahead - place, axis=1)


def stretcher_scale(found: Brickwork, scene: PaintedScene) -> float:
    """Return the measured stretcher over the true one by the perpends' counts."""
    picks = found.perpends
    kept = np.abs(picks.residual) < 3.0 * picks.sd
    xy = scene.camera.back_project(picks.px[kept], np.zeros(int(kept.sum()))).xy_mm
    return float(np.polyfit(picks.number[kept], xy[:, 0], 1)[0] / scene.wall.stretcher_mm)
