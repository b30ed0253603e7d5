"""Which reference is to blame when all together cannot be used.

A gross size bends the camera until everything is wrong and nothing stands out. Then
each reference is left out in turn; if the others agree without it, it is named, with
how far it is from what they say.
"""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from calibration.camera import CAMERA_UNKNOWNS, Camera
from calibration.errors import EstimationError
from calibration.network import Network, build_network
from calibration.references.base import Reference
from calibration.reliability import GLOBAL_SIGNIFICANCE, global_probability, size_direction
from calibration.viewpoint import best_viewpoint

_MOST: Final = 12
"""References that are left out in turn; with more than this, the picks are to blame."""

_ROUNDS: Final = 6
_SMALLEST: Final = 0.25
"""Smallest factor in one round."""


@dataclass(frozen=True, slots=True)
class Culprit:
    """A reference without which all others agree.

    Attributes
    ----------
    title : str
        What a person calls it.
    excess : float
        How much more its stated size says than the others, as a share; zero if it
        states none.
    """

    title: str
    excess: float


def culprits(network: Network) -> tuple[Culprit, ...]:
    """Return the references without which the others agree.

    Parameters
    ----------
    network : Network

    Returns
    -------
    tuple of Culprit
        One if it is plain who is wrong; several if each could be.
    """
    if len(network.references) > _MOST:
        return ()
    found = (_without(network, index) for index in range(len(network.references)))
    return tuple(culprit for culprit in found if culprit is not None)


def _without(network: Network, index: int) -> Culprit | None:
    """Return a reference as the culprit if the others agree without it."""
    accused = network.references[index]
    others = [r for i, r in enumerate(network.references) if i != index]
    if not any(other.sized for other in others):
        return None
    try:
        solved = best_viewpoint(build_network(others, network.camera))
    except EstimationError:
        return None
    if global_probability(solved) < GLOBAL_SIGNIFICANCE:
        return None
    return Culprit(
        accused.title or accused.name, _excess(network, index, solved.state.camera)
    )


def _excess(network: Network, index: int, camera: Camera) -> float:
    """Return how much more a size says than a known camera shows."""
    reference, factor = network.references[index], 1.0
    for _ in range(_ROUNDS):
        error = _size_error(reference.resized(factor), network, camera)
        if error is None:
            return 0.0
        factor *= max(1.0 - error, _SMALLEST)
    return 1.0 / factor - 1.0


def _size_error(reference: Reference, network: Network, camera: Camera) -> float | None:
    """Fit a reference alone to a known camera; return the error of its size."""
    alone = replace(network, references=(reference,))
    state = alone.start(camera)
    equations = alone.equations(state, alone.picks_px)
    if not np.isfinite(equations.cost):
        return None
    direction = size_direction(alone, equations, state, 0)
    if direction is None:
        return None
    own = equations.jacobian[:, CAMERA_UNKNOWNS:] * alone.scales[CAMERA_UNKNOWNS:]
    table = np.c_[own, -direction]
    fit, *_ = np.linalg.lstsq(table, -equations.residual, rcond=None)
    return float(fit[-1])
