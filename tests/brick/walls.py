"""Painted walls with exact truth, and things that are no walls of bricks.

Every pixel's ray is brought to the wall and asked what it hits: a brick of random
colour, a joint, an opening. No renderer, no texture: the truth is the formula.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Final

import cv2
import numpy as np

from calibration.camera import Camera, rotation_looking

SIZE_PX: Final = (800, 600)
OVERSAMPLED: Final = 2

Paint = Callable[[np.ndarray, np.ndarray, np.random.Generator], np.ndarray]
"""x and y on the wall, millimetres, to grey levels."""


@dataclass(frozen=True, kw_only=True)
class Wall:
    """A wall of bricks.

    Attributes
    ----------
    gauge_mm, stretcher_mm, joint_mm : float
    bond : str
        stretcher, header, flemish or english.
    mortar, brick, brick_sd : float
        Grey levels.
    jitter_mm : float
        Scatter of perpends.
    openings : tuple of (left, bottom, right, top)
        Millimetres.
    soldiers : tuple of (left, bottom, right, top)
        Bricks on end.
    """

    gauge_mm: float = 75.0
    stretcher_mm: float = 225.0
    joint_mm: float = 10.0
    bond: str = "stretcher"
    mortar: float = 190.0
    brick: float = 120.0
    brick_sd: float = 18.0
    jitter_mm: float = 1.5
    grain: float = 4.0
    openings: tuple[tuple[float, float, float, float], ...] = ()
    soldiers: tuple[tuple[float, float, float, float], ...] = ()
    box_mm: tuple[float, float, float, float] | None = None
    extra: dict[str, float] = field(default_factory=dict)

    def paint(self, x: np.ndarray, y: np.ndarray, rng: np.random.Generator) -> np.ndarray:
        row = np.floor(y / self.gauge_mm)
        start, period, cuts = self._courses(row)
        table = rng.normal(0.0, 1.0, (64, 64, 2))
        along = x - start
        brick = np.full(x.shape, 190.0)
        near = np.full(x.shape, 1e9)
        for cut, number in cuts:
            nearest = np.round((along - cut) / period)
            shift = (
                self.jitter_mm
                * table[row.astype(int) % 64, (2 * nearest + number).astype(int) % 64, 0]
            )
            near = np.minimum(near, np.abs(along - cut - nearest * period - shift))
        joints = np.sort([cut for cut, _ in cuts])
        inside = np.mod(along, period)
        piece = np.searchsorted(joints, inside) + 2 * np.floor(along / period)
        shade = table[row.astype(int) % 64, piece.astype(int) % 64, 1]
        brick = self.brick + self.brick_sd * shade
        up = np.mod(y, self.gauge_mm)
        bed = np.minimum(up, self.gauge_mm - up)
        grey = np.where(np.minimum(bed, near) < self.joint_mm / 2, self.mortar, brick)
        for left, bottom, right, top in self.soldiers:
            within = (x > left) & (x < right) & (y > bottom) & (y < top)
            end = np.mod(x - left, self.gauge_mm)
            stand = np.minimum(end, self.gauge_mm - end) < self.joint_mm / 2
            grey = np.where(within, np.where(stand, self.mortar, self.brick), grey)
        for left, bottom, right, top in self.openings:
            within = (x > left) & (x < right) & (y > bottom) & (y < top)
            frame = np.minimum(
                np.minimum(x - left, right - x), np.minimum(y - bottom, top - y)
            )
            grey = np.where(within, np.where(frame < 60.0, 235.0, 40.0), grey)
        if self.box_mm is not None:
            left, bottom, right, top = self.box_mm
            within = (x > left) & (x < right) & (y > bottom) & (y < top)
            grey = np.where(within, grey, 205.0)
        return grey

    def _courses(
        self, row: np.ndarray
    ) -> tuple[np.ndarray, float, list[tuple[float, int]]]:
        s, odd = self.stretcher_mm, np.mod(row, 2.0)
        if self.bond == "stretcher":
            return odd * s / 2, s, [(0.0, 0)]
        if self.bond == "header":
            return odd * s / 4, s / 2, [(0.0, 0)]
        if self.bond == "flemish":
            return odd * 0.75 * s, 1.5 * s, [(0.0, 0), (s, 1)]
        raise ValueError(self.bond)


@dataclass(frozen=True)
class EnglishWall(Wall):
    """Courses of stretchers and courses of headers in turn."""

    def paint(self, x: np.ndarray, y: np.ndarray, rng: np.random.Generator) -> np.ndarray:
        stretchers = Wall(**{**self.plain(), "bond": "stretcher"})
        headers = Wall(**{**self.plain(), "bond": "header"})
        odd = np.mod(np.floor(y / self.gauge_mm), 2.0) == 1.0
        # every stretcher course starts alike; its headers sit a quarter further on
        one = stretchers.paint(x, y, rng)
        other = headers.paint(x, y, rng)
        return np.where(odd, other, one)

    def plain(self) -> dict[str, object]:
        names = ("gauge_mm", "stretcher_mm", "joint_mm", "mortar", "brick", "brick_sd")
        return {name: getattr(self, name) for name in names}


@dataclass(frozen=True)
class Scene:
    """A picture and the camera that took it."""

    pixels: np.ndarray
    camera: Camera


def look(
    *,
    yaw_deg: float = 0.0,
    tilt_deg: float = 0.0,
    roll_deg: float = 0.0,
    distance_mm: float = 6000.0,
    size_px: tuple[int, int] = SIZE_PX,
    equivalent_mm: float = 27.0,
    k1: float = 0.0,
) -> Camera:
    """Return a camera that looks at a wall."""
    rotation = rotation_looking(*np.radians([yaw_deg, tilt_deg, roll_deg]))
    focal = equivalent_mm / 43.2666 * float(np.hypot(*size_px))
    return Camera(
        focal_px=focal,
        centre_px=(np.array(size_px) - 1.0) / 2.0,
        k1=k1,
        R_wall_from_camera=rotation,
        standoff_mm=distance_mm,
    )


def photograph(
    paint: Paint,
    camera: Camera,
    rng: np.random.Generator,
    *,
    size_px: tuple[int, int] = SIZE_PX,
    noise: float = 3.0,
    grain: float = 5.0,
    blur_px: float = 0.6,
    jpeg: int = 90,
) -> np.ndarray:
    """Return the (H, W, 3) uint8 picture of a painted plane."""
    width, height = size_px
    n = OVERSAMPLED
    fine = (np.arange(width * n) + 0.5) / n - 0.5
    down = (np.arange(height * n) + 0.5) / n - 0.5
    picks = np.stack(np.meshgrid(fine, down), axis=-1).reshape(-1, 2)
    xy = camera.back_project(picks, np.zeros(len(picks))).xy_mm
    seen = np.isfinite(xy).all(axis=1)
    xy = np.where(seen[:, None], xy, 0.0)
    grey = np.where(seen, paint(xy[:, 0], xy[:, 1], rng), 200.0)
    image = grey.reshape(height * n, width * n).astype(np.float32)
    image = cv2.resize(image, size_px, interpolation=cv2.INTER_AREA)
    image += rng.normal(0.0, grain, image.shape).astype(np.float32)
    image = cv2.GaussianBlur(image, (0, 0), blur_px)
    image += rng.normal(0.0, noise, image.shape).astype(np.float32)
    out = np.clip(np.round(image), 0, 255).astype(np.uint8)
    _, coded = cv2.imencode(".jpg", out, [cv2.IMWRITE_JPEG_QUALITY, jpeg])
    out = cv2.imdecode(coded, cv2.IMREAD_GRAYSCALE)
    return np.repeat(out[:, :, None], 3, axis=2)
