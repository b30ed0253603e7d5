"""Checks of picks that need no adjustment: what a careless hand does."""

from collections.abc import Sequence
from typing import Final

import numpy as np

from calibration.arrays import FloatArray
from calibration.errors import BadReference

Pixels = Sequence[tuple[float, float]]

EDGE_PX: Final = 1.0
"""How far outside the photo a pick may lie: the rim of the outermost pixel."""

APART_PX: Final = 2.0
"""Picks closer than this cannot fix a direction."""


def picks_inside(where: str, picks: Pixels, size_px: tuple[int, int]) -> FloatArray:
    """Return picks as an array, or refuse one that is off the photo.

    Parameters
    ----------
    where : str
        Place in the job, for the message.
    picks : sequence of (x, y)
    size_px : tuple of int
        Width and height.

    Returns
    -------
    (N, 2) float64

    Raises
    ------
    BadReference
        Naming the pick.
    """
    array = np.array(picks, dtype=np.float64).reshape(-1, 2)
    limit = np.array(size_px, dtype=np.float64) - 1.0 + EDGE_PX
    outside = np.any((array < -EDGE_PX) | (array > limit), axis=1)
    if outside.any():
        first = int(np.argmax(outside))
        x, y = array[first]
        raise BadReference(
            f"{where}[{first}]",
            f"the pick ({x:g}, {y:g}) is off the photo of {size_px[0]} x {size_px[1]} px",
            "pick it on the upright photo",
        )
    return array


def ends_apart(where: str, picks: FloatArray) -> None:
    """Refuse two ends on one spot, (2, 2)."""
    if np.hypot(*(picks[1] - picks[0])) < APART_PX:
        raise BadReference(where, "both ends are the same spot", "pick two different ends")


def corners_in_order(where: str, corners: FloatArray) -> None:
    """Refuse four corners (4, 2) that are crossed, in line or clockwise."""
    edges = np.roll(corners, -1, axis=0) - corners
    after = np.roll(edges, -1, axis=0)
    # The image's y axis points down, so anticlockwise turns are negative here.
    turns = edges[:, 0] * after[:, 1] - edges[:, 1] * after[:, 0]
    lengths = np.hypot(edges[:, 0], edges[:, 1])
    if lengths.min() < APART_PX:
        raise BadReference(
            where, "two corners are the same spot", "pick four different corners"
        )
    sines = turns / (lengths * np.roll(lengths, -1))
    order = "pick them from bottom left, anticlockwise"
    if np.all(sines > _FLAT):
        raise BadReference(where, "the corners run clockwise", order)
    if np.any(sines > -_FLAT):
        raise BadReference(where, "the corners are crossed or lie in one line", order)


_FLAT: Final = 0.02
"""Sine of a corner that is no corner: one degree."""


def spread_out(where: str, picks: FloatArray) -> None:
    """Refuse picks (N, 2) that all lie on one spot."""
    if np.ptp(picks, axis=0).max() < APART_PX:
        raise BadReference(where, "all picks lie on one spot", "spread them out")


def same_count(
    where: str, picks: Sequence[object], other: Sequence[object], of: str
) -> None:
    """Refuse lists that should pair up and do not."""
    if len(picks) != len(other):
        raise BadReference(
            where,
            f"has {len(picks)} picks but {len(other)} {of}",
            "give one for each pick",
        )
