"""Draws a scene: surfaces, skins, rays, phone, truth."""

import cv2
import numpy as np

from calibration.arrays import FloatArray
from tests.pictures.build import (
    Built,
    build_eaves,
    build_gable,
    build_opening,
    build_pipe,
)
from tests.pictures.cast import Frame, Surface, Texels, Texture, cast, shows, texel_for
from tests.pictures.face import Piece
from tests.pictures.finish import develop
from tests.pictures.garden import build_garden
from tests.pictures.light import lit, shadow
from tests.pictures.mark import Marker, brick_truth
from tests.pictures.noise import Field, fractal, smooth
from tests.pictures.scene import Picture, Scene
from tests.pictures.shapes import flat, front, side
from tests.pictures.stuff import plain
from tests.pictures.truth import Trace, Truth
from tests.pictures.view import View
from tests.pictures.wall import Wall, build_wall

_TEXELS_A_PIXEL = 4.0
_MOST_TEXELS = 2e7
_MOST_IN_LINE = 32_000
"""A surface that would need more texels is sampled more coarsely: in all, and along one
side, of which cv2.remap takes no more than 32,766."""

_UNDER_EAVES_MM = 420.0
_SKY_SHRINK = 4
_PARTS = {"wall": 1, "develop": 2, "skin": 3, "house": 4, "garden": 5, "sky": 6}
"""Every part draws from a generator of its own."""


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
    sky = _sky(scene, view)
    if scene.wall in ("sky", "static"):
        return _without_house(scene, view, sky)
    wall = build_wall(scene)
    built = _build(scene, wall)
    surfaces = [p.surface for p in built.pieces]
    skins = _skins(scene, view, built.pieces)
    frame = cast(view, surfaces, skins, sky)
    rgb = develop(frame.light, scene.finish, scene.rng(_PARTS["develop"]))
    return Picture(
        rgb=rgb,
        truth=_truth(scene, wall, built, Marker(view, frame)),
        brick_mask=_brick_mask(wall, frame, view),
        scene=scene,
    )


def _build(scene: Scene, wall: Wall) -> Built:
    """Return all pieces of a scene; the wall is the first."""
    house, built = scene.house, Built()
    rng = scene.rng(_PARTS["house"])
    # The reveals, not the wall with its holes, shade what is set back in it.
    built.add(wall.surface, wall.material(), casts=False)
    W, H = house.width_mm, house.height_mm
    for x, word in ((0.0, "left"), (W, "right")):
        top = wall.surface.outline_mm[-1, 1] if house.kind == "gable" else H
        built.edge(f"{word} quoin", "quoin", [x, 0.0, 0.0], [x, top, 0.0])
    built.edge("wall foot", "ground", [0.0, 0.0, 0.0], [W, 0.0, 0.0])
    if house.kind == "none":
        built.edge("wall top", "wall-top", [0.0, H, 0.0], [W, H, 0.0])
    for number, opening in enumerate(house.openings):
        build_opening(built, number, opening, rng)
    if house.kind == "eaves":
        build_eaves(built, house)
        _build_sides(built, scene, wall)
    elif house.kind == "gable":
        build_gable(built, house)
    for x in house.pipes_mm:
        build_pipe(built, house, x)
    for sheet in scene.sheets:
        built.add(sheet.surface(), sheet.material(), casts=False, coarsest_mm=4.0)
    build_garden(built, house, scene.rng(_PARTS["garden"]))
    return built


