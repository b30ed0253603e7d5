"""Where the soffit under an eaves meets the wall: the level edge that is next but one."""

from typing import Final

import numpy as np

from calibration.arrays import FloatArray
from photomeasure.job.schema import Role
from photomeasure.proposals.bundles import bundle_at
from photomeasure.proposals.evidence import Evidence, edge_evidence
from photomeasure.proposals.levels import Found
from photomeasure.proposals.reading import Reading

_REACH: Final = 0.03
"""How far below an eaves the wall may begin, by the long side: half a metre of soffit
seen from the pavement, where 9 m fill the photo."""

_LEAST_DROP_PX: Final = 1.5
"""Nearer edges are the eaves itself."""


def look_at_soffits(reading: Reading, eaves: Found) -> tuple[list[Found], Evidence] | None:
    """Return the edges below an eaves and what speaks for each being the wall's.

    Parameters
    ----------
    reading : Reading
    eaves : Found
        The outer edge.

    Returns
    -------
    list of Found and dict of (S,) float64, or None
        None if nothing shows below it.
    """
    bundle = bundle_at(reading, eaves.ends_px, _REACH)
    if bundle is None:
        return None
    middles, outer = bundle.edges.ends_px.mean(axis=1), eaves.ends_px.mean(axis=0)
    way = eaves.ends_px[1] - eaves.ends_px[0]
    length = max(float(np.hypot(*way)), 1.0)
    drop = (middles - outer) @ (np.array([-way[1], way[0]]) / length)
    rows = np.flatnonzero(drop > _LEAST_DROP_PX)
    if not len(rows):
        return None
    lines = [
        Found(
            Role.SOFFIT,
            bundle.edges.ends_px[row],
            0.0,
            eaves.wall,
            bundle,
            int(row),
            eaves.open,
        )
        for row in rows
    ]
    own = {name: values[rows] for name, values in edge_evidence(bundle).items()}
    return lines, own | _below(drop[rows], length)


def _below(drop: FloatArray, length: float) -> Evidence:
    """Return how far below the eaves edges lie, and in which order."""
    return {
        "drop": np.log(drop / length),
        "next below": (np.arange(len(drop)) == 0).astype(np.float64),
        "second below": (np.arange(len(drop)) == 1).astype(np.float64),
    }
