"""Builds a house: its pieces with their materials, and the edges that measuring needs."""

from dataclasses import dataclass, field

import numpy as np

from calibration.arrays import FloatArray
from tests.pictures.face import Material, Piece
from tests.pictures.house import House, Opening
from tests.pictures.palettes import Rgb
from tests.pictures.shapes import (
    disc,
    flat,
    front,
    pole,
    side,
    swept,
    topside,
    underside,
)
from tests.pictures.stuff import glazed, overlapped, plain

REVEAL_MM = 90.0
BOARD_MM = 18.0
DROP_MM = 3.0
"""The fascia hangs this far below the soffit."""

GUTTER_MM = 56.0
_SILL: Rgb = (196, 190, 178)
_DOORS: tuple[Rgb, ...] = ((40, 70, 60), (120, 36, 40), (44, 58, 92), (230, 230, 226))

_ROOFS: dict[str, tuple[float, float, tuple[Rgb, ...], float]] = {
    "pantile": (345.0, 300.0, ((120, 76, 60), (112, 70, 58), (104, 68, 58)), 90.0),
    "plain": (100.0, 165.0, ((128, 74, 58), (116, 68, 54), (138, 84, 64)), 0.0),
    "slate": (200.0, 300.0, ((84, 88, 98), (78, 82, 92), (92, 94, 104)), 0.0),
}
"""Gauge, width, colours, roll. From memory."""


@dataclass(frozen=True, eq=False)
class Round:
    """A round bar, whose outline is an edge.

    Attributes
    ----------
    name, role : str
    axis_mm : (2, 3) float64
        Ends of its axis.
    radius_mm : float
    towards : (3,) float64
        Which of its two outlines is meant: the one farther this way.
    """

    name: str
    role: str
    axis_mm: FloatArray
    radius_mm: float
    towards: FloatArray

    def outline_mm(self, eye_mm: FloatArray) -> FloatArray:
        """Return the ends (2, 3) of the outline as seen from a point."""
        along = self.axis_mm[1] - self.axis_mm[0]
        along = along / np.linalg.norm(along)
        to_eye = eye_mm - self.axis_mm[0]
        to_eye = to_eye - (to_eye @ along) * along
        distance = float(np.linalg.norm(to_eye))
        ahead = to_eye / distance
        beside = np.cross(along, ahead)
        beside = beside if beside @ self.towards > 0.0 else -beside
        # A tangent from the eye touches where the radius is at right angles to it.
        cosine = self.radius_mm / distance
        touch = cosine * ahead + np.sqrt(1.0 - cosine**2) * beside
        return self.axis_mm + self.radius_mm * touch


@dataclass(eq=False)
class Built:
    """What a house is made of.

    Attributes
    ----------
    pieces : list of Piece
    edges : list of (name, role, (2, 3) ends)
    rounds : list of Round
        Edges that lie where the view grazes something round.
    """

    pieces: list[Piece] = field(default_factory=list)
    edges: list[tuple[str, str, FloatArray]] = field(default_factory=list)
    rounds: list["Round"] = field(default_factory=list)

    def add(self, surfaces, material: Material, **options) -> None:
        """Add one surface or several of one material."""
        for surface in surfaces if isinstance(surfaces, list) else [surfaces]:
            self.pieces.append(Piece(surface=surface, material=material, **options))

    def edge(self, name: str, role: str, start, end) -> None:
        """Note a straight edge."""
        self.edges.append((name, role, np.array([start, end], dtype=np.float64)))


def roof_material(house: House) -> Material:
    """Return the tiles of a house."""
    gauge, width, colours, roll = _ROOFS[house.roof]
    return overlapped(gauge, width, colours, roll)