def _build_sides(built: Built, scene: Scene, wall: Wall) -> None:
    """Add the return walls, their barge boards, and a chimney."""
    house = scene.house
    W, H, D = house.width_mm, house.height_mm, house.depth_mm
    boards = plain(house.boards, 0.015, 0.004, 0.015)
    rise = (D / 2.0) * np.tan(house.pitch_rad)
    for x, turn in ((0.0, -1), (W, 1)):
        z0, z1 = (-D, 0.0) if turn < 0 else (0.0, -D)
        outline = [[x, 0, z0], [x, 0, z1], [x, H, z1], [x, H + rise, -D / 2.0], [x, H, z0]]
        built.add(flat("side", outline), wall.side_material(100.0))
        at = x + turn * house.verge_mm
        foot, apex = [at, H, house.overhang_mm], [at, H + rise + 200.0, -D / 2.0]
        deep = np.array([0.0, house.fascia_mm / np.cos(house.pitch_rad), 0.0])
        a, b = (np.array(p) for p in ((apex, foot) if turn < 0 else (foot, apex)))
        built.add(flat("side barge", [a, b, b + deep, a + deep]), boards)
    if house.chimney:
        x, z = 0.72 * W, -D / 2.0 + 450.0
        top = H + rise + 1500.0
        y = H + rise - 700.0
        built.add(front("chimney", (x, y, x + 900.0, top), z), wall.side_material(60.0))
        for at, turn in ((x, -1), (x + 900.0, 1)):
            flank = side("chimney", at, (y, top), (z - 600.0, z), turn)
            built.add(flank, wall.side_material(30.0))


def _skins(scene: Scene, view: View, pieces: list[Piece]) -> list[Texture]:
    """Return the lit texels of all pieces; those that cannot be seen get a few only."""
    casters = [p.surface for p in pieces if p.casts]
    skins = []
    for number, piece in enumerate(pieces):
        if not shows(view, piece.surface):
            skins.append(_blank())
            continue
        rng = scene.rng(_PARTS["skin"], number)
        skins.append(_skin(scene, view, piece, casters, rng))
    return skins


def _blank() -> Texture:
    nothing = np.zeros((2, 2, 3), dtype=np.float32)
    return Texture(texels=nothing, texel_mm=1.0, corner_mm=(0.0, 0.0))


def _skin(scene: Scene, view: View, piece: Piece, casters, rng) -> Texture:
    """Return the lit texels of one piece."""
    surface = piece.surface
    texel = min(texel_for(view, surface), piece.coarsest_mm)
    if piece.repeat_mm:
        u = v = np.arange(0.0, piece.repeat_mm, max(texel, piece.repeat_mm / 1400.0))
    else:
        sides = np.ptp(surface.outline_mm, axis=0)
        most = min(_TEXELS_A_PIXEL * float(np.prod(view.size_px)), _MOST_TEXELS)
        least = max(np.sqrt(np.prod(sides) / most), np.max(sides) / _MOST_IN_LINE)
        u, v = grid_of(surface, max(texel, float(least)))
    face = piece.material(u, v, rng)
    sun = face.sunlit
    if piece.shaded:
        sun = sun * shadow(surface, casters, scene.light, u, v)
    sky = np.float32(piece.sky) * face.open
    if surface.name == "wall":
        sun = sun * _dappled(scene, u, v, rng)
        sky = sky * _under_eaves(scene, v)
    light = lit(face.albedo, surface, scene.light, sun, sky)
    if face.solid is not None:
        light = np.dstack([light, face.solid])
    return Texture(
        texels=np.ascontiguousarray(light, dtype=np.float32),
        texel_mm=float(u[1] - u[0]),
        corner_mm=(float(u[0]), float(v[0])),
        mirrored=piece.repeat_mm > 0.0,
    )


def grid_of(surface: Surface, texel_mm: float) -> tuple[FloatArray, FloatArray]:
    """Return u and v of the texels that cover a surface and a rim of two."""
    low = surface.outline_mm.min(axis=0) - 2.0 * texel_mm
    high = surface.outline_mm.max(axis=0) + 2.0 * texel_mm
    u, v = (np.arange(low[i], high[i] + 1.5 * texel_mm, texel_mm) for i in (0, 1))
    return u, v


def _dappled(scene: Scene, u: FloatArray, v: FloatArray, rng) -> Field:
    """Return the sun left by a tree out of the picture."""
    shape = (len(v), len(u))
    if scene.dapple <= 0.0:
        return np.ones(shape, dtype=np.float32)
    texel = float(u[1] - u[0])
    crown = smooth(rng, shape, 2200.0 / texel) + 0.9 * fractal(rng, shape, 300.0 / texel, 3)
    covered = np.clip(0.5 + (crown - 0.2) / 0.6, 0.0, 1.0)
    return (1.0 - np.float32(scene.dapple) * covered).astype(np.float32)


