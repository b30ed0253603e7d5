"""Plain stuff: paint, stone, glass, grass, leaves, tiles, boards."""

import numpy as np

from calibration.arrays import FloatArray
from tests.pictures.face import Face, Material
from tests.pictures.noise import Field, fractal, grain, smooth
from tests.pictures.palettes import Rgb, linear


def texel_of(u_mm: FloatArray) -> float:
    """Return the spacing of texels."""
    return float(u_mm[1] - u_mm[0])


def tinted(colour: Rgb, tone: Field) -> Face:
    """Return a flat face of one colour and a varying tone."""
    albedo = linear(colour).astype(np.float32) * tone[..., None]
    whole = np.ones(tone.shape, dtype=np.float32)
    return Face(np.clip(albedo, 0.004, 0.95), whole, whole.copy())


def plain(
    colour: Rgb, mottle: float = 0.03, grit: float = 0.01, dirt: float = 0.0
) -> Material:
    """Return painted or cast stuff of one colour, sRGB.

    ``dirt`` streaks it downwards.
    """

    def face(u: FloatArray, v: FloatArray, rng: np.random.Generator) -> Face:
        shape, texel = (len(v), len(u)), texel_of(u)
        tone = 1.0 + mottle * fractal(rng, shape, max(2.0, 300.0 / texel), 5)
        tone += grit * grain(rng, shape)
        if dirt:
            streaks = smooth(rng, shape, max(1.5, 40.0 / texel), 12.0)
            tone -= dirt * np.clip(streaks, 0.0, 2.0)
        return tinted(colour, np.maximum(tone, 0.05).astype(np.float32))

    return face


def grass(colour: Rgb = (104, 112, 74)) -> Material:
    """Return a lawn."""

    def face(u: FloatArray, v: FloatArray, rng: np.random.Generator) -> Face:
        shape, texel = (len(v), len(u)), texel_of(u)
        tone = 1.0 + 0.16 * fractal(rng, shape, max(2.0, 900.0 / texel), 6)
        tone += 0.22 * smooth(rng, shape, max(1.0, 12.0 / texel), 1.5)
        return tinted(colour, np.clip(tone, 0.25, 2.0))

    return face


def leaves(
    colour: Rgb, top_mm: float, ragged_mm: float = 60.0, *, oval: bool = False
) -> Material:
    """Return a hedge or the oval crown of a tree: dark gaps inside, a ragged rim."""

    def face(u: FloatArray, v: FloatArray, rng: np.random.Generator) -> Face:
        shape, texel = (len(v), len(u)), texel_of(u)
        clumps = fractal(rng, shape, max(2.0, 260.0 / texel), 3)
        leaf = smooth(rng, shape, max(1.0, 35.0 / texel))
        tone = np.clip(0.75 + 0.28 * clumps + 0.38 * leaf, 0.10, 2.2)
        made = tinted(colour, tone)
        rim = top_mm - ragged_mm * (1.5 + 0.7 * clumps + 0.25 * leaf) - v[:, None]
        left = u[None, :] - u[0] - ragged_mm * (1.2 + 0.5 * leaf)
        right = u[-1] - u[None, :] - ragged_mm * (1.2 + 0.5 * leaf)
        inside = np.minimum(np.minimum(rim, left), right)
        if oval:
            half = 0.5 * float(u[-1] - u[0])
            off = np.hypot(
                (u - u.mean())[None, :] / half, (v / top_mm * 2.0 - 1.0)[:, None]
            )
            inside = half * (1.0 - off) - ragged_mm * (1.2 + 0.7 * clumps + 0.4 * leaf)
        made.solid = np.clip(0.5 + inside / texel, 0.0, 1.0).astype(np.float32)
        return made

    return face


def glazed(lights: int, frame: Rgb, inside: str, transom: float = 0.0) -> Material:
    """Return a window: frame, sashes, glass with what it mirrors, and what hangs within.

    Parameters
    ----------
    lights : int
        Panes side by side.
    frame : Rgb
    inside : str
        "dark", "nets" or "blinds".
    transom : float
        Height of a bar across, share of the height; 0 for none.
    """

    def face(u: FloatArray, v: FloatArray, rng: np.random.Generator) -> Face:
        shape, texel = (len(v), len(u)), texel_of(u)
        width, height = u[-1] - 2.0 * texel, v[-1] - 2.0 * texel
        pane = width / lights
        across = np.abs((u + 0.5 * pane) % pane - 0.5 * pane)
        to_bar = np.minimum(across, np.minimum(u + 20.0, width + 20.0 - u))[None, :]
        rows = np.minimum(v, height - v)[:, None]
        if transom:
            rows = np.minimum(rows, np.abs(v - transom * height)[:, None])
        depth = np.minimum(to_bar, rows)
        wood = np.clip(0.5 + (58.0 - depth) / texel, 0.0, 1.0)
        gap = np.clip(1.0 - np.abs(depth - 34.0) / max(3.0, texel), 0.0, 1.0) * 0.5
        glass = _glass(shape, u, v / max(height, 1.0), inside, rng)
        tone = (1.0 - gap) * (1.0 + 0.02 * smooth(rng, shape, max(2.0, 200.0 / texel)))
        colour = linear(frame) * tone[..., None]
        albedo = glass * (1.0 - wood[..., None]) + colour * wood[..., None]
        whole = np.ones(shape, dtype=np.float32)
        return Face(albedo.astype(np.float32), whole, whole.copy())

    return face


