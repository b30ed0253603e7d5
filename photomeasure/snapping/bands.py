"""What lies between parallel edges: boards, shadows, tiles, sky, wall."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from calibration.arrays import FloatArray
from calibration.edges import EdgeFits, Light
from calibration.edges.arcs import Arcs, arcs
from calibration.edges.strips import sample_strips
from calibration.priors import CameraPrior

_PLACES: Final = 240
_CLEAR_OF_EDGE_PX: Final = 1.5


@dataclass(frozen=True, slots=True, eq=False)
class Bands:
    """The bands above and below each of S parallel edges.

    'Above' is to the left of the way: a way to the right has the sky there.

    Attributes
    ----------
    above, below : (S,) float64
        Light of the band on either side.
    rough_above, rough_below : (S,) float64
        How it varies along the edge, by its own light: a painted board 0.02 to 0.1,
        brick and tile 0.2 and more.
    deep_above, deep_below : (S,) float64
        How far that band reaches, pixels.
    """

    above: FloatArray
    below: FloatArray
    rough_above: FloatArray
    rough_below: FloatArray
    deep_above: FloatArray
    deep_below: FloatArray


def bands_of(light: Light, edges: EdgeFits, camera: CameraPrior, reach_px: float) -> Bands:
    """Measure the bands beside parallel edges in order from above to below.

    Parameters
    ----------
    light : Light
        The picture.
    edges : EdgeFits
        S edges in order across.
    camera : CameraPrior
        The lens.
    reach_px : float
        How far above the first and below the last to look.

    Returns
    -------
    Bands
    """
    middle = edges.ends_px.mean(axis=1)
    way = edges.ends_px[:, 1] - edges.ends_px[:, 0]
    normal = np.stack([-way[:, 1], way[:, 0]], axis=1) / np.hypot(*way.T)[:, None]
    gaps = np.sum(np.diff(middle, axis=0) * normal[1:], axis=1)
    deep = np.concatenate([[reach_px], np.maximum(gaps, 0.0), [reach_px]])
    share = (np.arange(_PLACES) + 0.5) / _PLACES
    places = arcs(edges.ends_px, share, camera, edges.k1)
    above = _band(light, places, -np.minimum(deep[:-1], reach_px))
    below = _band(light, places, np.minimum(deep[1:], reach_px))
    return Bands(above[0], below[0], above[1], below[1], deep[:-1], deep[1:])


def _band(light: Light, places: Arcs, depth: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return light and roughness of the band from each edge to a depth (S,)."""
    sign = np.where(depth < 0.0, -1.0, 1.0)
    near, far = _CLEAR_OF_EDGE_PX, np.maximum(np.abs(depth) - _CLEAR_OF_EDGE_PX, 0.0)
    far = np.maximum(far, near * 0.7)
    steps = np.linspace(0.0, 1.0, 5)
    offsets = sign[:, None] * (near + (far[:, None] - near) * steps)
    strip = sample_strips(light, places, offsets[:, None]).astype(np.float64)
    along = strip.mean(axis=2)
    tone = np.median(along, axis=1)
    # Between neighbours along the edge: a slow shadow is not texture.
    spread = np.percentile(np.abs(along - _slow(along)), 70, axis=1)
    return tone, spread / np.maximum(tone, 0.02)


def _slow(along: FloatArray) -> FloatArray:
    """Return the running mean over an eighth of the length (S, N)."""
    width = max(3, along.shape[1] // 8) | 1
    padded = np.pad(along, ((0, 0), (width // 2, width // 2)), mode="edge")
    total = np.cumsum(np.pad(padded, ((0, 0), (1, 0))), axis=1)
    slow: FloatArray = (total[:, width:] - total[:, :-width]) / width
    return slow
