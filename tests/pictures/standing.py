"""Where a photographer stands so that a house fills the picture."""

from dataclasses import replace

import numpy as np

from calibration.arrays import FloatArray
from tests.pictures.build import rake_low_mm
from tests.pictures.house import House
from tests.pictures.view import Stand, View

_RIM = 0.03
_NEAREST_MM, _FARTHEST_MM = 3500.0, 26_000.0
_STEPS = 60
_STEEPEST_RAD = np.radians(20.0)


def key_points_mm(house: House, share: float = 1.0) -> FloatArray:
    """Return what a picture of a house has to show, (N, 3).

    ``share`` below one keeps only the middle part of its width.
    """
    W, H = house.width_mm, house.height_mm
    out = house.overhang_mm + 130.0 if house.kind == "gable" else house.verge_mm + 70.0
    reach = 0.5 * W + (out if house.kind != "none" else 0.0)
    top = H + (300.0 if house.kind == "eaves" else 0.0)
    z = 120.0 if house.kind == "gable" else house.overhang_mm
    points = [[0.5 * W + s * share * reach, y, z] for s in (-1, 1) for y in (500.0, top)]
    if house.kind == "gable":
        points.append([0.5 * W, rake_low_mm(house, 0.5 * W) + 350.0, z])
    return np.array(points)


def stand_before(house: House, stand: Stand, share: float = 1.0) -> Stand:
    """Return a stand as near as shows the house, aimed at its middle.

    Parameters
    ----------
    house : House
    stand : Stand
        Yaw, roll, lens, size and height are kept; distance, aim and tilt are chosen.
    share : float
        Part of the house's width that has to be in the picture.

    Returns
    -------
    Stand
    """
    points = key_points_mm(house, share)
    tried = stand
    for distance in np.geomspace(_NEAREST_MM, _FARTHEST_MM, _STEPS):
        tried = _aimed(replace(stand, distance_mm=float(distance)), points)
        if _inside(tried.view(), points):
            break
    return tried


def _aimed(stand: Stand, points: FloatArray) -> Stand:
    """Turn a stand until the points are about the middle of the picture."""
    middle = np.array(stand.size_px) / 2.0
    stand = replace(stand, aim_x_mm=float(points[:, 0].mean()), tilt_rad=0.15)
    for _ in range(6):
        view = stand.view()
        px = view.project(points)
        if not np.isfinite(px).all():
            return stand
        off = 0.5 * (px.min(axis=0) + px.max(axis=0)) - middle
        focal = view.camera.focal_px
        tilt = float(np.clip(stand.tilt_rad - off[1] / focal, 0.0, _STEEPEST_RAD))
        shift = off[0] * stand.distance_mm / focal / np.cos(stand.yaw_rad)
        stand = replace(stand, tilt_rad=tilt, aim_x_mm=stand.aim_x_mm + 0.8 * float(shift))
    return stand


def _inside(view: View, points: FloatArray) -> bool:
    """Return whether all points are in the picture."""
    px = view.project(points)
    size = np.array(view.size_px)
    rim = _RIM * size.max()
    return bool(np.all((px > rim) & (px < size - rim)))
