"""Flat shapes from their corners."""

from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

from calibration.arrays import FloatArray
from tests.pictures.cast import Surface

Rectangle = tuple[float, float, float, float]
"""x0, y0, x1, y1."""


def flat(name: str, corners_mm: ArrayLike, holes_mm: tuple[Rectangle, ...] = ()) -> Surface:
    """Return the surface of a convex outline.

    Parameters
    ----------
    name : str
    corners_mm : (N, 3) array_like
        House frame, anticlockwise as seen from outside. u runs from the first corner to
        the second, v at right angles to it.
    holes_mm : tuple of Rectangle
        Left out, in u and v.

    Returns
    -------
    Surface
    """
    corners = np.asarray(corners_mm, dtype=np.float64)
    origin = corners[0]
    along = corners[1] - origin
    along = along / np.linalg.norm(along)
    rest = corners[-1] - origin
    up = rest - (rest @ along) * along
    up = up / np.linalg.norm(up)
    offset = corners - origin
    return Surface(
        name=name,
        origin_mm=origin,
        along=along,
        up=up,
        outline_mm=np.stack([offset @ along, offset @ up], axis=1),
        holes_mm=holes_mm,
    )


def front(name: str, box: Rectangle, z_mm: float) -> Surface:
    """Return an upright rectangle that faces the street."""
    x0, y0, x1, y1 = box
    return flat(name, [[x0, y0, z_mm], [x1, y0, z_mm], [x1, y1, z_mm], [x0, y1, z_mm]])


def underside(
    name: str, x: tuple[float, float], y_mm: float, z: tuple[float, float]
) -> Surface:
    """Return a level rectangle that faces down."""
    (x0, x1), (z0, z1) = x, z
    return flat(name, [[x0, y_mm, z0], [x1, y_mm, z0], [x1, y_mm, z1], [x0, y_mm, z1]])


def topside(
    name: str, x: tuple[float, float], y_mm: float, z: tuple[float, float]
) -> Surface:
    """Return a level rectangle that faces up."""
    (x0, x1), (z0, z1) = x, z
    return flat(name, [[x0, y_mm, z1], [x1, y_mm, z1], [x1, y_mm, z0], [x0, y_mm, z0]])


def side(name: str, x_mm: float, y: tuple[float, float], z: tuple[float, float], turn: int):
    """Return an upright rectangle that faces right (turn 1) or left (turn -1)."""
    (y0, y1), (z0, z1) = y, z
    if turn > 0:
        z0, z1 = z1, z0
    return flat(name, [[x_mm, y0, z0], [x_mm, y0, z1], [x_mm, y1, z1], [x_mm, y1, z0]])


def swept(name: str, profile_zy: FloatArray, x: tuple[float, float]) -> list[Surface]:
    """Return level strips along a profile (N, 2) of z and y that runs upwards in front."""
    strips = []
    for (z0, y0), (z1, y1) in pairwise(profile_zy):
        corners = [[x[0], y0, z0], [x[1], y0, z0], [x[1], y1, z1], [x[0], y1, z1]]
        strips.append(flat(name, corners))
    return strips


def pole(name: str, x_mm: float, z_mm: float, y: tuple[float, float], radius_mm: float):
    """Return the front of an upright round pole as twelve strips."""
    angle = np.linspace(-1.2 * np.pi / 2, 1.2 * np.pi / 2, 13)
    strips = []
    for a, b in pairwise(angle):
        xa, za = x_mm + radius_mm * np.sin(a), z_mm + radius_mm * np.cos(a)
        xb, zb = x_mm + radius_mm * np.sin(b), z_mm + radius_mm * np.cos(b)
        corners = [[xa, y[0], za], [xb, y[0], zb], [xb, y[1], zb], [xa, y[1], za]]
        strips.append(flat(name, corners))
    return strips


def disc(name: str, centre_mm: tuple[float, float, float], radius_mm: float, upper=True):
    """Return a disc that faces the street, or only its lower half."""
    x, y, z = centre_mm
    turns = np.linspace(0.0, 2.0 * np.pi, 24, endpoint=False)
    if not upper:
        turns = np.linspace(np.pi, 2.0 * np.pi, 13)
    corners = [[x + radius_mm * np.cos(a), y + radius_mm * np.sin(a), z] for a in turns]
    # The frame of the outline must not depend on a short first side.
    return flat(name, corners)
