"""Which edge of a bundle of parallel ones: gutter, board, soffit and shadow lie close."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from calibration.arrays import FloatArray
from calibration.edges import EdgeFits, edges_beside
from photomeasure.job.schema import Role
from photomeasure.proposals.reading import Reading
from photomeasure.snapping.bands import Bands, bands_of
from photomeasure.snapping.ranking import clearness, role_odds

REACH: Final = 0.024
"""How far beside a coarse edge the one that is meant may lie, by the long side: a board
of 250 mm where 10 m fill the photo."""

_TURN: Final = 0.4
"""Share of the reach by which parallels converge."""

_MOST: Final = 10
_BOARDS: Final = frozenset({Role.EAVES, Role.RAKE, Role.FASCIA})
_SKY_IS_NO_BOARD: Final = 3.3
_CLEAR: Final = 1.7
"""A line that is looked for without a trace has to show more plainly."""


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

    def odds(self, role: Role) -> FloatArray:
        """Return how well each looks like a role and how clear it is, log odds (S,)."""
        look = role_odds(self.edges, self.bands, role)
        odds = look + _CLEAR * clearness(self.edges, self.bands)
        if role in _BOARDS:
            # Sky is even and light as a board is.
            odds[0] -= _SKY_IS_NO_BOARD * self.sky
        return odds


def bundle_at(reading: Reading, ends_px: FloatArray) -> Bundle | None:
    """Return all edges beside a coarse one (2, 2), or None if none shows."""
    way = ends_px if ends_px[1, 0] >= ends_px[0, 0] else ends_px[::-1]
    reach = REACH * reading.side_px
    edges = edges_beside(
        reading.light,
        way,
        reading.adjusted_camera,
        reach_px=reach,
        turn_px=_TURN * reach,
        most=_MOST,
    )
    if not len(edges):
        return None
    bands = bands_of(reading.light, edges, reading.camera, reach)
    return Bundle(edges, bands, _sky_above(reading, edges.ends_px[0]))


def _sky_above(reading: Reading, ends_px: FloatArray) -> float:
    share = (np.arange(16) + 0.5) / 16
    way = ends_px[1] - ends_px[0]
    places = ends_px[0] + share[:, None] * way
    out = np.array([way[1], -way[0]]) / max(float(np.hypot(*way)), 1e-9)
    deep = np.array([0.012, 0.017]) * reading.side_px
    seen = reading.look(places[:, None] + deep[:, None] * out)
    return float(seen[..., 4].mean())
