"""What covers a wall that is not plain brickwork: look-alikes that must not be read."""

from collections.abc import Callable
from typing import Final

import cv2
import numpy as np

from calibration.arrays import FloatArray
from tests.pictures.bonds import Laid, Wave
from tests.pictures.face import Face, Material
from tests.pictures.light import Light
from tests.pictures.masonry import brick_face
from tests.pictures.noise import fractal, grain, smooth
from tests.pictures.palettes import PALETTES, Palette, linear
from tests.pictures.stuff import overlapped, paving_stones, plain, texel_of, tinted

_STILL = Wave(np.zeros((0, 4)))


def _units(
    heights_mm: FloatArray,
    length_mm: float,
    ragged: float,
    joint_mm: float,
    palette: Palette,
) -> Callable[[Light], Material]:
    """Return courses of given heights with units of about one length."""

    def made(light: Light) -> Material:
        def face(u: FloatArray, v: FloatArray, rng: np.random.Generator) -> Face:
            repeats = int(np.ceil((v[-1] - v[0] + 1000.0) / heights_mm.sum())) + 1
            joints = (
                v[0]
                - 300.0
                + np.concatenate([[0.0], np.cumsum(np.tile(heights_mm, repeats))])
            )
            count = int((u[-1] - u[0]) / length_mm) + 8
            perpends = []
            for course in range(len(joints) - 1):
                steps = length_mm * np.exp(ragged * rng.standard_normal(count))
                start = u[0] - length_mm * (1.5 + 0.5 * (course % 2))
                perpends.append(start + np.concatenate([[0.0], np.cumsum(steps)]))
            laid = Laid(
                joints_mm=joints,
                perpends_mm=tuple(perpends),
                joint_mm=joint_mm,
                jitter_mm=1.0,
                across=_STILL,
                up=_STILL,
            )
            return brick_face(laid, palette, light, u, v, rng)

        return face

    return made


def _rubble(light: Light) -> Material:
    """Return stones of every size and shape in mortar."""

    def face(u: FloatArray, v: FloatArray, rng: np.random.Generator) -> Face:
        size = float(rng.uniform(170.0, 260.0))
        shape, texel = (len(v), len(u)), texel_of(u)
        wide, tall = 1.5 * size, size
        first, second, stone = _nearest_two(u / wide, v / tall, rng)
        rough = 0.05 * smooth(rng, shape, max(1.0, 25.0 / texel))
        inside = (second - first) * tall * 0.5 - 14.0 + rough * tall
        mask = np.clip(0.5 + inside / texel, 0.0, 1.0).astype(np.float32)
        tones = linear(np.array([(148, 136, 116), (126, 118, 106), (166, 150, 124)]))
        base = tones[stone % 3] * np.exp(0.15 * np.sin(stone * 12.9898))[..., None]
        tone = 1.0 + 0.16 * fractal(rng, shape, max(2.0, 90.0 / texel), 4)
        tone += 0.05 * grain(rng, shape)
        mortar = linear((172, 164, 148))
        share = mask[..., None]
        albedo = base * (tone[..., None] * share) + mortar * (1.0 - share)
        shift = np.array([[1, 0, 6.0 / texel], [0, 1, 9.0 / texel]], dtype=np.float32)
        flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
        above = cv2.warpAffine(mask, shift, shape[::-1], flags=flags)
        sun = 1.0 - np.clip(above - mask, 0.0, 1.0) * (max(light.sun) > 0.0)
        return Face(np.clip(albedo, 0.01, 0.9).astype(np.float32), sun, 0.8 + 0.2 * mask)

    return face


def _nearest_two(u: FloatArray, v: FloatArray, rng: np.random.Generator):
    """Return distances to the nearest two of scattered points, and the nearest's number."""
    table = rng.random((61, 67, 2))
    i, j = np.floor(v).astype(int), np.floor(u).astype(int)
    first = np.full((len(v), len(u)), np.inf, dtype=np.float32)
    second, number = first.copy(), np.zeros(first.shape, dtype=np.int32)
    for down in (-1, 0, 1):
        for right in (-1, 0, 1):
            r, c = (i + down) % 61, (j + right) % 67
            point = table[r[:, None], c[None, :]]
            du = u[None, :] - (j + right)[None, :] - point[..., 0]
            dv = v[:, None] - (i + down)[:, None] - point[..., 1]
            far = np.hypot(du, dv).astype(np.float32)
            nearer = far < first
            second = np.where(nearer, first, np.minimum(second, far))
            number = np.where(nearer, r[:, None] * 67 + c[None, :], number)
            first = np.minimum(first, far)
    return first, second, number


