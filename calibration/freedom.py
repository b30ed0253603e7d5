"""Free directions: which unknown the references leave open, in words."""

from typing import Final

import numpy as np

from calibration.arrays import FloatArray
from calibration.camera import CameraUnknown
from calibration.errors import DegenerateGeometry
from calibration.network import Network

_FOLLOWS: Final = 0.05
"""Share of the pose in a free direction, per largest, that makes it the cause."""

_LOOSE_TURN_RAD: Final = float(np.radians(12.0))
"""Standard deviation beyond which first-order uncertainty means nothing."""


def degenerate(network: Network, column: int) -> DegenerateGeometry:
    """Return the refusal that names an undetermined unknown.

    Parameters
    ----------
    network : Network
    column : int
        Its column in the whole system.

    Returns
    -------
    DegenerateGeometry
    """
    first_own = len(CameraUnknown)
    if column >= first_own:
        what = network.unknowns[column - first_own].what
        return DegenerateGeometry(
            f"the references do not fix {what or 'every unknown'}",
            "spread its picks, or add a taped distance, a rectangle of known size or "
            "level and plumb lines",
        )
    if column == CameraUnknown.LOG_STANDOFF:
        return DegenerateGeometry(
            "nothing in the references fixes the scale",
            "add a taped distance, a rectangle of known size or counted brick courses",
        )
    return DegenerateGeometry(
        "the references do not fix how the wall is turned to the camera",
        "add level and plumb lines that lie far apart, a rectangle, or brick courses "
        "counted over the height and width of the wall",
    )


def refuse_loose_turn(network: Network, covariance: FloatArray) -> None:
    """Refuse a camera whose view is fixed so loosely that intervals mean nothing.

    Parameters
    ----------
    network : Network
    covariance : (9 + n, 9 + n) float64
        Of the unknowns.

    Raises
    ------
    DegenerateGeometry
        If so.
    """
    for column in (CameraUnknown.TURN_X, CameraUnknown.TURN_Y):
        if covariance[column, column] > _LOOSE_TURN_RAD**2:
            raise degenerate(network, column)


def free_direction(network: Network, R: FloatArray) -> DegenerateGeometry:
    """Say which unknown nothing determines."""
    lengths = np.sqrt(np.einsum("ij,ij->j", R, R))
    *_, rows = np.linalg.svd(R / np.where(lengths > 0.0, lengths, 1.0))
    share = np.abs(rows[-1])
    # Standoff hangs on the turn, and origins on both: name the cause, not what follows.
    turns = slice(CameraUnknown.TURN_X, CameraUnknown.TURN_Z + 1)
    causes = (
        (CameraUnknown.TURN_X, share[turns].max()),
        (
            CameraUnknown.LOG_STANDOFF,
            share[CameraUnknown.LOG_STANDOFF],
        ),
    )
    for column, part in causes:
        if part > _FOLLOWS * share.max():
            return degenerate(network, column)
    return degenerate(network, int(np.argmax(share)))
