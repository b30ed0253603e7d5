"""Which edge of a bundle of parallel ones: gutter, board, soffit and shadow lie close."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from calibration.arrays import FloatArray
from calibration.edges import EdgeFits, edges_beside
from photomeasure.proposals.reading import Reading
from photomeasure.snapping.bands import Bands, bands_of

REACH: Final = 0.024
"""How far beside a coarse edge the one that is meant may lie, by the long side: a board
of 250 mm where 10 m fill the photo."""

_TURN: Final = 0.4
"""Share of the reach by which parallels converge."""

_MOST: Final = 10


@dataclass(frozen=True, slots=True, eq=False)
class Bundle:
    """Parallel edges in order from above to below, ways to the right.

    Attributes
    ----------
    edges : EdgeFits
    bands : Bands
    sky : float
        Share of sky just above the first.
    """

    edges: EdgeFits
    bands: Bands
    sky: float


def bundle_at(reading: Reading, ends_px: FloatArray, reach: float = REACH) -> Bundle | None:
    """Return all edges beside a coarse one (2, 2), or None if none shows.

    The reach is a share of the long side.
    """
    way = ends_px if ends_px[1, 0] >= ends_px[0, 0] else ends_px[::-1]
    reach_px = reach * reading.side_px
    edges = edges_beside(
        reading.light,
        way,
        reading.adjusted_camera,
        reach_px=reach_px,
        turn_px=_TURN * reach_px,
        most=_MOST,
    )
    if not len(edges):
        return None
    bands = bands_of(reading.light, edges, reading.camera, reach_px)
    return Bundle(edges, bands, _sky_above(reading, edges.ends_px[0]))


def _sky_above(reading: Reading, ends_px: FloatArray) -> float:
    share = (np.arange(16) + 0.5) / 16
    way = ends_px[1] - ends_px[0]
    places = ends_px[0] + share[:, None] * way
    out = np.array([way[1], -way[0]]) / max(float(np.hypot(*way)), 1e-9)
    deep = np.array([0.012, 0.017]) * reading.side_px
    seen = reading.look(places[:, None] + deep[:, None] * out)
    return float(seen[..., 4].mean())


class Bundles:
    """The bundles of a photo: each is looked at once, whatever is asked of it."""

    def __init__(self, reading: Reading) -> None:
        """Begin with none."""
        self._reading = reading
        self._seen: dict[int, Bundle | None] = {}

    def at(self, row: int) -> Bundle | None:
        """Return the bundle about one of the photo's edges, or None if none shows."""
        if row not in self._seen:
            self._seen[row] = bundle_at(self._reading, self._reading.edges.ends_px[row])
        return self._seen[row]