def _glass(shape, u: FloatArray, share: FloatArray, inside: str, rng) -> FloatArray:
    """Return what a pane shows: a dark room with hangings, and the sky mirrored."""
    texel = float(u[1] - u[0])
    mirrored = 0.05 + 0.16 * np.clip(share, 0.0, 1.0)[:, None]
    mirrored = mirrored * (1.0 + 0.5 * fractal(rng, shape, max(2.0, 700.0 / texel), 3))
    room = np.full(shape, 0.02)
    if inside == "nets":
        folds = 0.5 + 0.5 * np.sin(
            u / 19.0 + 2.0 * smooth(rng, (1, len(u)), 150.0 / texel)[0]
        )
        room = 0.10 + 0.16 * folds[None, :] + np.zeros(shape)
    elif inside == "blinds":
        rows = (share * 1200.0)[:, None] % 38.0
        room = np.where(rows < 27.0, 0.30, 0.06) + np.zeros(shape)
    grey = np.clip(mirrored, 0.0, 0.5)[..., None] * np.array([0.85, 0.95, 1.1])
    return grey + room[..., None] * np.array([1.0, 0.99, 0.96])


def overlapped(
    gauge_mm: float, width_mm: float, colours: tuple[Rgb, ...], roll_mm: float = 0.0
) -> Material:
    """Return tiles, slates or boards that lap over the row below.

    Parameters
    ----------
    gauge_mm : float
        Height of a row that stays visible.
    width_mm : float
        Of one tile; rows are staggered by half. Large for boards.
    colours : tuple of Rgb
    roll_mm : float
        Width of a roll beside each tile's flat pan; 0 for flat tiles.
    """

    def face(u: FloatArray, v: FloatArray, rng: np.random.Generator) -> Face:
        shape, texel = (len(v), len(u)), texel_of(u)
        row = np.floor(v / gauge_mm).astype(np.int32)
        up = (v - row * gauge_mm).astype(np.float32)
        shift = np.where(row % 2 == 0, 0.0, 0.5 * width_mm * (roll_mm == 0.0))
        place = u.astype(np.float32)[None, :] + shift.astype(np.float32)[:, None]
        column = np.floor(place * np.float32(1.0 / width_mm)).astype(np.int32)
        along = place - column * np.float32(width_mm)
        tile = (row[:, None] * 7919 + column * 5741) & 4095
        tones = np.exp(0.09 * rng.standard_normal(4096))
        kinds = linear(np.array(colours))[rng.integers(len(colours), size=4096)]
        base = (kinds * tones[:, None]).astype(np.float32)[tile]
        tone = 1.0 + 0.08 * fractal(rng, shape, max(2.0, 350.0 / texel), 5)
        tone += 0.05 * grain(rng, shape)
        seam = np.clip(0.5 + (2.0 - np.minimum(along, width_mm - along)) / texel, 0, 1)
        thick = max(12.0, 0.5 * texel)
        nose = np.clip(0.5 + (up - (gauge_mm - thick)) / texel, 0.0, 1.0)[:, None]
        if roll_mm:
            turn = np.clip((along - (width_mm - roll_mm)) / roll_mm, 0.0, 1.0)
            tone = tone * (1.0 - 0.35 * np.sin(2.0 * np.pi * turn))
        sunlit = (1.0 - 0.75 * nose) * (1.0 - 0.6 * seam)
        albedo = np.clip(base * tone[..., None].astype(np.float32), 0.004, 0.95)
        sky = (1.0 - 0.45 * nose) * (1.0 - 0.4 * seam)
        return Face(albedo, sunlit.astype(np.float32), sky.astype(np.float32))

    return face


def paving_stones() -> Material:
    """Return flags of concrete, 450 by 450, that meet in open joints."""
    return overlapped(450.0, 450.0, ((168, 164, 154), (158, 154, 146), (176, 170, 158)))
