"""Where a snapped line ends: at a corner, where the edge stops, or as traced."""

from typing import Final

import numpy as np

from calibration.arrays import FloatArray
from calibration.edges import EdgeFits, Light, corner, edges_beside
from calibration.edges.runs import END_SD_PX, follow
from calibration.priors import CameraPrior
from photomeasure.snapping.model import EDGE_MODEL_SD_PX, EndKind, SnappedEnd, across_sd_px

_LEAST_STUB_PX: Final = 10.0
_CROSS_SUPPORT: Final = 0.55
_STEEP_RAD: Final = float(np.radians(25.0))
"""An edge that ends a board crosses it at least this steeply."""

END_SPREAD_PX: Final = 3.0
"""How far from a corner a run seems to end: blur, a gutter's stop end, a shadow."""


def snapped_ends(
    light: Light,
    edge: EdgeFits,
    traced_px: FloatArray,
    camera: CameraPrior,
    reach_px: float,
) -> tuple[SnappedEnd, SnappedEnd]:
    """Return both ends of a line that was traced along an edge.

    Parameters
    ----------
    light : Light
        The picture, with twice the reach about the trace.
    edge : EdgeFits
        One row: the edge that is meant.
    traced_px : (2, 2) float64
        Where the ends were traced.
    camera : CameraPrior
        The lens.
    reach_px : float
        How far off the trace may be.

    Returns
    -------
    tuple of SnappedEnd
        First and last.
    """
    run = follow(light, edge, camera, beyond_px=1.5 * reach_px, gap_px=reach_px)
    ends = [
        _one_end(light, edge, place, camera, (run.ends_px[place], reach_px), traced_px)
        for place in (0, 1)
    ]
    return ends[0], ends[1]


def _one_end(
    light: Light,
    edge: EdgeFits,
    place: int,
    camera: CameraPrior,
    run_end: tuple[FloatArray, float],
    traced_px: FloatArray,
) -> SnappedEnd:
    way = edge.ends_px[0, 1] - edge.ends_px[0, 0]
    unit = way / max(float(np.hypot(*way)), 1e-9)
    stop_px, reach = run_end
    foot = edge.ends_px[0, 0] + ((traced_px[place] - edge.ends_px[0, 0]) @ unit) * unit
    across_sd = across_sd_px(edge)
    stopped = abs(float((stop_px - foot) @ unit)) < 1.3 * reach
    aim = stop_px if stopped else foot
    crossing = _crossing(light, edge, aim, unit, (camera, reach))
    if crossing is not None:
        point, along_sd = crossing
        return SnappedEnd(
            point, float(np.hypot(along_sd, EDGE_MODEL_SD_PX)), across_sd, EndKind.CORNER
        )
    if stopped:
        return SnappedEnd(stop_px, END_SD_PX, across_sd, EndKind.RUN_END)
    return SnappedEnd(foot, reach / 3.0, across_sd, EndKind.TRACED)


def _crossing(
    light: Light,
    edge: EdgeFits,
    aim_px: FloatArray,
    unit: FloatArray,
    looks: tuple[CameraPrior, float],
) -> tuple[FloatArray, float] | None:
    """Return the corner nearest to where the edge stops, and its sd along the edge."""
    camera, reach = looks
    normal = np.array([-unit[1], unit[0]])
    stub = max(_LEAST_STUB_PX, 1.2 * reach)
    found: list[tuple[float, float, FloatArray, float]] = []
    for side in (-1.0, 1.0):
        # A board's end begins at its arris: one side of the line at a time.
        rough = np.stack([aim_px + side * 2.0 * normal, aim_px + side * stub * normal])
        across = edges_beside(light, rough, camera, reach_px=min(reach, 0.9 * stub), most=3)
        for row in range(len(across)):
            cross = across[row : row + 1]
            meeting = corner(edge, cross, camera)
            clear = cross.support[0] >= _CROSS_SUPPORT
            if meeting is None or not clear or meeting.angle_rad < _STEEP_RAD:
                continue
            off = float((meeting.point_px - aim_px) @ unit)
            sd = float(np.sqrt(unit @ meeting.covariance @ unit))
            odds = np.log(abs(float(cross.contrast[0]))) - 0.5 * (off / END_SPREAD_PX) ** 2
            if abs(off) < 0.5 * reach and sd < END_SD_PX:
                found.append((odds, off, meeting.point_px, sd))
    return _likeliest(found)


def _likeliest(
    found: list[tuple[float, float, FloatArray, float]],
) -> tuple[FloatArray, float] | None:
    """Return the likeliest corner; its sd holds the doubt about which one it is."""
    if not found:
        return None
    best = max(found, key=lambda item: item[0])
    share = np.exp(np.array([item[0] for item in found]) - best[0])
    apart = np.array([item[1] for item in found]) - best[1]
    doubt = float(share @ apart**2 / share.sum())
    return best[2], float(np.sqrt(best[3] ** 2 + doubt))
