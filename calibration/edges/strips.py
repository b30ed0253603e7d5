"""Brightness in narrow strips along edges, many strips at once."""

from typing import Final

import numpy as np

from calibration.arrays import FloatArray
from calibration.edges.arcs import Arcs
from calibration.edges.light import Light

_MOST_ROWS: Final = 30_000
"""OpenCV's remap keeps rows in 16 bits."""

Strips = np.ndarray[tuple[int, int, int], np.dtype[np.float32]]
"""(S, N, M): strip, place along, place across."""


def sample_strips(light: Light, places: Arcs, offsets_px: FloatArray) -> Strips:
    """Return brightness at places beside edges.

    Parameters
    ----------
    light : Light
        The picture; outside of it its border goes on.
    places : Arcs
        S edges with N places each.
    offsets_px : (M,) or (S, N, M) float64
        How far across from each place.

    Returns
    -------
    (S, N, M) float32
        Linear between pixels: this keeps the centroid of an edge exactly.
    """
    import cv2

    offsets = np.broadcast_to(
        offsets_px, (*places.points_px.shape[:2], offsets_px.shape[-1])
    )
    x, y = (
        (
            places.points_px[..., axis, None]
            + places.across[..., axis, None] * offsets
            - (light.left, light.top)[axis]
        )
        .reshape(-1, offsets.shape[-1])
        .astype(np.float32)
        for axis in (0, 1)
    )
    rows = [
        cv2.remap(
            light.values,
            x[first : first + _MOST_ROWS],
            y[first : first + _MOST_ROWS],
            cv2.INTER_LINEAR,
            borderMode=cv2.BORDER_REPLICATE,
        )
        for first in range(0, len(x), _MOST_ROWS)
    ]
    strips = np.concatenate(rows, dtype=np.float32)
    return strips.reshape(*places.points_px.shape[:2], offsets.shape[-1])


def interpolation_shift(
    places: Arcs, blur_px: FloatArray, bell_px: FloatArray
) -> FloatArray:
    """Return by how much linear interpolation moves a weighed centroid, (S, N) pixels.

    Between two pixels, at phase p, an interpolated value is a lopsided mean of both,
    with third moment ``p (1 - p) (1 - 2 p)``. An edge of blur s weighed with a bell w
    sees a share of that skewness (first term of Gram and Charlier's series). Over a
    slanted edge it averages out; along a pixel row it stays, up to 0.012 pixels.

    Parameters
    ----------
    places : Arcs
        S edges with N places each.
    blur_px, bell_px : (S,) float64
        Standard width of the edge and of the bell.
    """
    steps = np.arange(-2.0, 3.0)
    third = np.zeros(places.points_px.shape[:2])
    for axis in (0, 1):
        part = places.across[..., axis]
        phase = places.points_px[..., axis, None] + steps * part[..., None]
        phase = phase - np.floor(phase)
        moment = phase * (1.0 - phase) * (1.0 - 2.0 * phase)
        third += part**3 * moment.mean(axis=2)
    inner = bell_px**2 / (bell_px**2 + blur_px**2)
    share = 0.5 * inner * (1.0 - inner) * (1.0 + (blur_px / bell_px) ** 2) / blur_px**2
    shift: FloatArray = share[:, None] * third
    return shift
