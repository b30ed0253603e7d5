"""A picture as data, and drawing it: surfaces, light, camera, truth."""

from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path

import numpy as np

from calibration.arrays import FloatArray
from tests.pictures.bonds import Brickwork, Laid, lay
from tests.pictures.cast import Surface, Texels, Texture, cast, texel_for
from tests.pictures.finish import Finish, Rgb8, develop, encode
from tests.pictures.light import Light, lit, shadow
from tests.pictures.mark import Marker, brick_truth
from tests.pictures.masonry import brick_face
from tests.pictures.palettes import PALETTES
from tests.pictures.truth import Edge, Truth
from tests.pictures.view import Stand, View


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
        "brick", or the name of what covers the wall instead.
    work : Brickwork
    palette : str
        Name in :data:`tests.pictures.palettes.PALETTES`.
    width_mm, height_mm : float
        Of the wall.
    light : Light
    finish : Finish
    """

    name: str = "scene"
    seed: int = 0
    stand: Stand = field(default_factory=Stand)
    wall: str = "brick"
    work: Brickwork = field(default_factory=Brickwork)
    palette: str = "red"
    width_mm: float = 8000.0
    height_mm: float = 5000.0
    light: Light = field(default_factory=Light)
    finish: Finish = field(default_factory=Finish)

    def rng(self, *tags: int) -> np.random.Generator:
        """Return the generator of one part, so that parts do not disturb each other."""
        return np.random.default_rng([self.seed, *tags])

    def draw(self) -> "Picture":
        """Draw the scene."""
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


X, Y, Z = np.eye(3)


def _rectangle(u0: float, v0: float, u1: float, v1: float) -> FloatArray:
    return np.array([[u0, v0], [u1, v0], [u1, v1], [u0, v1]])


def grid_of(surface: Surface, texel_mm: float) -> tuple[FloatArray, FloatArray]:
    """Return u and v of the texels that cover a surface and a rim of two."""
    low = surface.outline_mm.min(axis=0) - 2.0 * texel_mm
    high = surface.outline_mm.max(axis=0) + 2.0 * texel_mm
    u, v = (np.arange(low[i], high[i] + texel_mm, texel_mm) for i in (0, 1))
    return u, v


def draw(scene: Scene) -> Picture:
    """Return the picture of a scene.

    Parameters
    ----------
    scene : Scene

    Returns
    -------
    Picture
    """
    view = scene.stand.view()
    extent = (0.0, 0.0, scene.width_mm, scene.height_mm)
    laid = lay(scene.work, extent, scene.rng(1))
    wall = Surface(
        name="wall",
        origin_mm=np.zeros(3),
        along=X,
        up=Y,
        outline_mm=_rectangle(*extent),
    )
    ground = Surface(
        name="ground",
        origin_mm=np.zeros(3),
        along=X,
        up=-Z,
        outline_mm=_rectangle(-30_000.0, -30_000.0, 40_000.0, 30_000.0),
    )
    skins = [_wall_skin(scene, view, wall, laid), _plain_skin(scene, ground)]
    frame = cast(view, [wall, ground], skins, _sky(view))
    rgb = develop(frame.light, scene.finish, scene.rng(2))
    marker = Marker(view, frame)
    truth = Truth(
        name=scene.name,
        wall=scene.wall,
        seed=scene.seed,
        view=view,
        brick=brick_truth(marker, scene.work, scene.palette, laid, extent, _everywhere),
        edges=_quoins(marker, scene),
        exif=_header(scene),
    )
    return Picture(rgb=rgb, truth=truth, brick_mask=frame.surface == 0, scene=scene)


def _everywhere(xy: FloatArray) -> np.ndarray:
    return np.ones(len(xy), dtype=np.bool_)


def _wall_skin(scene: Scene, view: View, wall: Surface, laid: Laid) -> Texture:
    texel = texel_for(view, wall)
    u, v = grid_of(wall, texel)
    face = brick_face(laid, PALETTES[scene.palette], scene.light, u, v, scene.rng(3))
    sun = shadow(wall, [], scene.light, u, v) * face.sunlit
    light = lit(face.albedo, wall, scene.light, sun, face.open)
    return Texture(texels=light, texel_mm=texel, corner_mm=(float(u[0]), float(v[0])))


def _plain_skin(scene: Scene, surface: Surface) -> Texture:
    texel = 200.0
    u, v = grid_of(surface, texel)
    albedo = np.full((len(v), len(u), 3), 0.18, dtype=np.float32)
    light = lit(albedo, surface, scene.light, 1.0)
    return Texture(texels=light, texel_mm=texel, corner_mm=(float(u[0]), float(v[0])))


def _sky(view: View) -> Texels:
    width, height = view.size_px
    return np.broadcast_to(
        np.array([0.55, 0.68, 0.85], dtype=np.float32), (height, width, 3)
    ).copy()


def _quoins(marker: Marker, scene: Scene) -> tuple[Edge, ...]:
    right, top = scene.width_mm, scene.height_mm
    return (
        marker.edge("left quoin", "quoin", np.array([[0.0, 0.0, 0.0], [0.0, top, 0.0]])),
        marker.edge("right quoin", "quoin", np.array([[right, 0, 0], [right, top, 0]])),
        marker.edge("wall top", "head", np.array([[0, top, 0], [right, top, 0]])),
    )


def _header(scene: Scene) -> dict[str, float]:
    """Return what the file's header says of the lens."""
    if not scene.finish.exif:
        return {}
    return {
        "focal_mm": 5.4,
        "focal_35mm": float(round(scene.stand.equivalent_mm)),
        "orientation": scene.finish.orientation,
    }
