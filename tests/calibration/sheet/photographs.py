"""Synthetic photographs of printed sheets, from first principles.

Every pixel is the mean of rays through it, each carried through the camera's lens to the
paper and read off the layout's rectangles; then blur, grain and JPEG. Nothing of the
detector is used.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np

from calibration.camera import Camera, rotation_looking
from calibration.lens import undistort
from calibration.sheet.layout import Rect, Sheet

WHITE, INK, WALL = 0.86, 0.05, 0.30
"""Linear reflectance of paper, toner and brick. Common practice, no source."""

GAMMA: Final = 2.2
RAYS: Final = 5
"""Rays a pixel, each way. An edge along the pixels is drawn to a fifth of one: turn the
paper a little where corners are compared."""

PAPER_MM: Final = (210.0, 297.0)


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet on the wall.

    Attributes
    ----------
    sheet : Sheet or None
        None: ``rects`` alone are painted.
    centre_mm : tuple of float
        Middle of the paper, wall frame.
    turn_rad : float
        Anticlockwise on the wall.
    fold_rad : float
        Its right half leans out of the wall by this angle.
    shrink : tuple of float
        Printed size per drawn size, across and up.
    rects : tuple of Rect
        Painted last, e.g. what hides the sheet.
    """

    sheet: Sheet | None
    centre_mm: tuple[float, float, float] = (0.0, 0.0, 0.0)
    turn_rad: float = 0.0
    fold_rad: float = 0.0
    shrink: tuple[float, float] = (1.0, 1.0)
    rects: tuple[Rect, ...] = ()

    @property
    def _axes(self):
        c, s = np.cos(self.turn_rad), np.sin(self.turn_rad)
        return np.array([[c, s, 0.0], [-s, c, 0.0]])

    def on_wall(self, xy_mm):
        """Return wall points (N, 3) of points (N, 2) of the sheet as drawn."""
        xy = np.asarray(xy_mm) * np.array(self.shrink)
        fold = np.where(xy[:, 0] > 0.0, self.fold_rad, 0.0)
        flat = np.c_[xy[:, 0] * np.cos(fold), xy[:, 1]] @ self._axes
        flat[:, 2] += xy[:, 0] * np.sin(fold)
        return flat + np.array(self.centre_mm)

    def under(self, origin, rays):
        """Return points of the sheet (N, 2) that rays (N, 3) from an eye (3,) hit."""
        left = self._half(origin, rays, 0.0)
        if not self.fold_rad:
            return left / np.array(self.shrink)
        right = self._half(origin, rays, self.fold_rad)
        folded = (right[:, 0] > 0.0)[:, None]
        return np.where(folded, right, left) / np.array(self.shrink)

    def _half(self, origin, rays, fold):
        across, up = self._axes
        across = np.cos(fold) * across + np.array([0.0, 0.0, np.sin(fold)])
        normal = np.cross(across, up)
        start = np.asarray(origin) - np.array(self.centre_mm)
        depth = -(start @ normal) / (rays @ normal)
        hit = start + depth[:, None] * rays
        return np.stack([hit @ across, hit @ up], axis=1)

    def reflectance(self, xy_mm):
        """Return what is printed at points (N, 2); NaN beside the paper."""
        half = np.array(PAPER_MM) / 2.0 / np.array(self.shrink)
        shade = np.where(np.all(np.abs(xy_mm) <= half, axis=1), WHITE, np.nan)
        painted = self.sheet.layout.rectangles(self.sheet.number) if self.sheet else ()
        for rect in (*painted, *self.rects):
            inside = (xy_mm[:, 0] >= rect.x_mm) & (xy_mm[:, 0] < rect.x_mm + rect.width_mm)
            inside &= (xy_mm[:, 1] >= rect.y_mm) & (
                xy_mm[:, 1] < rect.y_mm + rect.height_mm
            )
            shade[inside] = INK if rect.dark else WHITE
        return shade


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """How the camera renders light.

    Attributes
    ----------
    blur_px : float
        Standard deviation of lens and motion, beside the pixel's own box.
    noise : float
        Grain, grey values.
    jpeg : int or None
        Quality, if compressed.
    exposure : float
        Of the linear light.
    shadow : tuple of float or None
        A shadow's edge through the picture: angle and how much light is left.
    sharpening : float
        Share of an unsharp mask of two pixels, as phones apply.
    """

    blur_px: float = 0.8
    noise: float = 3.0
    jpeg: int | None = None
    exposure: float = 1.0
    shadow: tuple[float, float] | None = None
    sharpening: float = 0.0