def _noise(_: Light) -> Material:
    """Return blotches without any order."""

    def face(u: FloatArray, v: FloatArray, rng: np.random.Generator) -> Face:
        shape, texel = (len(v), len(u)), texel_of(u)
        blotch = fractal(rng, shape, max(2.0, float(rng.uniform(60, 600)) / texel), 6)
        return tinted((150, 140, 130), np.clip(1.0 + 0.3 * blotch, 0.1, 2.0))

    return face


def _bars(
    period_mm: float, share: float, upright: bool, colours
) -> Callable[[Light], Material]:
    """Return a grating: bars and gaps, upright or level."""

    def made(_: Light) -> Material:
        def face(u: FloatArray, v: FloatArray, rng: np.random.Generator) -> Face:
            shape, texel = (len(v), len(u)), texel_of(u)
            place = u[None, :] if upright else v[:, None]
            at = np.abs((place / period_mm) % 1.0 - 0.5) * period_mm
            bar = np.clip(0.5 + (0.5 * share * period_mm - at) / texel, 0.0, 1.0)
            bar = np.broadcast_to(bar, shape)[..., None]
            tone = 1.0 + 0.06 * fractal(rng, shape, max(2.0, 250.0 / texel), 4)
            low, high = linear(colours[0]), linear(colours[1])
            albedo = (high * bar + low * (1.0 - bar)) * tone[..., None]
            whole = np.ones(shape, dtype=np.float32)
            return Face(albedo.astype(np.float32), whole, whole.copy())

        return face

    return made


def _mesh(_: Light) -> Material:
    """Return a grid of square bars."""

    def face(u: FloatArray, v: FloatArray, rng: np.random.Generator) -> Face:
        shape, texel = (len(v), len(u)), texel_of(u)
        du = np.abs((u / 100.0) % 1.0 - 0.5) * 100.0
        dv = np.abs((v / 100.0) % 1.0 - 0.5) * 100.0
        near = np.minimum(du[None, :], dv[:, None])
        bar = np.clip(0.5 + (8.0 - near) / texel, 0.0, 1.0)
        tone = 1.0 + 0.05 * smooth(rng, shape, max(2.0, 300.0 / texel)) - 0.75 * bar
        return tinted((176, 172, 160), tone.astype(np.float32))

    return face


def _corrugated(light: Light) -> Material:
    """Return upright waves of sheet metal, lit from one side."""

    def face(u: FloatArray, v: FloatArray, rng: np.random.Generator) -> Face:
        shape, texel = (len(v), len(u)), texel_of(u)
        slope = 0.7 * np.cos(2.0 * np.pi * u / 76.0)
        sun = light.towards_sun
        lean = (sun[2] - sun[0] * slope) / np.sqrt(1.0 + slope**2) / max(sun[2], 0.2)
        tone = np.clip(0.6 + 0.4 * lean, 0.15, 1.8)[None, :]
        rust = 1.0 + 0.08 * fractal(rng, shape, max(2.0, 500.0 / texel), 5, 3.0)
        return tinted((132, 138, 134), (tone * rust).astype(np.float32))

    return face


def _fixed(material: Material) -> Callable[[Light], Material]:
    return lambda _: material


_STONE = Palette(
    bricks=((186, 172, 142), (178, 164, 136), (194, 182, 154)),
    mortar=(170, 160, 140),
    spread=0.06,
    recess_mm=1.5,
    mottle=0.10,
)

COVERS: Final[dict[str, Callable[[Light], Material]]] = {
    "rubble": _rubble,
    "render": _fixed(plain((214, 206, 190), 0.05, 0.03, 0.05)),
    "tile-hanging": _fixed(
        overlapped(100.0, 165.0, ((140, 74, 56), (126, 66, 52), (150, 84, 62)))
    ),
    "weatherboard": _fixed(overlapped(150.0, 3600.0, ((206, 206, 198), (210, 209, 202)))),
    "slates": _fixed(overlapped(200.0, 300.0, ((86, 90, 100), (80, 84, 94)))),
    "pantiles": _fixed(overlapped(345.0, 300.0, ((124, 78, 60), (112, 70, 56)), 90.0)),
    "ashlar": _units(np.array([300.0]), 600.0, 0.0, 4.0, _STONE),
    "coursed-stone": _units(
        np.array([150.0, 100.0, 200.0, 125.0]), 380.0, 0.3, 12.0, PALETTES["yellow-stock"]
    ),
    "paving": _fixed(paving_stones()),
    "fence": _bars(125.0, 0.93, upright=True, colours=((30, 26, 20), (138, 104, 72))),
    "blinds": _bars(50.0, 0.75, upright=False, colours=((90, 88, 84), (224, 222, 214))),
    "grating": _bars(75.0, 0.5, upright=False, colours=((60, 60, 62), (170, 170, 168))),
    "mesh": _mesh,
    "corrugated": _corrugated,
    "noise": _noise,
}
"""Covers by name."""
