"""The wall flattened: courses level and equally high, in even units."""

from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from calibration.arrays import FloatArray
from calibration.brickwork.raster import Float32Image, Level
from calibration.brickwork.wallplane import WallPlane

PIXELS_A_COURSE: Final = 12
"""Of the flattened picture: a joint is then 1.5 to 2 pixels."""

LARGEST_SIDE_PX: Final = 1600
"""Of the flattened picture; a wall wider than this is cut to its best part."""


_NODE_PX: Final = 6
"""Places are exact at every sixth pixel of the flattened picture and linear between: at
45 degrees of yaw they bend by less than a hundredth of a pixel over so short a way."""


@dataclass(frozen=True, slots=True, eq=False)
class Flattened:
    """A wall flattened by its plane.

    Attributes
    ----------
    image : (H, W) float32
        Grey levels; NaN nowhere, edges repeated.
    inside : (H, W) bool
        Where tiles support the plane.
    u0, v0 : float
        Counts at the centre of the first pixel.
    """

    image: Float32Image
    inside: NDArray[np.bool_]
    u0: float
    v0: float

    def v(self) -> FloatArray:
        """Return the count v of each row, (H,)."""
        return self.v0 + np.arange(self.image.shape[0]) / PIXELS_A_COURSE


def flatten(plane: WallPlane, levels: tuple[Level, ...], support: FloatArray) -> Flattened:
    """Flatten the part of a wall that tiles support.

    Parameters
    ----------
    plane : WallPlane
    levels : tuple of Level
        The pyramid, finest first.
    support : (N, 4, 2) float64
        Corners of supporting squares in the photo.

    Returns
    -------
    Flattened
    """
    corners = plane.counts(support.reshape(-1, 2)).reshape(-1, 4, 2)
    corners = corners[np.isfinite(corners).all(axis=(1, 2))]
    low, high = _extent(corners)
    size = np.ceil((high - low) * PIXELS_A_COURSE).astype(int) + 1
    v0, u0 = float(np.floor(low[1])), float(low[0])
    inside = np.zeros((size[1], size[0]), np.uint8)
    polygons = np.round((corners - [u0, v0]) * PIXELS_A_COURSE).astype(np.int32)
    for polygon in polygons:
        cv2.fillConvexPoly(inside, polygon, 1)
    u = u0 + np.arange(size[0]) / PIXELS_A_COURSE
    v = v0 + np.arange(size[1]) / PIXELS_A_COURSE
    image, _ = sample_seen(plane, levels, u, v)
    return Flattened(image, inside.astype(bool), u0, v0)


def _extent(corners: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the box of all corners, cut about their middle if it is too large."""
    flat = corners.reshape(-1, 2)
    low, high = flat.min(axis=0), flat.max(axis=0)
    middle = np.median(flat, axis=0)
    reach = LARGEST_SIDE_PX / PIXELS_A_COURSE / 2.0
    return np.maximum(low, middle - reach), np.minimum(high, middle + reach)


def sample_seen(
    plane: WallPlane, levels: tuple[Level, ...], u: FloatArray, v: FloatArray
) -> tuple[Float32Image, NDArray[np.bool_]]:
    """Return grey levels on a grid of counts, from the level that suits its spacing.

    Parameters
    ----------
    plane : WallPlane
    levels : tuple of Level
    u, v : (W,), (H,) float64
        Evenly spaced.

    Returns
    -------
    (H, W) float32
    (H, W) bool
        Whether the photo reaches there.
    """
    coarse_u = np.linspace(u[0], u[-1], max(2, min(len(u), len(u) // _NODE_PX + 2)))
    coarse_v = np.linspace(v[0], v[-1], max(2, min(len(v), len(v) // _NODE_PX + 2)))
    nodes = np.stack(np.meshgrid(coarse_u, coarse_v), axis=-1)
    px = plane.pixels(nodes.reshape(-1, 2)).reshape(nodes.shape)
    px = np.where(np.isfinite(px), px, -1e6)
    step = _step_px(px, len(v) / len(coarse_v))
    level = _level_for(levels, step)
    place = level.from_photo(px).astype(np.float32)
    grid_x = np.interp(u, coarse_u, np.arange(len(coarse_u))).astype(np.float32)
    grid_y = np.interp(v, coarse_v, np.arange(len(coarse_v))).astype(np.float32)
    mesh = np.meshgrid(grid_x, grid_y)
    where = cv2.remap(
        place, mesh[0], mesh[1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
    )
    image = cv2.remap(
        level.image,
        where[..., 0],
        where[..., 1],
        cv2.INTER_CUBIC,
        borderMode=cv2.BORDER_REPLICATE,
    )
    height, width = level.image.shape
    x, y = where[..., 0], where[..., 1]
    seen = (x >= 0.0) & (x <= width - 1.0) & (y >= 0.0) & (y <= height - 1.0)
    return np.asarray(image), np.asarray(seen)


def _step_px(px: FloatArray, rows: float) -> float:
    """Return the middle size of a grid step in pixels of the photo, down the wall."""
    down = np.linalg.norm(np.diff(px, axis=0), axis=-1) / rows
    return float(np.median(down))


def _level_for(levels: tuple[Level, ...], step_px: float) -> Level:
    """Return the coarsest level whose pixels are not larger than a step."""
    fitting = [level for level in levels if level.scale <= max(1.0, step_px * 1.2)]
    return fitting[-1] if fitting else levels[0]
