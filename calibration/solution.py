"""From references to a calibrated wall: start, descent, both viewpoints, checks."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from calibration.adjustment import Adjustment, adjust, descend, refuse_loose_turn
from calibration.arrays import FloatArray, frozen
from calibration.camera import CAMERA_UNKNOWNS, Camera, CameraUnknown
from calibration.errors import (
    AmbiguousViewpoint,
    DegenerateGeometry,
    EstimationError,
    NotConverged,
    ReferencesDisagree,
)
from calibration.network import Network, State, build_network
from calibration.priors import DIAGONAL_35MM, CameraPrior
from calibration.references.base import Reference
from calibration.reliability import (
    GLOBAL_SIGNIFICANCE,
    ReferenceReport,
    Reliability,
    assess,
    critical_value,
    global_probability,
)
from calibration.start import first_cameras, mirrored_normals, trial_normals
from calibration.uncertain import Input

_RIVAL: Final = 9.0
"""A second viewpoint whose weighted sum of squares is larger by less than this (a
likelihood ratio of 90) is not excluded by the references."""

_LOWER: Final = 0.1
"""Fall of the weighted sum of squares that shows another minimum, not rounding."""

_FAR_OFF: Final = 1e4
"""Weighted sum of squares of a mirrored start that no descent brings near: were the
mirror image a minimum as good, its start would lie at most a few degrees from it."""

_DISTINCT_RAD: Final = float(np.radians(2.0))
"""Viewpoints closer than this are one minimum."""

_LOOSE_SCALE: Final = 0.2
"""Standard deviation beyond which first-order uncertainty means nothing."""

_POOR_FIT: Final = 9.0
"""Variance factor at which further starts are tried before it is believed."""

_GROSS: Final = 0.10
"""A stated size wrong by more than this is a slip of hand or unit, not uncertainty."""

_BEYOND_SCATTER: Final = 10.0
"""Standardised residual that no scatter reaches, however little of a size is checked."""

_SHORTEST_35MM, _LONGEST_35MM = 5.0, 2000.0
"""No camera for buildings has a shorter or longer lens, 35 mm equivalent; the job file
accepts no other."""

_HOPELESS: Final = 400.0
"""Variance factor (misfit twenty times what is stated) that no widening makes good."""

_LENS_SEEN: Final = 0.25
"""Spread of k1 after the adjustment, per prior spread, at which the references show
the lens themselves: dropping the prior then costs 3 % of its precision."""

_LENS_FREE: Final = 20.0
"""How much wider a dropped prior is: a fifth at the corner, an action camera."""

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
    network, adjustment = _free_lens(network, adjustment)
    _refuse_loose(network, adjustment)
    reliability = assess(network, adjustment)
    _refuse_contradiction(reliability)
    _refuse_impossible_lens(network.camera, adjustment.state.camera)
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


def _free_lens(network: Network, adjustment: Adjustment) -> tuple[Network, Adjustment]:
    """Drop the prior of the lens where the references show the lens by themselves.

    A usual spread helps as long as little else is known of the lens. References that
    fix it several times better must not be held by it, nor references that speak
    against it as a suspect size would: an unusual lens would then look like
    references that disagree.
    """
    prior = network.camera
    variance = float(adjustment.covariance[CameraUnknown.K1, CameraUnknown.K1])
    known = variance < (_LENS_SEEN * prior.k1_sd) ** 2
    residual = adjustment.state.camera.k1 - prior.k1
    spread = np.sqrt(max(prior.k1_sd**2 - variance, 1e-6 * prior.k1_sd**2))
    if not known and abs(residual) < critical_value() * spread:
        return network, adjustment
    free = replace(prior, k1_sd=_LENS_FREE * prior.k1_sd, k2_sd=_LENS_FREE * prior.k2_sd)
    wider = replace(network, camera=free)
    try:
        freed = adjust(wider, descend(wider, adjustment.state)[0])
    except EstimationError:
        return network, adjustment
    # A gross size would bend any free lens; an unusual lens explains everything.
    if known or global_probability(freed) >= GLOBAL_SIGNIFICANCE:
        return wider, freed
    return network, adjustment


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
    for report in sorted(reliability.references, key=_size_w, reverse=True):
        size = report.size
        if size is None or abs(size.estimate) <= _GROSS:
            continue
        # A gross error can bend the camera until hardly any of it shows: then it is
        # no suspect any more, but its residual still tells.
        if (report.suspect and report.worst == size) or _size_w(report) > _BEYOND_SCATTER:
            raise ReferencesDisagree(
                f"the references contradict each other: {report.title} says "
                f"{abs(size.excess):.0%} {'more' if size.excess > 0 else 'less'} than "
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


def _refuse_impossible_lens(prior: CameraPrior, camera: Camera) -> None:
    """Raise if only a lens that no camera has would bring the references together."""
    equivalent = DIAGONAL_35MM * camera.focal_px / float(np.hypot(*prior.size_px))
    if not _SHORTEST_35MM <= equivalent <= _LONGEST_35MM:
        raise ReferencesDisagree(
            "the references contradict each other: only a lens of "
            f"{equivalent:.1f} mm (35 mm equivalent) would bring them together",
            "check the sizes and counts that were typed, and what was picked",
        )


def _size_w(report: ReferenceReport) -> float:
    """Return the standardised residual of a reference's size, zero if it has none."""
    return abs(report.size.w) if report.size else 0.0


