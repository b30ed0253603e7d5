"""A picture as data, and the picture that comes of it."""

from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path

import numpy as np

from tests.pictures.bonds import Brickwork
from tests.pictures.cast import Texels
from tests.pictures.finish import Finish, Rgb8, encode
from tests.pictures.house import BARE, House
from tests.pictures.light import Light
from tests.pictures.sheets import Sheet
from tests.pictures.truth import Truth
from tests.pictures.view import Stand


@dataclass(frozen=True, kw_only=True)
class Scene:
    """Everything a picture is made from; equal scenes make equal pictures.

    Attributes
    ----------
    name : str
    seed : int
        Of all that is random in it.
    stand : Stand
    wall : str
        "brick", a name in :data:`tests.pictures.covers.COVERS`, "sky" or "static" (a
        picture of noise only).
    work : Brickwork
    palette : str
        Name in :data:`tests.pictures.palettes.PALETTES`.
    house : House
        What stands there.
    dapple : float
        Strength of a tree's shadow on the wall, 0 to 1.
    sheets : tuple of Sheet
        Printed sheets on the wall.
    light : Light
    finish : Finish
    """

    name: str = "scene"
    seed: int = 0
    stand: Stand = field(default_factory=Stand)
    wall: str = "brick"
    work: Brickwork = field(default_factory=Brickwork)
    palette: str = "red"
    house: House = BARE
    dapple: float = 0.0
    sheets: tuple[Sheet, ...] = ()
    light: Light = field(default_factory=Light)
    finish: Finish = field(default_factory=Finish)

    def rng(self, *tags: int) -> np.random.Generator:
        """Return the generator of one part, so that parts do not disturb each other."""
        return np.random.default_rng([self.seed, *tags])

    def draw(self) -> "Picture":
        """Draw the scene."""
        from tests.pictures.draw import draw

        return draw(self)


@dataclass(frozen=True, eq=False, kw_only=True)
class Picture:
    """A finished picture and its truth.

    Attributes
    ----------
    rgb : (H, W, 3) uint8
        Upright pixels, after compression if any.
    truth : Truth
    brick_mask : (H, W) bool
        Where plain brickwork is seen.
    scene : Scene
    """

    rgb: Rgb8
    truth: Truth
    brick_mask: np.ndarray
    scene: Scene

    @cached_property
    def grey(self) -> Texels:
        """Luma, (H, W) float32, 0 to 255."""
        weights = np.array([0.299, 0.587, 0.114], dtype=np.float32)
        return self.rgb.astype(np.float32) @ weights

    def jpeg(self) -> bytes:
        """Return the picture as a phone's file, turned and with a header if it has one."""
        return encode(self.rgb, self.scene.finish, self.truth.exif)

    def save(self, path: Path) -> None:
        """Write the file, and its truth beside it."""
        path.write_bytes(self.jpeg())
        self.truth.save(path.with_suffix(".truth.json"))