CLEAN: Final = Look(blur_px=0.7, noise=0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """A camera that looks at one spot of the wall, and its picture's size.

    Attributes
    ----------
    camera : Camera
    size_px : tuple of int
    aim_mm : tuple of float
        The wall point in the middle of the picture.
    """

    camera: Camera
    size_px: tuple[int, int]
    aim_mm: tuple[float, float] = (0.0, 0.0)


def view_at(
    cell_px: float,
    *,
    cell_mm: float = 60.0,
    yaw_rad: float = 0.0,
    tilt_rad: float = 0.0,
    roll_rad: float = 0.0,
    size_px: tuple[int, int] = (720, 640),
    shift_px: tuple[float, float] = (0.0, 0.0),
    focal_px: float = 3000.0,
) -> View:
    """Return a view in which a cell that faced the camera would be so large."""
    R = rotation_looking(yaw_rad, tilt_rad, roll_rad)
    camera = Camera(
        focal_px=focal_px,
        centre_px=(np.array(size_px) - 1.0) / 2.0 + np.array(shift_px),
        R_wall_from_camera=R,
        standoff_mm=focal_px * cell_mm / cell_px * abs(R[2, 2]),
    )
    aim = camera.back_project(camera.centre_px[None], np.zeros(1)).xy_mm[0]
    return View(camera=camera, size_px=size_px, aim_mm=(float(aim[0]), float(aim[1])))


def photograph(view: View, papers: Sequence[Paper], look: Look, rng) -> np.ndarray:
    """Return the grey photo (H, W) uint8 of papers on a rough wall."""
    width, height = view.size_px
    light = WALL * (
        1.0 + 0.10 * cv2.GaussianBlur(rng.standard_normal((height, width)), (0, 0), 1.5)
    )
    for paper in papers:
        _paint(light, view, paper)
    if look.shadow:
        light *= _shadow(view, *look.shadow)
    light = cv2.GaussianBlur(light, (0, 0), look.blur_px) if look.blur_px else light
    grey = 255.0 * np.clip(light * look.exposure, 0.0, 1.0) ** (1.0 / GAMMA)
    if look.sharpening:
        grey += look.sharpening * (grey - cv2.GaussianBlur(grey, (0, 0), 2.0))
    grey += look.noise * rng.standard_normal(grey.shape)
    picture = np.clip(np.round(grey), 0, 255).astype(np.uint8)
    if look.jpeg is None:
        return picture
    _, data = cv2.imencode(".jpg", picture, [cv2.IMWRITE_JPEG_QUALITY, look.jpeg])
    return cv2.imdecode(data, cv2.IMREAD_GRAYSCALE)


def _paint(light, view: View, paper: Paper) -> None:
    """Paint the paper into the light (H, W), one box of pixels about it."""
    half = np.array(PAPER_MM) / 2.0
    rim = half * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1], [0, -1], [0, 1]])
    px = view.camera.project(paper.on_wall(rim / np.array(paper.shrink)))
    low = np.maximum(np.floor(px.min(axis=0)).astype(int) - 2, 0)
    high = np.minimum(np.ceil(px.max(axis=0)).astype(int) + 3, view.size_px)
    if np.any(high <= low):
        return
    fine = (np.arange(RAYS) + 0.5) / RAYS - 0.5
    x = (np.arange(low[0], high[0])[:, None] + fine).ravel()
    y = (np.arange(low[1], high[1])[:, None] + fine).ravel()
    grid = np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)
    camera = view.camera
    ideal = undistort((grid - camera.centre_px) / camera.focal_px, camera.k1, camera.k2)
    rays = np.c_[ideal.points, np.ones(len(grid))] @ camera.R_wall_from_camera.T
    shade = paper.reflectance(paper.under([0.0, 0.0, camera.standoff_mm], rays))
    tall, wide = high[1] - low[1], high[0] - low[0]
    box = light[low[1] : high[1], low[0] : high[0]]
    rays_of = shade.reshape(tall, RAYS, wide, RAYS)
    behind = np.broadcast_to(box[:, None, :, None], rays_of.shape)
    box[:] = np.where(np.isnan(rays_of), behind, rays_of).mean(axis=(1, 3))


def _shadow(view: View, angle_rad: float, left_over: float) -> np.ndarray:
    width, height = view.size_px
    x, y = np.meshgrid(np.arange(width) - width / 2.0, np.arange(height) - height / 2.0)
    side = x * np.cos(angle_rad) + y * np.sin(angle_rad)
    return left_over + (1.0 - left_over) / (1.0 + np.exp(-side))
