"""The wall itself: its outline, its face with all patches, and where it is bare."""

from dataclasses import dataclass

import numpy as np

from calibration.arrays import FloatArray
from tests.pictures.bonds import Laid, Wave, lay
from tests.pictures.build import rake_low_mm
from tests.pictures.cast import Mask, Surface
from tests.pictures.covers import COVERS
from tests.pictures.face import Face, Material
from tests.pictures.house import Patch, head_patch
from tests.pictures.masonry import brick_face
from tests.pictures.noise import fractal, smooth
from tests.pictures.palettes import PALETTES
from tests.pictures.scene import Scene
from tests.pictures.shapes import flat
from tests.pictures.stuff import plain

_MARGIN_MM = 6.0
"""Near a hole or a patch the lattice is cut: no truth is stated there."""

_STILL = Wave(np.zeros((0, 4)))


@dataclass(frozen=True, eq=False)
class Wall:
    """A laid wall.

    Attributes
    ----------
    scene : Scene
    laid : Laid
    patches : tuple of Patch
    surface : Surface
    """

    scene: Scene
    laid: Laid
    patches: tuple[Patch, ...]
    surface: Surface

    @property
    def extent_mm(self) -> tuple[float, float, float, float]:
        """x0, y0, x1, y1 of the wall's highest and widest parts."""
        x1, y1 = self.surface.outline_mm.max(axis=0)
        return (0.0, 0.0, float(x1), float(y1))

    def bare(self, xy_mm: FloatArray) -> Mask:
        """Return whether wall points (N, 2) are plain brickwork."""
        boxes = [o.box_mm for o in self.scene.house.openings]
        boxes += [p.box_mm for p in self.patches]
        x, y = np.asarray(xy_mm).T
        free = np.ones(len(x), dtype=np.bool_)
        for x0, y0, x1, y1 in boxes:
            across = (x > x0 - _MARGIN_MM) & (x < x1 + _MARGIN_MM)
            free &= ~(across & (y > y0 - _MARGIN_MM) & (y < y1 + _MARGIN_MM))
        if self.scene.house.kind == "gable":
            rake = np.array([rake_low_mm(self.scene.house, at) for at in x])
            free &= y < rake
        return free

    def material(self) -> Material:
        """Return what the wall looks like before the house's shadows fall on it."""
        scene = self.scene
        if scene.wall != "brick":
            return COVERS[scene.wall](scene.light)
        palette = PALETTES[scene.palette]

        def face(u: FloatArray, v: FloatArray, rng: np.random.Generator) -> Face:
            made = brick_face(self.laid, palette, scene.light, u, v, rng)
            for patch in self.patches:
                _put(made, patch, scene, u, v, rng)
            _weather(made, u, v, rng)
            return made

        return face

    def side_material(self, start_mm: float) -> Material:
        """Return the same brickwork round the corner."""
        scene = self.scene
        if scene.wall != "brick":
            return COVERS[scene.wall](scene.light)

        def face(u: FloatArray, v: FloatArray, rng: np.random.Generator) -> Face:
            extent = (float(u[0]), float(v[0]), float(u[-1]), float(v[-1]))
            laid = lay(scene.work, (extent[0] - start_mm, *extent[1:]), rng)
            return brick_face(laid, PALETTES[scene.palette], scene.light, u, v, rng)

        return face


def build_wall(scene: Scene) -> Wall:
    """Return the wall of a scene."""
    house = scene.house
    W, H = house.width_mm, house.height_mm
    corners = [[0.0, 0.0, 0.0], [W, 0.0, 0.0], [W, H, 0.0], [0.0, H, 0.0]]
    if house.kind == "gable":
        high = [[x, rake_low_mm(house, x) + 18.0, 0.0] for x in (W, W / 2.0, 0.0)]
        corners[2:] = high
    holes = tuple(o.box_mm for o in house.openings)
    heads = [head_patch(scene.work, o) for o in house.openings]
    top = max(c[1] for c in corners)
    return Wall(
        scene=scene,
        laid=lay(scene.work, (0.0, 0.0, W, top), scene.rng(1)),
        patches=house.patches + tuple(p for p in heads if p is not None),
        surface=flat("wall", corners, holes),
    )


def _weather(face: Face, u: FloatArray, v: FloatArray, rng: np.random.Generator) -> None:
    """Darken and bleach a wall as years do, in place."""
    shape, texel = face.sunlit.shape, float(u[1] - u[0])
    tone = 1.0 + 0.05 * fractal(rng, shape, max(2.0, 1500.0 / texel), 3)
    streak = smooth(rng, shape, max(1.5, 130.0 / texel), 8.0)
    tone -= 0.05 * np.clip(streak - 0.8, 0.0, 1.5)
    damp = np.exp(-np.maximum(v, 0.0) / 260.0).astype(np.float32)[:, None]
    tone *= 1.0 - 0.22 * damp
    face.albedo *= np.maximum(tone, 0.2)[..., None].astype(np.float32)


def _put(face: Face, patch: Patch, scene: Scene, u: FloatArray, v: FloatArray, rng) -> None:
    """Paint one patch over the brickwork, in place."""
    x0, y0, x1, y1 = patch.box_mm
    c0, c1 = np.searchsorted(u, [x0, x1])
    r0, r1 = np.searchsorted(v, [y0, y1])
    if c1 - c0 < 2 or r1 - r0 < 2:
        return
    inner = u[c0:c1], v[r0:r1]
    if patch.kind == "soldier":
        palette = PALETTES[scene.palette]
        made = brick_face(_soldiers(patch, scene), palette, scene.light, *inner, rng)
    else:
        made = plain(*_PATCHES[patch.kind])(*inner, rng)
    face.paste(made, int(r0), int(c0))


_PATCHES = {
    "lintel": ((176, 172, 162), 0.06, 0.03, 0.06),
    "render": ((220, 214, 200), 0.04, 0.03, 0.06),
    "quoin": ((206, 196, 172), 0.10, 0.04, 0.02),
    "vent": ((70, 66, 62), 0.20, 0.05, 0.0),
    "box": ((228, 226, 218), 0.02, 0.01, 0.02),
}
"""Colour, blotches, grit and dirt of patches."""


def _soldiers(patch: Patch, scene: Scene) -> Laid:
    """Return one course of bricks that stand on their ends."""
    x0, y0, x1, y1 = patch.box_mm
    joint = scene.work.joint_mm
    count = max(1, round((x1 - x0) / scene.work.gauge_mm))
    # The joint below the first course of bricks above belongs to that course.
    return Laid(
        joints_mm=np.array([y0 - joint / 2.0, y1]),
        perpends_mm=(np.linspace(x0 - joint / 2.0, x1 + joint / 2.0, count + 1),),
        joint_mm=joint,
        jitter_mm=scene.work.jitter_mm,
        across=_STILL,
        up=_STILL,
    )