def build_opening(built: Built, number: int, opening: Opening, rng) -> None:
    """Add the reveals, the frame and the sill of an opening."""
    x0, y0, x1, y1 = opening.box_mm
    back = -REVEAL_MM
    stone, mortar = plain(_SILL, 0.06, 0.02, 0.08), plain((168, 140, 122), 0.10, 0.05)
    built.add(side("jamb", x0, (y0, y1), (back, 0.0), 1), mortar, sky=0.7)
    built.add(side("jamb", x1, (y0, y1), (back, 0.0), -1), mortar, sky=0.7)
    built.add(underside("head", (x0, x1), y1, (back, 0.0)), mortar, sky=0.7)
    panel = front("frame", (x0, y0, x1, y1), back)
    name = "door" if opening.lights == 0 else "window"
    if opening.lights:
        transom = float(rng.choice([0.0, 0.0, 0.7]))
        look = glazed(opening.lights, (234, 234, 230), opening.inside, transom)
        built.add(panel, look, sky=0.8, casts=False)
        built.add(front("sill", (x0 - 25.0, y0 - 60.0, x1 + 25.0, y0), 45.0), stone)
        built.add(topside("sill", (x0 - 25.0, x1 + 25.0), y0, (0.0, 45.0)), stone)
        built.add(topside("sill", (x0, x1), y0, (back, 0.0)), stone)
        built.add(
            underside("sill", (x0 - 25.0, x1 + 25.0), y0 - 60.0, (0.0, 45.0)),
            stone,
            sky=0.6,
        )
        sill = ([x0 - 25.0, y0, 45.0], [x1 + 25.0, y0, 45.0])
    else:
        built.add(panel, plain(_DOORS[int(rng.integers(4))], 0.02, 0.0), sky=0.8)
        sill = ([x0, y0, 0.0], [x1, y0, 0.0])
    label = f"{name} {number}"
    built.edge(f"{label} left jamb", "jamb", [x0, y0, 0.0], [x0, y1, 0.0])
    built.edge(f"{label} right jamb", "jamb", [x1, y0, 0.0], [x1, y1, 0.0])
    built.edge(f"{label} head", "head", [x0, y1, 0.0], [x1, y1, 0.0])
    built.edge(f"{label} sill", "sill", *sill)


def build_pipe(built: Built, house: House, x: float) -> None:
    """Add a downpipe from the gutter to the ground."""
    top, radius = house.height_mm - 250.0, 34.0
    paint = plain(house.gutter, 0.03, 0.01)
    z = 62.0
    strips = pole("downpipe", x, z, (60.0, top), radius)
    built.add(strips, paint, casts=False, shaded=False)
    built.add(front("pipe shade", (x - radius, 60.0, x + radius, top), z), paint)
    for y in np.arange(500.0, top, 1750.0):
        clip = front("clip", (x - 60.0, y, x + 60.0, y + 26.0), 30.0)
        collar = pole("clip", x, z, (y - 6.0, y + 32.0), radius + 5.0)
        built.add([clip, *collar], paint, casts=False, shaded=False)
    if house.kind == "eaves" and house.gutters:
        out = house.overhang_mm + 5.0 + GUTTER_MM
        neck = [
            [x - radius, top, z + radius],
            [x + radius, top, z + radius],
            [x + radius, house.height_mm + 90.0, out + radius],
            [x - radius, house.height_mm + 90.0, out + radius],
        ]
        built.add(flat("swan neck", neck), paint)
    axis = np.array([[x, 100.0, z], [x, top - 60.0, z]])
    for sign, word in ((-1.0, "left"), (1.0, "right")):
        towards = np.array([sign, 0.0, 0.0])
        name = f"downpipe at {x:.0f}, {word} side"
        built.rounds.append(Round(name, "downpipe", axis, radius, towards))


