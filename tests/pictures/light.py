"""Sun, sky and the shadows that flat surfaces throw on each other.

The shadow of a convex outline on a plane is a convex outline again, so every cast
shadow is a product of soft half-planes on the receiver's texels.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from calibration.arrays import FloatArray
from tests.pictures.cast import Surface, Texels, sides_of

SUN_SPREAD = 0.0093
"""Width of a penumbra per distance to what throws the shadow: the sun's half degree."""

_CLEAR_MM = 1.0
"""A caster must stand at least this far off the receiver."""


@dataclass(frozen=True, kw_only=True)
class Light:
    """Daylight.

    Attributes
    ----------
    azimuth_rad : float
        Of the sun, from the wall's normal to its right.
    height_rad : float
        Of the sun above the level.
    sun, sky : tuple of float
        Linear red, green, blue.
    spread : float
        Width of a penumbra per distance; hazy suns are wider.
    """

    azimuth_rad: float = 0.6
    height_rad: float = 0.75
    sun: tuple[float, float, float] = (0.98, 0.91, 0.80)
    sky: tuple[float, float, float] = (0.31, 0.335, 0.38)
    spread: float = SUN_SPREAD

    @property
    def towards_sun(self) -> FloatArray:
        """Unit vector to the sun, house frame, (3,)."""
        level = np.cos(self.height_rad)
        return np.array(
            [
                level * np.sin(self.azimuth_rad),
                np.sin(self.height_rad),
                level * np.cos(self.azimuth_rad),
            ]
        )

    def incidence(self, normal: FloatArray) -> float:
        """Return the cosine of the sun's angle to a surface, 0 if it is behind."""
        return max(0.0, float(self.towards_sun @ normal))

    def open_sky(self, normal: FloatArray) -> float:
        """Return how much of the sky a surface sees, with some light off the ground."""
        return 0.72 + 0.28 * float(normal[1])


def shadow(
    receiver: Surface,
    casters: Sequence[Surface],
    light: Light,
    u_mm: FloatArray,
    v_mm: FloatArray,
) -> Texels:
    """Return how much sun reaches each texel of a surface.

    Parameters
    ----------
    receiver : Surface
    casters : sequence of Surface
        What may stand in the sun's way; the receiver itself is skipped.
    light : Light
    u_mm, v_mm : (columns,) and (rows,) float64
        Plane coordinates of the texels.

    Returns
    -------
    (rows, columns) float32
        1 in full sun, 0 in full shadow.
    """
    sunlit = np.ones((len(v_mm), len(u_mm)), dtype=np.float32)
    if light.incidence(receiver.normal) <= 0.0 or max(light.sun) <= 0.0:
        return sunlit
    for caster in casters:
        if caster is receiver:
            continue
        thrown = _thrown(receiver, caster, light)
        if thrown is not None:
            _darken(sunlit, thrown[0], thrown[1], u_mm, v_mm)
    return sunlit


def _thrown(
    receiver: Surface, caster: Surface, light: Light
) -> tuple[FloatArray, float] | None:
    """Return outline (N, 2) on the receiver and penumbra, mm, of a caster's shadow."""
    height = (caster.corners_mm - receiver.origin_mm) @ receiver.normal
    points, height = _in_front(caster.corners_mm, height)
    if len(points) < 3:
        return None
    reach = height / float(light.towards_sun @ receiver.normal)
    landed = points - reach[:, None] * light.towards_sun - receiver.origin_mm
    uv = np.stack([landed @ receiver.along, landed @ receiver.up], axis=1)
    x, y = uv.T
    area = float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)))
    if abs(area) < 1.0:
        return None
    return uv if area > 0.0 else uv[::-1], max(1.0, light.spread * float(reach.mean()))


def _in_front(points: FloatArray, height: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Clip a convex outline to what stands off the receiver (Sutherland, Hodgman)."""
    kept, heights = [], []
    for i in range(len(points)):
        a, b = height[i - 1] - _CLEAR_MM, height[i] - _CLEAR_MM
        if (a >= 0.0) != (b >= 0.0):
            share = a / (a - b)
            kept.append(points[i - 1] + share * (points[i] - points[i - 1]))
            heights.append(_CLEAR_MM)
        if b >= 0.0:
            kept.append(points[i])
            heights.append(height[i])
    return np.array(kept).reshape(-1, 3), np.array(heights)


def _darken(sunlit, outline: FloatArray, penumbra_mm: float, u_mm, v_mm) -> None:
    """Take the light of one outline's shadow away, in place."""
    low, high = outline.min(axis=0) - penumbra_mm, outline.max(axis=0) + penumbra_mm
    c0, c1 = np.searchsorted(u_mm, [low[0], high[0]])
    r0, r1 = np.searchsorted(v_mm, [low[1], high[1]])
    if c0 >= c1 or r0 >= r1:
        return
    u, v = u_mm[c0:c1].astype(np.float32), v_mm[r0:r1].astype(np.float32)
    inside = np.full((len(v), len(u)), np.inf, dtype=np.float32)
    for a, b, c in sides_of(outline).astype(np.float32):
        np.minimum(inside, a * u[None, :] + (b * v[:, None] + c), out=inside)
    covered = np.clip(0.5 + inside / np.float32(penumbra_mm), 0.0, 1.0)
    sunlit[r0:r1, c0:c1] *= 1.0 - covered


def lit(albedo: Texels, surface: Surface, light: Light, sunlit, sky_share=1.0) -> Texels:
    """Return the linear light (rows, columns, 3) that a dull surface sends out.

    ``sunlit`` and ``sky_share`` are (rows, columns) or numbers in 0 to 1.
    """
    sun = light.incidence(surface.normal) * np.array(light.sun, dtype=np.float32)
    sky = light.open_sky(surface.normal) * np.array(light.sky, dtype=np.float32)
    light = np.asarray(sunlit, dtype=np.float32)[..., None] * sun
    light = light + np.asarray(sky_share, dtype=np.float32)[..., None] * sky
    light *= albedo
    return light
