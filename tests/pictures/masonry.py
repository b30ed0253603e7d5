"""The face of laid bricks as texels: colour, roughness, recessed joints, weather."""

import cv2
import numpy as np
from numpy.typing import NDArray

from calibration.arrays import FloatArray
from tests.pictures.bonds import Laid
from tests.pictures.cast import Texels
from tests.pictures.face import Face
from tests.pictures.light import Light
from tests.pictures.noise import Field, fractal, grain, smooth
from tests.pictures.palettes import Palette, linear

_BIN_MM = 0.5
"""Width of the bins in which courses and bricks are looked up: they end in joints."""

_FINE_MM = 1.5
_ARRIS_MM = 1.3
"""Unevenness of a brick's edges."""


def brick_face(
    laid: Laid,
    palette: Palette,
    light: Light,
    u_mm: FloatArray,
    v_mm: FloatArray,
    rng: np.random.Generator,
) -> Face:
    """Return the face of a brick wall.

    Parameters
    ----------
    laid : Laid
    palette : Palette
    light : Light
        Recessed joints are shaded by it.
    u_mm, v_mm : (columns,), (rows,) float64
        Places of the texels as built, evenly spaced.
    rng : Generator

    Returns
    -------
    Face
    """
    texel = float(u_mm[1] - u_mm[0])
    shape = (len(v_mm), len(u_mm))
    x = u_mm.astype(np.float32) - laid.across.grid(u_mm, v_mm)
    y = v_mm.astype(np.float32)[:, None] - laid.up.grid(u_mm, v_mm)
    brick, left, right, low, high = bricks_at(laid, x, y, rng)
    inside = np.minimum(np.minimum(x - left, right - x), np.minimum(y - low, high - y))
    rough = smooth(rng, shape, max(1.0, 9.0 / texel)) * np.float32(0.6 * _ARRIS_MM)
    mask = np.clip(0.5 + (inside + rough) / np.float32(texel), 0.0, 1.0)
    albedo = _colours(palette, brick, mask, texel, rng)
    sunlit, sky = _relief(mask, palette.recess_mm, light, texel)
    return Face(albedo, sunlit, sky)


def bricks_at(laid: Laid, x: Field, y: Field, rng: np.random.Generator):
    """Return number, left, right, low and high of the brick at each texel."""
    start, table = _course_table(laid)
    course = _looked_up(table, y, start)
    begins = np.cumsum([0] + [len(p) - 1 for p in laid.perpends_mm])
    left_end = min(float(p[0]) for p in laid.perpends_mm)
    width = max(float(p[-1]) for p in laid.perpends_mm) - left_end
    bins = int(width / _BIN_MM) + 2
    places = left_end + _BIN_MM * (np.arange(bins) + 0.5)
    by_course = np.stack(
        [
            first + np.clip(np.searchsorted(p, places) - 1, 0, len(p) - 2)
            for first, p in zip(begins[:-1], laid.perpends_mm, strict=True)
        ]
    ).astype(np.int32)
    along = ((x - np.float32(left_end)) * np.float32(1.0 / _BIN_MM)).astype(np.int32)
    np.clip(along, 0, bins - 1, out=along)
    brick = by_course.ravel()[course * bins + along]
    edges = _brick_edges(laid, rng)
    return brick, *(np.take(edge, brick) for edge in edges)


def _course_table(laid: Laid) -> tuple[float, NDArray[np.int32]]:
    """Return where the table of courses begins, and the course of each bin."""
    start, end = laid.joints_mm[0], laid.joints_mm[-1]
    places = start + _BIN_MM * (np.arange(int((end - start) / _BIN_MM) + 2) + 0.5)
    course = np.searchsorted(laid.joints_mm, places) - 1
    return float(start), np.clip(course, 0, len(laid.perpends_mm) - 1).astype(np.int32)


def _looked_up(table: NDArray[np.int32], place: Field, start: float) -> NDArray[np.int32]:
    """Return the table's entry for each place."""
    index = ((place - np.float32(start)) * np.float32(1.0 / _BIN_MM)).astype(np.int32)
    return np.take(table, index, mode="clip")


def _brick_edges(laid: Laid, rng: np.random.Generator) -> list[Texels]:
    """Return left, right, low and high edges of every brick, each (N,) float32."""
    half = laid.joint_mm / 2.0
    left = np.concatenate([p[:-1] for p in laid.perpends_mm])
    right = np.concatenate([p[1:] for p in laid.perpends_mm])
    counts = [len(p) - 1 for p in laid.perpends_mm]
    low = np.repeat(laid.joints_mm[:-1], counts)
    high = np.repeat(laid.joints_mm[1:], counts)
    across, up = laid.jitter_mm * rng.standard_normal((2, len(left)))
    size = 0.5 * laid.jitter_mm * rng.standard_normal((4, len(left)))
    edges = (left + half + across, right - half + across, low + half + up, high - half + up)
    return [(e + s).astype(np.float32) for e, s in zip(edges, size, strict=True)]


def _colours(palette: Palette, brick, mask, texel: float, rng) -> Texels:
    """Return the albedo of bricks and mortar."""
    shape = mask.shape
    count = int(brick.max()) + 1
    base = linear(np.array(palette.bricks))[rng.integers(len(palette.bricks), size=count)]
    base = base * np.exp(palette.spread * rng.standard_normal((count, 1)))
    base = base * np.exp(0.25 * palette.spread * rng.standard_normal((count, 3)))
    body = base.astype(np.float32)[brick]
    blotch = fractal(rng, shape, max(2.0, 70.0 / texel), 3)
    fine = grain(rng, shape) * np.float32(
        palette.grain * np.sqrt(_FINE_MM / max(texel, 0.7))
    )
    tone = 1.0 + np.float32(palette.mottle) * blotch + fine
    mortar = linear(palette.mortar).astype(np.float32)
    dull = 1.0 + 0.5 * (tone - 1.0) + 0.04 * smooth(rng, shape, max(2.0, 400.0 / texel))
    albedo = body
    albedo *= (tone * mask)[..., None]
    albedo += (dull * (1.0 - mask))[..., None] * mortar
    return np.clip(albedo, 0.005, 0.95, out=albedo)


def _relief(mask: Field, recess_mm: float, light: Light, texel: float):
    """Return sun and sky left where a brick's edge shades the recessed mortar."""
    sun = light.towards_sun
    toward = sun[:2] / max(float(sun[2]), 0.15) * recess_mm / texel
    shift = np.array([[1.0, 0.0, toward[0]], [0.0, 1.0, toward[1]]], dtype=np.float32)
    size = (mask.shape[1], mask.shape[0])
    flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    above = cv2.warpAffine(mask, shift, size, flags=flags, borderMode=cv2.BORDER_REPLICATE)
    below = cv2.warpAffine(
        mask,
        np.array([[1.0, 0.0, -toward[0]], [0.0, 1.0, -toward[1]]], dtype=np.float32),
        size,
        flags=flags,
        borderMode=cv2.BORDER_REPLICATE,
    )
    shade = np.clip(above - mask, 0.0, 1.0)
    shine = np.float32(0.10) * np.clip(mask - above, 0.0, 1.0) * (1.0 - below * 0.5)
    sky = 1.0 - np.float32(min(0.35, 0.06 * recess_mm)) * (1.0 - mask)
    return 1.0 - shade + shine, sky
