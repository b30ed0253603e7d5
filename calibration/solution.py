"""From references to a calibrated wall: start, descent, both viewpoints, checks."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from calibration.adjustment import Adjustment
from calibration.agreement import sharpen
from calibration.arrays import FloatArray, frozen
from calibration.camera import CAMERA_UNKNOWNS, Camera
from calibration.culprit import Culprit, culprits
from calibration.errors import NotConverged, ReferencesDisagree
from calibration.network import Network, build_network
from calibration.priors import CameraPrior
from calibration.references.base import Reference
from calibration.refusals import refuse_contradiction, refuse_impossible_lens, refuse_loose
from calibration.reliability import Reliability, assess
from calibration.uncertain import Input
from calibration.viewpoint import best_viewpoint, free_lens

_MOST_BLAMED: Final = 2
"""If leaving out any of many references helps, none of them is the cause."""

_WORTH_SAYING: Final = 0.02
"""Relative error of a size below which something else in the reference is wrong."""


@dataclass(frozen=True, eq=False, kw_only=True)
class Solution:
    """A calibrated elevation.

    Attributes
    ----------
    name : str
        Of the elevation; inputs that are its own carry it in their key.
    network : Network
        What was adjusted.
    adjustment : Adjustment
        The least-squares solution.
    reliability : Reliability
        How the references agree.
    inflation : float
        Factor on every uncertainty: above one if the global test failed.
    inputs : tuple of Input
        One for each row of the adjustment, and one for a disagreement.
    factor : (9 + n, N) float64
        Change of the unknowns for one standard deviation of each input.
    """

    name: str
    network: Network
    adjustment: Adjustment
    reliability: Reliability
    inflation: float
    inputs: tuple[Input, ...]
    factor: FloatArray

    def __post_init__(self) -> None:
        """Freeze the factor."""
        object.__setattr__(self, "factor", frozen(self.factor, None, len(self.inputs)))

    @property
    def camera(self) -> Camera:
        """The adjusted camera."""
        return self.adjustment.state.camera

    def value(self, key: str) -> float:
        """Return the adjusted value of an own unknown."""
        column = self.network.column(key) - CAMERA_UNKNOWNS
        return float(self.adjustment.state.own[column])


def calibrate(name: str, references: Sequence[Reference], prior: CameraPrior) -> Solution:
    """Adjust all references of an elevation together.

    Parameters
    ----------
    name : str
        Of the elevation.
    references : sequence of Reference
        At least one, soffits included, names all different.
    prior : CameraPrior
        What is known of the camera.

    Returns
    -------
    Solution

    Raises
    ------
    DegenerateGeometry
        If scale, wall or an unknown of a reference is not fixed.
    ReferencesDisagree
        If stated sizes contradict each other grossly.
    AmbiguousViewpoint
        If two mirrored viewpoints fit equally well.
    NotConverged
        If the references cannot be brought together.
    """
    network = build_network(references, prior)
    try:
        network, adjustment, reliability = _agreed(network)
    except (NotConverged, ReferencesDisagree) as refusal:
        blamed = culprits(network)
        if not 0 < len(blamed) <= _MOST_BLAMED:
            raise
        raise _accusation(blamed) from refusal
    gain = 1.0
    if not reliability.passed:
        gain = float(np.sqrt(max(1.0, reliability.variance_factor)))
    sensitivity = adjustment.sensitivity()
    doubt, doubt_inputs = _doubt(name, sensitivity, reliability)
    return Solution(
        name=name,
        network=network,
        adjustment=adjustment,
        reliability=reliability,
        inflation=gain,
        inputs=(*_inputs(name, network, adjustment), *doubt_inputs),
        factor=np.concatenate([sensitivity * gain, doubt], axis=1),
    )


def _agreed(network: Network) -> tuple[Network, Adjustment, Reliability]:
    """Adjust and assess a network, or refuse what came of it."""
    adjustment = best_viewpoint(network)
    network, adjustment = free_lens(network, adjustment)
    refuse_loose(network, adjustment)
    reliability = sharpen(network, adjustment, assess(network, adjustment))
    refuse_contradiction(reliability)
    refuse_impossible_lens(network.camera, adjustment.state.camera)
    return network, adjustment, reliability


def _accusation(blamed: Sequence[Culprit]) -> ReferencesDisagree:
    """Return the refusal that names who may be wrong."""
    said = [
        f"{culprit.title} says {abs(culprit.excess):.0%} "
        f"{'more' if culprit.excess > 0.0 else 'less'} than the others"
        if abs(culprit.excess) > _WORTH_SAYING
        else f"without {culprit.title} the others agree"
        for culprit in blamed
    ]
    return ReferencesDisagree(
        f"the references contradict each other: {', or '.join(said)}",
        "check the sizes and counts that were typed, and what was picked",
    )


def _doubt(
    name: str, sensitivity: FloatArray, reliability: Reliability
) -> tuple[FloatArray, tuple[Input, ...]]:
    """Return the shift of the unknowns (9 + n, 1) if the worst suspect is right to be one.

    A disagreement that is not resolved is a component of uncertainty of its own:
    the interval has to hold the value with the suspect and without it.
    """
    suspects = reliability.suspects
    if not suspects or suspects[0].direction is None:
        return np.zeros((len(sensitivity), 0)), ()
    label = f"disagreement of {suspects[0].title}"
    key = f"{name}/disagreement"
    return (sensitivity @ suspects[0].direction)[:, None], (
        Input(key, label, is_model=True),
    )


def _inputs(name: str, network: Network, adjustment: Adjustment) -> tuple[Input, ...]:
    """Name every row of the adjustment."""
    inputs: list[Input] = []
    blocks = adjustment.equations.blocks
    for reference, block in zip(network.references, blocks, strict=True):
        inputs += [
            Input(f"{name}/{reference.name}#{row}", reference.name, is_model=False)
            for row in range(block.rows.stop - block.rows.start)
        ]
    for _, prior in network.priors:
        key = prior.key if prior.shared else f"{name}/{prior.key}"
        inputs.append(Input(key, prior.label, prior.is_model))
    if network.swing_rad is not None:
        inputs.append(Input(f"{name}/held level", "held level", is_model=True))
    return tuple(inputs)