def _best_viewpoint(network: Network) -> Adjustment:
    """Return the better of a minimum and its mirror image, or refuse to choose."""
    state, cost = _descend_from(network, first_cameras(network, trial_normals()))
    rows = len(network.picks_px)
    if not cost <= _POOR_FIT * max(rows, 1):
        state, cost = _descend_from(
            network, first_cameras(network, trial_normals(), _STARTS)
        )
    if not np.isfinite(cost):
        raise NotConverged(
            "no viewpoint explains the references",
            "check that each pick is on the point it names and that corners run from "
            "bottom left anticlockwise",
        )
    best = adjust(network, state)
    for normal in mirrored_normals(network, best.state.camera):
        rivals = first_cameras(network, normal[None])
        hopeless = _FAR_OFF + 100.0 * best.cost
        rival, rival_cost = _descend_from(network, rivals, hopeless)
        near_but_lower = rival_cost < best.cost - _LOWER
        if rival_cost - best.cost < _RIVAL and (
            near_but_lower or _distinct(best, rival.camera)
        ):
            best = _refuse_rival(network, best, rival)
    return best


def _descend_from(
    network: Network, cameras: Sequence[Camera], hopeless: float = np.inf
) -> tuple[State, float]:
    found = [descend(network, network.start(camera), hopeless) for camera in cameras]
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


def _distinct(best: Adjustment, other: Camera) -> bool:
    """Return whether another camera is another minimum, not a stop on the way here."""
    normal = best.state.camera.R_wall_from_camera[2]
    cosine = float(normal @ other.R_wall_from_camera[2])
    turns = slice(CameraUnknown.TURN_X, CameraUnknown.TURN_Y + 1)
    spread = float(np.sqrt(np.trace(best.covariance[turns, turns])))
    apart = float(np.arccos(np.clip(cosine, -1.0, 1.0)))
    return apart >= max(_DISTINCT_RAD, 3.0 * spread)


def _refuse_rival(network: Network, best: Adjustment, rival: State) -> Adjustment:
    """Follow a rival to its own minimum; raise if that is another viewpoint as good."""
    try:
        other = adjust(network, rival)
    except (DegenerateGeometry, NotConverged):
        return best
    if other.cost < best.cost:
        best, other = other, best
    if other.cost - best.cost >= _RIVAL or not _distinct(best, other.state.camera):
        return best
    views = " or ".join(
        f"{np.degrees(c.yaw_rad):+.0f}° to the side and {np.degrees(c.tilt_rad):+.0f}° up"
        for c in (best.state.camera, other.state.camera)
    )
    raise AmbiguousViewpoint(
        f"the references fit two viewpoints equally well, {views}",
        "add level and plumb lines far from the other references, or use the original "
        "photo with its camera data",
    )


def _refuse_loose(network: Network, adjustment: Adjustment) -> None:
    """Raise if camera or scale are fixed so loosely that intervals mean nothing."""
    covariance = adjustment.covariance
    refuse_loose_turn(network, covariance)
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
