"""Which edges lie on one board, and what is left of doubt about which of them is meant.

A board shows several parallel edges, and a black one under a black gutter not all of them.
That a board is there is often sure where its own lower arris is not: so each board has one
more alternative beside its edges, that the arris does not show. A line then counts as its
board, and its spread holds the doubt about the edge.
"""

from collections.abc import Mapping
from typing import Final

import numpy as np

from calibration.arrays import FloatArray, IntArray
from photomeasure.job.schema import Role
from photomeasure.proposals.evidence import Evidence

UNSEEN: Final = "unseen"
"""Evidence of the alternative that a board's own arris does not show."""

BOARDS: Final[Mapping[Role, frozenset[str]]] = {
    Role.EAVES: frozenset(
        {
            "length",
            "small",
            "main wall",
            "sky above",
            "sky over it",
            "sky under it",
            "sides differ",
            "texture over it",
            "texture under it",
            "uprights below",
            "gap to uprights",
            "uprights reach it",
            "past left quoin",
            "past right quoin",
        }
    ),
    Role.RAKE: frozenset(
        {
            "coarse",
            "longest",
            "short of apex",
            "sky above",
            "small",
            "uneven feet",
            "uneven spans",
        }
    ),
}
"""Roles that are boards, each with the evidence that tells where a board is and not which
of its edges a line lies on."""

UNSEEN_ACROSS: Final = 0.011
UNSEEN_ALONG: Final = 0.009
"""How far off an arris lies that does not show, and its ends, by the long side of the
photo: rms over the drawn houses that the weights were fitted to."""


def with_unseen(evidence: Evidence, boards: IntArray, role: Role) -> Evidence:
    """Return the evidence with one more row a board: that its arris does not show.

    Parameters
    ----------
    evidence : dict of (S,) float64
    boards : (S,) int
        Which board each line is on, from 0 on without gaps.
    role : Role
        One of `BOARDS`.

    Returns
    -------
    dict of (S + B,) float64
        A board's place is the mean over its lines; of its edges there is nothing to say.
    """
    count = np.bincount(boards)
    rows = {}
    for name, values in evidence.items():
        mean = np.bincount(boards, weights=values) / count
        rows[name] = np.append(values, mean if name in BOARDS[role] else 0.0 * mean)
    return rows | {UNSEEN: np.repeat([0.0, 1.0], [len(boards), len(count)])}


def doubt_px(
    line_px: FloatArray,
    edges_px: FloatArray,
    chances: FloatArray,
    unseen: tuple[float, float],
) -> tuple[FloatArray, float]:
    """Return how far the edges of one board spread about a line, root mean square.

    Parameters
    ----------
    line_px : (2, 2) float64
        Its ends.
    edges_px : (N, 2, 2) float64
        Ends of the board's edges, in the same order; the line may be one of them.
    chances : (N,) float64
        That each is the one that is meant; none where its ends are not known well.
    unseen : tuple of float
        Chance that it is none of them, and the long side of the photo, pixels.

    Returns
    -------
    along_px : (2,) float64
        Of either end.
    across_px : float
    """
    missing, side_px = unseen
    way = line_px[1] - line_px[0]
    unit = way / max(float(np.hypot(*way)), 1e-9)
    off = edges_px - line_px
    along = off @ unit
    across = (off @ np.array([-unit[1], unit[0]])).mean(axis=1)
    share = chances / max(float(chances.sum()) + missing, 1e-12)
    lost = max(1.0 - float(share.sum()), 0.0)
    # A board is as long as its longest edge and as deep as all of them: a shorter edge
    # takes nothing from a longer one.
    outward = np.maximum(along * [-1.0, 1.0], 0.0)
    far = outward.max(axis=0, initial=UNSEEN_ALONG * side_px)
    deep = max(float(np.abs(across).max(initial=0.0)), UNSEEN_ACROSS * side_px)
    return (
        np.sqrt(share @ outward**2 + lost * far**2),
        float(np.sqrt(share @ across**2 + lost * deep**2)),
    )
