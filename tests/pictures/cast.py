"""Casts the rays of every pixel onto a short list of flat, textured surfaces.

A surface lies in a plane ``origin + u along + v up``. With the ray ``r = (x, y, 1)`` of
a pixel in the camera frame and ``M = [along, up, origin - eye]`` in the same frame, the
hit is ``(u, v, 1) / depth = inv(M) r``: texture coordinates, the test against each
straight side and the depth are all linear in x and y before one division.

Each pixel is the mean of nine rays, no two of which share a row or a column, so that
the coverage of a level or plumb edge comes in ninths of a pixel, not in thirds.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

import cv2
import numpy as np
from numpy.typing import NDArray

from calibration.arrays import FloatArray
from tests.pictures.view import View

Texels = NDArray[np.float32]
Mask = NDArray[np.bool_]

SAMPLES = tuple(((i - 4) / 9.0, ((2 * i + 5) % 9 - 4) / 9.0) for i in range(9))
"""Offsets of the rays from the pixel centre; the fifth is the centre itself."""

CENTRE = 4
NO_SURFACE = -1


@dataclass(frozen=True, eq=False, kw_only=True)
class Texture:
    """What a surface looks like, sampled on a square grid.

    Attributes
    ----------
    texels : (rows, columns, 3 or 4) float32
        Linear light; rows run along ``up``. A fourth channel below 0.5 is a hole.
    texel_mm : float
    corner_mm : tuple of float
        u and v of the centre of texel (0, 0).
    mirrored : bool
        Whether the texels are repeated, mirrored, beyond their rim.
    """

    texels: Texels
    texel_mm: float
    corner_mm: tuple[float, float]
    mirrored: bool = False


@dataclass(frozen=True, eq=False, kw_only=True)
class Surface:
    """A flat convex piece of the scene.

    Attributes
    ----------
    name : str
    origin_mm, along, up : (3,) float64
        Plane and its unit axes, house frame; ``along x up`` is the outward normal.
    outline_mm : (N, 2) float64
        Convex, anticlockwise, in u and v.
    holes_mm : tuple of (4,)
        Rectangles u0, v0, u1, v1 left out.
    """

    name: str
    origin_mm: FloatArray
    along: FloatArray
    up: FloatArray
    outline_mm: FloatArray
    holes_mm: tuple[tuple[float, float, float, float], ...] = ()

    @property
    def normal(self) -> FloatArray:
        """Outward unit normal, (3,)."""
        return np.cross(self.along, self.up)

    def points_mm(self, uv_mm: FloatArray) -> FloatArray:
        """Return house-frame points (N, 3) of plane coordinates (N, 2)."""
        uv = np.atleast_2d(np.asarray(uv_mm, dtype=np.float64))
        return self.origin_mm + uv[:, :1] * self.along + uv[:, 1:] * self.up

    @property
    def corners_mm(self) -> FloatArray:
        """House-frame corners of the outline, (N, 3)."""
        return self.points_mm(self.outline_mm)

    def faces(self, eye_mm: FloatArray) -> bool:
        """Return whether the outer side is seen from a point."""
        return float((eye_mm - self.origin_mm) @ self.normal) > 0.0


@dataclass(eq=False)
class Frame:
    """What the rays of one picture met.

    Attributes
    ----------
    light : (H, W, 3) float32
        Linear light.
    surface : (H, W) int16
        Index of the surface met by the central ray, ``NO_SURFACE`` for sky.
    near : (H, W) float32
        One over the depth of the central ray's hit, 0 for sky.
    """

    light: Texels
    surface: NDArray[np.int16]
    near: Texels


@dataclass(eq=False)
class _Placed:
    """A surface made ready for casting.

    ``ray_to_texel`` turns (x, y, 1) into texel column, row and 1, all over depth.
    """

    window: tuple[slice, slice]
    ray_to_texel: Texels
    sides: Texels
    holes: list[tuple[tuple[slice, slice], Texels]] = field(default_factory=list)


def cast(
    view: View, surfaces: Sequence[Surface], skins: Sequence[Texture], sky: Texels
) -> Frame:
    """Return the frame of a scene.

    Parameters
    ----------
    view : View
    surfaces : sequence of Surface
    skins : sequence of Texture
        One for each surface.
    sky : (H, W, 3) float32
        What is seen where no surface is.

    Returns
    -------
    Frame
    """
    x, y = (np.ascontiguousarray(a, dtype=np.float32) for a in view.ideal_grid())
    (dx_dy, dx_dx), (dy_dy, dy_dx) = np.gradient(x), np.gradient(y)
    placed = [_place(view, s, t) for s, t in zip(surfaces, skins, strict=True)]
    total = np.zeros_like(sky)
    seen = np.full(x.shape, NO_SURFACE, dtype=np.int16)
    depth = np.zeros_like(x)
    for number, (right, down) in enumerate(SAMPLES):
        ids = seen if number == CENTRE else None
        ray_x = x + np.float32(right) * dx_dx + np.float32(down) * dx_dy
        ray_y = y + np.float32(right) * dy_dx + np.float32(down) * dy_dy
        light, near = sky.copy(), np.zeros_like(x)
        for index, (piece, skin) in enumerate(zip(placed, skins, strict=True)):
            if piece is not None:
                _paint(piece, skin, (ray_x, ray_y), (light, near, ids), index)
        total += light
        if number == CENTRE:
            depth = near
    return Frame(total / np.float32(len(SAMPLES)), seen, depth)


def _paint(piece: _Placed, skin: Texture, rays, buffers, index: int) -> None:
    """Paint one surface where it is nearer than what is there."""
    rows, columns = piece.window
    x, y = rays[0][rows, columns], rays[1][rows, columns]
    light, near, ids = buffers
    to_u, to_v, to_near = piece.ray_to_texel
    over_depth = to_near[0] * x + to_near[1] * y + to_near[2]
    hit = over_depth > near[rows, columns]
    for side in piece.sides:
        hit &= side[0] * x + side[1] * y + side[2] >= 0.0
    for window, sides in piece.holes:
        hole = np.ones(hit[window].shape, dtype=np.bool_)
        for side in sides:
            hole &= side[0] * x[window] + side[1] * y[window] + side[2] > 0.0
        hit[window] &= ~hole
    if not hit.any():
        return
    depth = 1.0 / np.where(hit, over_depth, 1.0)
    u = (to_u[0] * x + to_u[1] * y + to_u[2]) * depth
    v = (to_v[0] * x + to_v[1] * y + to_v[2]) * depth
    rim = cv2.BORDER_REFLECT if skin.mirrored else cv2.BORDER_REPLICATE
    colour = cv2.remap(skin.texels, u, v, cv2.INTER_LINEAR, borderMode=rim)
    if colour.shape[2] == 4:
        hit &= colour[..., 3] >= 0.5
        colour = np.ascontiguousarray(colour[..., :3])
    np.copyto(light[rows, columns], colour, where=hit[..., None])
    np.copyto(near[rows, columns], over_depth, where=hit)
    if ids is not None:
        ids[rows, columns][hit] = index


def shows(view: View, surface: Surface) -> bool:
    """Return whether the outer side of a surface may appear in the picture."""
    everything = (slice(0, None), slice(0, None))
    in_picture = _window(view, surface.corners_mm, everything) is not None
    return surface.faces(view.eye_mm) and in_picture


def _place(view: View, surface: Surface, skin: Texture) -> _Placed | None:
    """Make a surface ready, or return None if the picture cannot show it."""
    if not surface.faces(view.eye_mm):
        return None
    window = _window(view, surface.corners_mm, (slice(0, None), slice(0, None)))
    if window is None:
        return None
    to_camera = view.camera.R_wall_from_camera.T
    axes = [surface.along, surface.up, surface.origin_mm - view.eye_mm]
    to_plane = np.linalg.inv(to_camera @ np.stack(axes, axis=1))
    texel = np.array(
        [
            [1.0, 0.0, -skin.corner_mm[0]],
            [0.0, 1.0, -skin.corner_mm[1]],
            [0.0, 0.0, skin.texel_mm],
        ]
    )
    lines = sides_of(surface.outline_mm) @ to_plane
    # Texel coordinates stay u / texel over depth; depth itself must stay over 1.
    ready = texel @ to_plane / skin.texel_mm
    piece = _Placed(window, ready.astype(np.float32), lines.astype(np.float32))
    for u0, v0, u1, v1 in surface.holes_mm:
        corners = np.array([[u0, v0], [u1, v0], [u1, v1], [u0, v1]])
        hole = _window(view, surface.points_mm(corners), window)
        if hole is not None:
            piece.holes.append((hole, (sides_of(corners) @ to_plane).astype(np.float32)))
    return piece


def sides_of(outline: FloatArray) -> FloatArray:
    """Return lines (N, 3), positive inside, of an anticlockwise convex outline (N, 2)."""
    step = np.roll(outline, -1, axis=0) - outline
    lines = np.stack([-step[:, 1], step[:, 0]], axis=1)
    lines /= np.linalg.norm(lines, axis=1, keepdims=True)
    offset = -np.einsum("ni,ni->n", lines, outline)
    return np.c_[lines, offset]


def _window(view: View, corners_mm: FloatArray, within):
    """Return rows and columns, counted from ``within``, that may show a convex piece."""
    width, height = view.size_px
    rows, columns = within
    top, left = rows.start, columns.start
    bottom = height if rows.stop is None else rows.stop
    right = width if columns.stop is None else columns.stop
    whole = (slice(0, bottom - top), slice(0, right - left))
    if (view.depth_mm(corners_mm) < 100.0).any():
        return whole
    share = np.linspace(0.0, 1.0, 9)[:, None, None]
    ends = np.roll(corners_mm, -1, axis=0)
    border = corners_mm + share * (ends - corners_mm)
    px = view.project(border.reshape(-1, 3))
    low, high = np.floor(px.min(axis=0)) - 2, np.ceil(px.max(axis=0)) + 3
    c0, c1 = max(left, int(low[0])), min(right, int(high[0]))
    r0, r1 = max(top, int(low[1])), min(bottom, int(high[1]))
    if c0 >= c1 or r0 >= r1:
        return None
    return slice(r0 - top, r1 - top), slice(c0 - left, c1 - left)


def texel_for(view: View, surface: Surface, share: float = 0.6) -> float:
    """Return a texel size, mm: a share of the finest pixel the surface is seen with."""
    low, high = surface.outline_mm.min(axis=0), surface.outline_mm.max(axis=0)
    u, v = (
        a.ravel() for a in np.meshgrid(*(np.linspace(low[i], high[i], 13) for i in (0, 1)))
    )
    uv = np.stack([u, v], axis=1)
    step = 1.0
    here = surface.points_mm(uv)
    ahead = view.depth_mm(here) > 300.0
    if not ahead.any():
        return 50.0
    px = view.project(here)
    per_u = view.project(surface.points_mm(uv + np.array([step, 0.0]))) - px
    per_v = view.project(surface.points_mm(uv + np.array([0.0, step]))) - px
    size = np.array(view.size_px)
    inside = ahead & np.all((px > -0.1 * size) & (px < 1.1 * size), axis=1)
    chosen = inside if inside.any() else ahead
    stretch = np.stack([per_u, per_v], axis=2)[chosen]
    stretch = stretch[np.isfinite(stretch).all(axis=(1, 2))]
    if not len(stretch):
        return 50.0
    finest = np.linalg.norm(stretch, ord=2, axis=(1, 2))
    return float(np.clip(share * step / finest.max(), 0.4, 60.0))
