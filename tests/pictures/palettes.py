"""Colours of bricks, mortar and other stuff, as data.

All values are from memory of what walls look like in photographs; no source.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from calibration.arrays import FloatArray

Rgb = tuple[int, int, int]


def linear(srgb: FloatArray | Rgb) -> FloatArray:
    """Return linear light of sRGB values 0 to 255."""
    value = np.asarray(srgb, dtype=np.float64) / 255.0
    return np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)


@dataclass(frozen=True, slots=True, kw_only=True)
class Palette:
    """What a wall is made of.

    Attributes
    ----------
    bricks : tuple of Rgb
        A brick takes one of these, sRGB.
    mortar : Rgb
    spread : float
        Relative standard deviation of single bricks' brightness.
    recess_mm : float
        How far the mortar lies behind the faces; 0 is flush.
    mottle : float
        Strength of blotches within a brick.
    grain : float
        Strength of the finest roughness.
    """

    bricks: tuple[Rgb, ...]
    mortar: Rgb
    spread: float = 0.10
    recess_mm: float = 4.0
    mottle: float = 0.10
    grain: float = 0.05


PALETTES: Final[dict[str, Palette]] = {
    "red": Palette(
        bricks=((152, 82, 62), (160, 90, 66), (140, 72, 58), (165, 98, 76)),
        mortar=(188, 178, 160),
    ),
    "red-multi": Palette(
        bricks=((150, 78, 60), (120, 66, 60), (172, 104, 80), (98, 62, 62), (180, 118, 88)),
        mortar=(180, 172, 158),
        spread=0.14,
    ),
    "brown": Palette(
        bricks=((116, 80, 64), (128, 90, 70), (102, 70, 58)), mortar=(170, 158, 142)
    ),
    "yellow-stock": Palette(
        bricks=((190, 164, 116), (176, 148, 104), (200, 178, 134), (150, 128, 98)),
        mortar=(176, 168, 152),
        spread=0.12,
        mottle=0.14,
    ),
    "buff-flush": Palette(
        bricks=((200, 172, 130), (208, 182, 142), (192, 164, 124)),
        mortar=(206, 196, 174),
        recess_mm=0.6,
    ),
    "grey": Palette(
        bricks=((112, 114, 120), (98, 100, 106), (124, 126, 130)), mortar=(168, 166, 160)
    ),
    "dark-mortar": Palette(
        bricks=((158, 88, 66), (148, 78, 60), (168, 98, 74)), mortar=(86, 80, 76)
    ),
    "same-mortar": Palette(
        bricks=((156, 96, 76), (148, 88, 70), (164, 104, 82)),
        mortar=(150, 100, 82),
        recess_mm=6.0,
    ),
    "painted-white": Palette(
        bricks=((226, 224, 216),),
        mortar=(222, 220, 212),
        spread=0.012,
        recess_mm=4.5,
        mottle=0.015,
        grain=0.012,
    ),
    "engineering-blue": Palette(
        bricks=((74, 78, 90), (66, 70, 82), (84, 86, 96)), mortar=(150, 148, 144)
    ),
    "block": Palette(
        bricks=((158, 156, 150), (150, 149, 144), (164, 162, 156)),
        mortar=(176, 174, 168),
        spread=0.04,
        recess_mm=2.0,
        mottle=0.06,
    ),
}
