"""From references to a calibrated wall: start, descent, both viewpoints, checks."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from calibration.adjustment import Adjustment, adjust, degenerate, descend
from calibration.arrays import FloatArray, frozen
from calibration.camera import CAMERA_UNKNOWNS, Camera, CameraUnknown
from calibration.errors import (
    AmbiguousViewpoint,
    DegenerateGeometry,
    NotConverged,
    ReferencesDisagree,
)
from calibration.network import Network, State, build_network
from calibration.priors import CameraPrior
from calibration.references.base import Reference
from calibration.reliability import Reliability, assess
from calibration.start import first_cameras, mirrored_normal, trial_normals
from calibration.uncertain import Input

_RIVAL: Final = 9.0
"""A second viewpoint whose weighted sum of squares is larger by less than this (a
likelihood ratio of 90) is not excluded by the references."""

_DISTINCT_RAD: Final = float(np.radians(2.0))
"""Viewpoints closer than this are one minimum."""

_LOOSE_TURN_RAD: Final = float(np.radians(12.0))
_LOOSE_SCALE: Final = 0.2
"""Standard deviations beyond which first-order uncertainty means nothing."""

_COARSE: Final = (30.0,)
"""First descent with picks this many times less sure. Exact picks make the misfit a
narrow bent valley in focal length, lens and tilt, where damped steps creep and stop
short; blurred picks widen it."""

_COARSE_THEN_FINER: Final = (30.0, 5.0)
"""The same for a second try."""

_POOR_FIT: Final = 3.0
"""Variance factor at which further starts are tried before it is believed."""

_GROSS: Final = 0.10
"""A stated size wrong by more than this is a slip of hand or unit, not uncertainty."""

_HOPELESS: Final = 400.0
"""Variance factor (misfit twenty times what is stated) that no widening makes good."""

_STARTS: Final = 4


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
    adjustment = _best_viewpoint(network)
    _refuse_loose(network, adjustment)
    reliability = assess(network, adjustment)
    _refuse_contradiction(reliability)
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


def _refuse_contradiction(reliability: Reliability) -> None:
    """Raise if stated sizes contradict each other so grossly that none can be used."""
    for report in reliability.suspects:
        size = report.size
        if size and report.worst == size and abs(size.estimate) > _GROSS:
            raise ReferencesDisagree(
                f"the references contradict each other: {report.title} says "
                f"{abs(size.estimate):.0%} {'more' if size.estimate > 0 else 'less'} than "
                "the others",
                "check the sizes and counts that were typed, and what was picked",
            )
    if reliability.variance_factor > _HOPELESS:
        raise ReferencesDisagree(
            "the references contradict each other (their misfit is "
            f"{np.sqrt(reliability.variance_factor):.0f} times what they state)",
            "check what was picked and typed, first of all "
            + (reliability.suspects[0].title if reliability.suspects else "the picks"),
        )


def _best_viewpoint(network: Network) -> Adjustment:
    """Return the better of a minimum and its mirror image, or refuse to choose."""
    normals = trial_normals()
    state, cost = _descend_from(network, first_cameras(network, normals), _COARSE)
    rows = len(network.picks_px)
    if not cost <= _POOR_FIT * max(rows, 1):
        cameras = first_cameras(network, normals, _STARTS)
        state, cost = _descend_from(network, cameras, _COARSE_THEN_FINER)
    if not np.isfinite(cost):
        raise NotConverged(
            "no viewpoint explains the references",
            "check that each pick is on the point it names and that corners run from "
            "bottom left anticlockwise",
        )
    mirrored = mirrored_normal(network, state.camera)
    rivals = first_cameras(network, mirrored[None])
    # Not coarsely: blurred picks might leave the rival's basin for the one we know.
    rival, rival_cost = _descend_from(network, rivals, ())
    if rival_cost < cost:
        state, cost, rival, rival_cost = rival, rival_cost, state, cost
    best = adjust(network, state)
    _refuse_rival(best, rival, rival_cost - cost)
    return best


def _descend_from(
    network: Network, cameras: Sequence[Camera], coarseness: tuple[float, ...]
) -> tuple[State, float]:
    """Descend from each camera, first with blurred picks; return the lowest end."""
    blurred = [network.blurred(factor) for factor in coarseness]
    found = []
    for camera in cameras:
        state = network.start(camera)
        for coarse in blurred:
            state, _ = descend(coarse, state)
        found.append(descend(network, state))
    if not found:
        nowhere = network.start(_anywhere(network))
        return nowhere, np.inf
    return min(found, key=lambda pair: pair[1])


def _anywhere(network: Network) -> Camera:
    from calibration.camera import FRONTAL

    prior = network.camera
    return Camera(
        focal_px=prior.focal_px,
        centre_px=prior.centre_px,
        R_wall_from_camera=FRONTAL,
        standoff_mm=1.0,
    )


def _refuse_rival(best: Adjustment, rival: State, excess: float) -> None:
    """Raise if another viewpoint fits as well and is another viewpoint."""
    here, there = best.state.camera, rival.camera
    cosine = here.R_wall_from_camera[2] @ there.R_wall_from_camera[2]
    apart = float(np.arccos(np.clip(cosine, -1.0, 1.0)))
    turns = slice(CameraUnknown.TURN_X, CameraUnknown.TURN_Y + 1)
    spread = float(np.sqrt(np.trace(best.covariance[turns, turns])))
    if excess >= _RIVAL or apart < max(_DISTINCT_RAD, 3.0 * spread):
        return
    views = [
        f"{np.degrees(c.yaw_rad):+.0f}° to the side and {np.degrees(c.tilt_rad):+.0f}° up"
        for c in (here, there)
    ]
    raise AmbiguousViewpoint(
        f"the references fit two viewpoints equally well, {views[0]} or {views[1]}",
        "add level and plumb lines far from the other references, or use the original "
        "photo with its camera data",
    )


def _refuse_loose(network: Network, adjustment: Adjustment) -> None:
    """Raise if camera or scale are fixed so loosely that intervals mean nothing."""
    covariance = adjustment.covariance
    for column in (CameraUnknown.TURN_X, CameraUnknown.TURN_Y):
        if covariance[column, column] > _LOOSE_TURN_RAD**2:
            raise degenerate(network, column)
    wall, _ = network.place(adjustment.state, network.picks_px)
    spread = wall.xy_mm - wall.xy_mm.mean(axis=0)
    size = float(np.sum(spread**2))
    camera = wall.wrt_camera - wall.wrt_camera.mean(axis=0)
    slope = np.einsum("ni,nij->j", spread, camera) / size
    known = covariance[:CAMERA_UNKNOWNS, :CAMERA_UNKNOWNS]
    if slope @ known @ slope > _LOOSE_SCALE**2:
        raise DegenerateGeometry(
            f"the scale is fixed only to {np.sqrt(slope @ known @ slope):.0%}",
            "add a taped distance, a rectangle of known size or more brick courses",
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
