"""Level, plumb and straight edges of a photo as ordinary references, a few of each.

Hundreds of courses rise together where a wall has settled, so many edges are no more
sure of level than one. A few long ones far apart carry the geometry; the lean that they
share is spread over their picks so that together they claim no less than one line has.
"""

from typing import Final

import numpy as np

from calibration.arrays import BoolArray, FloatArray, IntArray
from calibration.edges.arcs import arcs
from calibration.edges.fit import EdgeFits, fit_edges
from calibration.edges.light import Light
from calibration.priors import LEVEL_SD_PER_MM, PLUMB_SD_PER_MM, CameraPrior
from calibration.references import Level, Plumb, Straight
from calibration.vanishing.model import PLUMB, Vanishing

MOST_EACH: Final = 3
EDGE_MODEL_SD_PX: Final = 0.35
"""How well an edge stands for the line that was built: tone curve, arris, shadow."""

_ABOVE_EYES: Final = 0.07
"""Rise of a line of sight, four degrees: above the tops of fences too."""

_LEAST_SUPPORT: Final = 0.5
_LEAST_LENGTH: Final = 0.08
_LEAST_STRAIGHT: Final = 0.35
_LEAST_BEND_PX: Final = 1.0
_PARTS: Final = 5
STRAIGHT_SD_MM: Final = 3.0
"""How straight a gutter, a board or a course is over its length. Common practice, no
source; half of what plumb and level edges may be off (NHBC 2011)."""


def direction_references(
    vanishing: Vanishing, edges: EdgeFits, camera: CameraPrior, most: int = MOST_EACH
) -> tuple[Level | Plumb, ...]:
    """Return a few level edges of the main wall and a few plumb ones.

    Parameters
    ----------
    vanishing : Vanishing
        What was found; directions that are not clear give nothing.
    edges : EdgeFits
        The edges that it was found from.
    camera : CameraPrior
        For the size of the photo.
    most : int
        Of each kind.

    Returns
    -------
    tuple of Level or Plumb
        Without names that a job could already have: 'level edge 1' and so on.
    """
    found: list[Level | Plumb] = []
    side = float(camera.size_px.max())
    on_high = _above_eyes(vanishing, edges, camera)
    for direction, kind, slope in (
        (PLUMB, Plumb, PLUMB_SD_PER_MM),
        (PLUMB + 1, Level, LEVEL_SD_PER_MM),
    ):
        if direction >= len(vanishing.clear) or not vanishing.clear[direction]:
            continue
        mine = vanishing.label == direction
        if kind is Level:
            mine &= on_high
        rows = _spread_out(edges, mine, side, most)
        for number, row in enumerate(rows, start=1):
            name = f"{kind.kind} edge {number}"
            found.append(
                kind(
                    name=name,
                    title=f"{name} of the photo",
                    picks_px=edges.ends_px[row],
                    pick_sd_px=_pick_sd(edges, int(row), slope, len(rows)),
                )
            )
    return tuple(found)


def _above_eyes(vanishing: Vanishing, edges: EdgeFits, camera: CameraPrior) -> BoolArray:
    """Tell which edges lie above eye level: paths and fences follow the ground."""
    seen = (edges.ends_px - camera.centre_px) / vanishing.focal_px
    rays = np.concatenate([seen, np.ones((*seen.shape[:2], 1))], axis=2)
    high: BoolArray = (rays @ vanishing.directions[PLUMB] > _ABOVE_EYES).all(axis=1)
    return high


def _pick_sd(edges: EdgeFits, row: int, slope: float, together: int) -> float:
    """Return the spread of a pick with its part of the lean that all edges share.

    Each line already has its own lean, ``slope``; n lines with ``(n - 1)`` times its
    variance on top average to the variance of one. Two picks carry half each.
    """
    common = slope * float(edges.length_px[row]) * np.sqrt((together - 1) / 2.0)
    return float(np.sqrt(edges.sd_px[row] ** 2 + EDGE_MODEL_SD_PX**2 + common**2))


def _spread_out(edges: EdgeFits, mine: BoolArray, side: float, most: int) -> IntArray:
    """Return long edges far from each other, the longest first."""
    length = edges.length_px
    rows = np.flatnonzero(
        mine & (edges.support >= _LEAST_SUPPORT) & (length > _LEAST_LENGTH * side)
    )
    if not len(rows):
        return rows
    middle = edges.ends_px[rows].mean(axis=1)
    taken = [int(np.argmax(length[rows]))]
    while len(taken) < min(most, len(rows)):
        apart = np.min([np.hypot(*(middle - middle[other]).T) for other in taken], axis=0)
        worth = length[rows] * np.minimum(apart, 0.4 * side)
        if worth.max() <= 0.0:
            break
        taken.append(int(np.argmax(worth)))
    return rows[taken]


def straight_references(
    light: Light, edges: EdgeFits, camera: CameraPrior, most: int = MOST_EACH
) -> tuple[Straight, ...]:
    """Return long straight edges far from the middle of the photo, for the lens.

    Parameters
    ----------
    light : Light
        The whole photo.
    edges : EdgeFits
        Its edges.
    camera : CameraPrior
        What is known of the lens; where it leaves no doubt nothing is returned.
    most : int
        How many.

    Returns
    -------
    tuple of Straight
        Five picks each, every one from a fit of its own part.
    """
    side = float(camera.size_px.max())
    share = np.linspace(0.0, 1.0, 9)
    places = arcs(edges.ends_px, share, camera, np.full(len(edges), camera.k1))
    sag = np.abs(places.bend_px).max(axis=1) * camera.k1_sd
    fits = (edges.length_px > _LEAST_STRAIGHT * side) & (sag > _LEAST_BEND_PX)
    fits &= edges.support >= 0.7
    rows = np.flatnonzero(fits)
    rows = rows[np.argsort(-sag[rows])][: 2 * most]
    found = [_straight(light, edges[row : row + 1], camera) for row in rows]
    whole = [parts for parts in found if parts is not None][:most]
    return tuple(
        Straight(
            name=f"straight edge {number}",
            title=f"straight edge {number} of the photo",
            picks_px=picks,
            pick_sd_px=sd,
            sd_mm=STRAIGHT_SD_MM,
        )
        for number, (picks, sd) in enumerate(whole, start=1)
    )


def _straight(
    light: Light, edge: EdgeFits, camera: CameraPrior
) -> tuple[FloatArray, float] | None:
    """Return places on an edge, each fitted alone, and their spread."""
    share = np.linspace(0.0, 1.0, _PARTS + 1)
    knots = arcs(edge.ends_px, share, camera, edge.k1).points_px[0]
    parts = np.stack([knots[:-1], knots[1:]], axis=1)
    polarity = np.full(_PARTS, edge.contrast[0])
    fits = fit_edges(light, parts, camera, polarity=polarity)
    if fits.support.min() < _LEAST_SUPPORT:
        return None
    half = np.array([0.5, 0.5])
    sd = np.sqrt(np.einsum("i,sij,j->s", half, fits.covariance[:, :2, :2], half))
    middles = arcs(fits.ends_px, np.array([0.5]), camera, fits.k1).points_px[:, 0]
    return middles, float(np.hypot(sd.max(), _LOCAL_SD_PX))


_LOCAL_SD_PX: Final = 0.1
"""How much a tile edge or an arris wanders between two places."""