def _under_eaves(scene: Scene, v: FloatArray) -> Field:
    """Return the share of the sky that a wall sees below its eaves, (rows, 1)."""
    if scene.house.kind != "eaves":
        return np.ones((len(v), 1), dtype=np.float32)
    below = np.maximum(scene.house.height_mm - v, 0.0)
    shade = 1.0 - 0.45 * np.exp(-below / _UNDER_EAVES_MM)
    return shade.astype(np.float32)[:, None]


def _sky(scene: Scene, view: View) -> Texels:
    """Return the sky behind everything, (H, W, 3) linear."""
    rng = scene.rng(_PARTS["sky"])
    width, height = view.size_px
    small = (height // _SKY_SHRINK + 1, width // _SKY_SHRINK + 1)
    rows = np.linspace(0.0, 1.0, small[0])[:, None]
    cloud = fractal(rng, small, 0.4 * small[1], 6)
    cover = -0.9 if max(scene.light.sun) <= 0.0 else 0.4
    share = np.clip(0.5 + (cloud - cover) / 1.6, 0.0, 1.0)[..., None]
    high, low = np.array([0.20, 0.36, 0.66]), np.array([0.52, 0.66, 0.84])
    blue = high + (low - high) * rows[..., None]
    white = np.array([0.80, 0.83, 0.88]) * (0.92 + 0.06 * np.tanh(cloud))[..., None]
    sky = (blue + (white - blue) * share).astype(np.float32)
    return cv2.resize(sky, (width, height), interpolation=cv2.INTER_LINEAR)


def _brick_mask(wall: Wall, frame: Frame, view: View) -> np.ndarray:
    """Return which pixels see plain brickwork, (H, W)."""
    mask = frame.surface == 0
    if wall.scene.wall != "brick":
        return np.zeros_like(mask)
    rows, columns = np.nonzero(mask)
    x, y = view.ideal_grid()
    rays = np.stack([x[mask], y[mask], np.ones(len(rows))], axis=1)
    rays = rays @ view.camera.R_wall_from_camera.T
    reach = view.camera.standoff_mm / -rays[:, 2]
    bare = wall.bare(rays[:, :2] * reach[:, None] + np.array(view.foot_mm))
    mask[rows, columns] = bare
    return mask


def _truth(scene: Scene, wall: Wall, built: Built, marker: Marker) -> Truth:
    """Return everything that is known about the picture."""
    brick = None
    if scene.wall == "brick":
        brick = brick_truth(
            marker, scene.work, scene.palette, wall.laid, wall.extent_mm, wall.bare
        )
    eye = marker.view.eye_mm
    edges = [*built.edges, *((r.name, r.role, r.outline_mm(eye)) for r in built.rounds)]
    marks: dict[str, Trace] = {
        f"sheet {s.name} corners": marker.trace(s.corners_mm) for s in scene.sheets
    }
    return Truth(
        name=scene.name,
        wall=scene.wall,
        seed=scene.seed,
        view=marker.view,
        brick=brick,
        edges=tuple(marker.edge(*edge) for edge in edges),
        marks=marks,
        exif=_header(scene),
    )


def _without_house(scene: Scene, view: View, sky: Texels) -> Picture:
    """Return a picture of the sky, or of noise."""
    rng = scene.rng(_PARTS["develop"])
    if scene.wall == "static":
        sky = rng.random(sky.shape, dtype=np.float32)
    return Picture(
        rgb=develop(sky, scene.finish, rng),
        truth=Truth(
            name=scene.name,
            wall=scene.wall,
            seed=scene.seed,
            view=view,
            exif=_header(scene),
        ),
        brick_mask=np.zeros(sky.shape[:2], dtype=np.bool_),
        scene=scene,
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