def build_eaves(built: Built, house: House) -> None:
    """Add soffit, fascia, gutter, roof slope and ridge of an eaves elevation."""
    W, H, P = house.width_mm, house.height_mm, house.overhang_mm
    x0, x1 = -house.verge_mm, W + house.verge_mm
    low, high = H - DROP_MM, H - DROP_MM + house.fascia_mm
    boards = plain(house.boards, 0.015, 0.004, 0.015)
    built.add(underside("soffit", (x0, x1), H, (0.0, P - BOARD_MM)), boards, sky=0.75)
    built.add(front("fascia", (x0, low, x1, high), P), boards)
    built.add(underside("fascia", (x0, x1), low, (P - BOARD_MM, P)), boards, sky=0.8)
    for x, turn in ((x0, -1), (x1, 1)):
        built.add(side("box end", x, (H, high), (-200.0, P), turn), boards)
    built.edge("eaves", "eaves", [x0, low, P], [x1, low, P])
    built.edge("soffit at wall", "soffit-wall", [0.0, H, 0.0], [W, H, 0.0])
    built.edge("fascia top", "fascia-top", [x0, high, P], [x1, high, P])
    if house.gutters:
        _build_gutter(built, house, (x0 - 20.0, x1 + 20.0), high - 35.0)
    _build_slope(built, house, high)


def _build_gutter(built: Built, house: House, x: tuple[float, float], lip: float) -> None:
    """Add a half-round gutter on brackets."""
    paint = plain(house.gutter, 0.02, 0.006)
    z, r = house.overhang_mm + 5.0 + GUTTER_MM, GUTTER_MM
    turn = np.linspace(-np.pi, 0.0, 19)
    profile = np.stack([z + r * np.cos(turn), lip + r * np.sin(turn)], axis=1)
    built.add(swept("gutter", profile, x), paint, casts=False, shaded=False)
    built.add(front("gutter shade", (x[0], lip - r, x[1], lip), z), paint)
    bracket = np.stack([z + (r + 4) * np.cos(turn), lip + (r + 4) * np.sin(turn)], axis=1)
    for at in np.arange(x[0] + 300.0, x[1] - 200.0, 900.0):
        strips = swept("bracket", bracket[7:], (at - 13.0, at + 13.0))
        built.add(strips, paint, casts=False, shaded=False)
    built.edge("gutter lip", "gutter-lip", [x[0], lip, z + r], [x[1], lip, z + r])
    axis = np.array([[x[0], lip, z], [x[1], lip, z]])
    down = np.array([0.0, -1.0, 0.0])
    built.rounds.append(Round("gutter bottom", "gutter-bottom", axis, r, down))


def _build_slope(built: Built, house: House, fascia_top: float) -> None:
    """Add the tiled slope with its ridge."""
    W, p = house.width_mm, house.pitch_rad
    x0, x1 = -house.verge_mm - 45.0, W + house.verge_mm + 45.0
    z0 = house.overhang_mm + 45.0
    y0 = fascia_top + 30.0
    run = z0 + house.depth_mm / 2.0
    y1, z1 = y0 + run * np.tan(p), -house.depth_mm / 2.0
    slope = [[x0, y0, z0], [x1, y0, z0], [x1, y1, z1], [x0, y1, z1]]
    built.add(flat("roof", slope), roof_material(house), coarsest_mm=12.0)
    tile = plain((96, 64, 54), 0.15, 0.06)
    built.add(front("tile edge", (x0, y0 - 22.0, x1, y0), z0), tile)
    ridge_low = [z1 + 120.0, y1 - 120.0 * np.tan(p) + 12.0]
    cap = np.array([ridge_low, [z1, y1 + 70.0]])
    built.add(swept("ridge", cap, (x0, x1)), tile)
    built.edge("tile edge", "tile-edge", [x0, y0 - 22.0, z0], [x1, y0 - 22.0, z0])
    built.edge("ridge", "ridge", [x0, y1 + 70.0, z1], [x1, y1 + 70.0, z1])
    for x, word in ((x0, "left"), (x1, "right")):
        built.edge(f"{word} verge", "verge", [x, y0, z0], [x, y1, z1])


def build_gable(built: Built, house: House) -> None:
    """Add barge boards, verge soffits, box ends and gutter ends of a gable."""
    boards = plain(house.boards, 0.015, 0.004, 0.015)
    for sign in (-1, 1):
        _build_rake(built, house, sign, boards)
        _build_box_end(built, house, sign, boards)


