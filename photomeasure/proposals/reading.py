"""A photo read once for all proposals: edges, vanishing points, colours, sky."""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from calibration.arrays import BoolArray, FloatArray
from calibration.edges import EdgeFits, Light, light_of, photo_segments
from calibration.edges.light import LightImage
from calibration.lens import undistort
from calibration.photo.pixels import RgbImage
from calibration.priors import CameraPrior
from calibration.vanishing import Vanishing, find_vanishing
from calibration.vanishing.model import PLUMB

SMALL_SIDE_PX: Final = 800
"""Long side of the picture in which colours are compared: a brick course is 3 to 8."""

_TEXTURE_BOX: Final = 9
_LAB_MIDDLE: Final = 128.0
_SKY_TEXTURE: Final = 9.0
_SKY_LIGHTEST: Final = 105.0
_SKY_WARMTH: Final = 9.0
"""Sky is even, light and not warm; 8-bit Lab units. Judged on drawn and real skies."""

Surroundings = np.ndarray[tuple[int, int, int], np.dtype[np.float32]]
"""(h, w, 5): lightness, red-green, yellow-blue, texture, sky."""


@dataclass(frozen=True, slots=True, eq=False)
class Reading:
    """What all proposals are made from.

    Attributes
    ----------
    light : Light
        The whole photo.
    edges : EdgeFits
        Its straight edges.
    camera : CameraPrior
        What is known of the lens.
    vanishing : Vanishing
        Plumb and level directions.
    small : (h, w, 5) float32
        Colours, texture and sky of the shrunken photo.
    """

    light: Light
    edges: EdgeFits
    camera: CameraPrior
    vanishing: Vanishing
    small: Surroundings

    @property
    def side_px(self) -> int:
        """Long side of the photo."""
        return max(self.light.size_px)

    @property
    def adjusted_camera(self) -> CameraPrior:
        """The camera with the lens that the vanishing points show."""
        known = self.vanishing
        return replace(
            self.camera, k1=known.k1, k1_sd=float(np.sqrt(known.covariance[4, 4]))
        )

    def rays(self, points_px: FloatArray) -> FloatArray:
        """Return rays (..., 3) of image points (..., 2), camera frame, z = 1."""
        flat = (points_px.reshape(-1, 2) - self.camera.centre_px) / self.vanishing.focal_px
        ideal = undistort(flat, self.vanishing.k1, self.camera.k2).points
        ideal = np.where(np.isfinite(ideal), ideal, flat)
        rays = np.concatenate([ideal, np.ones((len(ideal), 1))], axis=1)
        return rays.reshape(*points_px.shape[:-1], 3)

    def on_wall(self, points_px: FloatArray, wall: int) -> FloatArray:
        """Return places (..., 2) on a wall at distance one: right and up.

        NaN for points beyond the wall's horizon.
        """
        along, up = self.vanishing.directions[[wall, PLUMB]]
        inward = np.cross(up, along)
        inward = inward * (1.0 if inward[2] > 0.0 else -1.0)
        rays = self.rays(points_px)
        deep = rays @ inward
        deep = np.where(deep > 0.03, deep, np.nan)
        return np.stack([rays @ along, rays @ up], axis=-1) / deep[..., None]

    def upwards(self, points_px: FloatArray) -> FloatArray:
        """Return unit vectors (..., 2) in which plumb lines rise in the picture."""
        up = self.vanishing.directions[PLUMB]
        rays = self.rays(points_px)
        way = up[:2] - up[2] * rays[..., :2]
        unit: FloatArray = way / np.maximum(
            np.linalg.norm(way, axis=-1, keepdims=True), 1e-12
        )
        return unit

    def look(self, points_px: FloatArray) -> FloatArray:
        """Return colours, texture and sky (..., 5) at image points (..., 2)."""
        height, width = self.small.shape[:2]
        scale = np.array([width, height]) / np.array(self.light.size_px)
        place = np.floor((points_px + 0.5) * scale).astype(np.intp)
        x = np.clip(place[..., 0], 0, width - 1)
        y = np.clip(place[..., 1], 0, height - 1)
        seen: FloatArray = self.small[y, x].astype(np.float64)
        return seen

    def inside(self, points_px: FloatArray) -> BoolArray:
        """Return whether image points (..., 2) lie in the photo."""
        x, y = points_px[..., 0], points_px[..., 1]
        width, height = self.light.size_px
        inside: BoolArray = (x >= 0) & (y >= 0) & (x < width) & (y < height)
        return inside


def read_edges(photo: RgbImage, camera: CameraPrior) -> Reading | None:
    """Return edges, directions and colours of a photo, or None without directions.

    Parameters
    ----------
    photo : (H, W, 3) uint8
        Upright, RGB.
    camera : CameraPrior
        What is known of the lens.

    Returns
    -------
    Reading or None
    """
    light = light_of(photo)
    edges = photo_segments(photo, light, camera)
    vanishing = find_vanishing(edges, camera)
    if vanishing is None:
        return None
    return Reading(light, edges, camera, vanishing, _surroundings(photo))


def _surroundings(photo: RgbImage) -> Surroundings:
    import cv2

    height, width = photo.shape[:2]
    shrink = max(1.0, max(height, width) / SMALL_SIDE_PX)
    size = (max(1, round(width / shrink)), max(1, round(height / shrink)))
    small = cv2.resize(np.ascontiguousarray(photo), size, interpolation=cv2.INTER_AREA)
    lab = cv2.cvtColor(small, cv2.COLOR_RGB2LAB).astype(np.float32)
    tone = lab[..., 0]
    box = (_TEXTURE_BOX, _TEXTURE_BOX)
    mean, square = cv2.blur(tone, box), cv2.blur(tone * tone, box)
    texture = np.sqrt(np.maximum(square - mean * mean, 0.0)).astype(np.float32)
    sky = _sky(cv2.blur(lab, (5, 5)).astype(np.float32), texture)
    return np.dstack([lab, texture, sky]).astype(np.float32)


def _sky(lab: Surroundings, texture: LightImage) -> LightImage:
    """Return 1 where even, light, cool pixels hang together with the upper border."""
    import cv2

    cool = (lab[..., 1] < _LAB_MIDDLE + _SKY_WARMTH) & (
        lab[..., 2] < _LAB_MIDDLE + _SKY_WARMTH
    )
    maybe = (texture < _SKY_TEXTURE) & (lab[..., 0] > _SKY_LIGHTEST) & cool
    count, label = cv2.connectedComponents(maybe.astype(np.uint8), connectivity=4)
    border = max(1, len(label) // 50)
    share = np.bincount(label[:border].ravel(), minlength=count)
    share[0] = 0
    sky: LightImage = (share > border)[label].astype(np.float32)
    return sky