def rake_low_mm(house: House, x: float) -> float:
    """Return the height of the barge boards' lower edge at x."""
    W, t = house.width_mm, np.tan(house.pitch_rad)
    foot = (
        house.height_mm
        - DROP_MM
        + house.fascia_mm
        - house.fascia_mm / np.cos(house.pitch_rad)
    )
    inside = min(x, W - x)
    return float(foot + (inside + house.overhang_mm) * t)


def _build_rake(built: Built, house: House, sign: int, boards: Material) -> None:
    """Add one barge board with what is beneath and above it."""
    W, z1, p = house.width_mm, house.verge_mm, house.pitch_rad
    z0 = z1 - BOARD_MM
    word = "left" if sign < 0 else "right"
    foot = -house.overhang_mm if sign < 0 else W + house.overhang_mm
    apex = W / 2.0
    low = np.array(
        [[foot, rake_low_mm(house, foot), z1], [apex, rake_low_mm(house, apex), z1]]
    )
    deep = np.array([0.0, house.fascia_mm / np.cos(p), 0.0])
    lift = np.array([0.0, 18.0, 0.0])
    back, wall = np.array([0.0, 0.0, z0 - z1]), np.array([0.0, 0.0, -z1])
    a, b = low if sign < 0 else low[::-1]
    built.add(flat("barge", [a, b, b + deep, a + deep]), boards)
    under = [a + back, b + back, b, a]
    built.add(flat("barge underside", under), boards, sky=0.8)
    soffit = [a + lift + wall, b + lift + wall, b + lift + back, a + lift + back]
    built.add(flat("verge soffit", soffit), boards, sky=0.7)
    out, thick = np.array([0.0, 4.0, 40.0]), np.array([0.0, 48.0, 0.0])
    tiles = [a + deep + out, b + deep + out, b + deep + out + thick, a + deep + out + thick]
    built.add(flat("verge tiles", tiles), plain((118, 82, 66), 0.2, 0.05))
    shelf = [a + deep, b + deep, b + deep + out, a + deep + out]
    built.add(flat("verge underside", shelf), plain((90, 70, 60), 0.2, 0.05), sky=0.5)
    built.edge(f"{word} rake", "rake", *low)
    inner = np.array([[min(max(foot, 0.0), W), 0.0, 0.0], [apex, 0.0, 0.0]])
    inner[:, 1] = [rake_low_mm(house, x) + lift[1] for x in inner[:, 0]]
    built.edge(f"{word} verge soffit at wall", "soffit-wall", *inner)
    built.edge(f"{word} barge top", "barge-top", *(low + deep))
    built.edge(f"{word} verge", "verge", *(low + deep + out))


def _build_box_end(built: Built, house: House, sign: int, boards: Material) -> None:
    """Close the eaves at one foot of the gable, with the gutter's end beside it."""
    W, z = house.width_mm, house.verge_mm - BOARD_MM
    foot = -house.overhang_mm if sign < 0 else W + house.overhang_mm
    end = 80.0 if sign < 0 else W - 80.0
    y = house.height_mm
    corners = [[foot, y, z], [end, y, z]]
    corners += [[x, rake_low_mm(house, x) + 25.0, z] for x in (end, foot)]
    built.add(flat("box end", corners if sign < 0 else _mirrored(corners)), boards)
    x = (min(foot, end), max(foot, end))
    built.add(underside("box end", x, y, (0.0, z)), boards, sky=0.75)
    if house.gutters:
        lip = y - DROP_MM + house.fascia_mm - 35.0
        at = foot + sign * (5.0 + GUTTER_MM)
        paint = plain(house.gutter, 0.02, 0.006)
        end_disc = disc(
            "gutter end", (at, lip, house.verge_mm + 30.0), GUTTER_MM, upper=False
        )
        built.add(end_disc, paint, casts=False)


def _mirrored(corners: list[list[float]]) -> list[list[float]]:
    """Return an outline the other way round that still begins with its level side."""
    return [corners[1], corners[0], corners[3], corners[2]]
