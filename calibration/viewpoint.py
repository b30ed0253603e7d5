"""The viewpoint: the best of a plane's several minima, or a refusal to choose."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from calibration.adjustment import Adjustment, adjust, descend
from calibration.camera import FRONTAL, Camera, CameraUnknown
from calibration.errors import (
    AmbiguousViewpoint,
    DegenerateGeometry,
    EstimationError,
    NotConverged,
)
from calibration.network import Network, State
from calibration.reliability import GLOBAL_SIGNIFICANCE, assess, global_probability
from calibration.snooping import critical_value
from calibration.start import first_cameras, mirrored_normals, trial_normals

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

_POOR_FIT: Final = 3.0
"""Variance factor at which further starts are tried before it is believed."""

_LENS_SEEN: Final = 0.25
"""Spread of k1 after the adjustment, per prior spread, at which the references show
the lens themselves: dropping the prior then costs 3 % of its precision."""

_LENS_FREE: Final = 20.0
"""How much wider a dropped prior is: a fifth at the corner, an action camera."""

_LOUDER: Final = 5.0
"""By how much more an unusual lens has to lower the weighted sum of squares than the
most striking error of a reference would: a likelihood ratio of twelve, for mistyped
tapes are more common than unusual lenses."""

_COARSE: Final = (30.0,)
"""First descent with picks this many times less sure. Exact picks make the misfit a
narrow bent valley in focal length, lens and tilt, where damped steps creep and stop
short; blurred picks widen it. Rivals are not followed coarsely: they might leave their
basin for the one that is known."""

_COARSE_THEN_FINER: Final = (30.0, 5.0)
"""The same for a second try."""

_STARTS: Final = 4


def best_viewpoint(network: Network) -> Adjustment:
    """Adjust a network from the best of the viewpoints that nearly fit.

    Parameters
    ----------
    network : Network

    Returns
    -------
    Adjustment
        The lowest minimum found from all trial normals and from its mirror images.

    Raises
    ------
    NotConverged
        If no viewpoint explains the references.
    AmbiguousViewpoint
        If two viewpoints fit equally well.
    DegenerateGeometry
        If something stays free.
    """
    state, cost = _descend_from(
        network, first_cameras(network, trial_normals()), coarseness=_COARSE
    )
    rows = len(network.picks_px)
    if not cost <= _POOR_FIT * max(rows, 1):
        state, cost = _descend_from(
            network,
            first_cameras(network, trial_normals(), _STARTS),
            coarseness=_COARSE_THEN_FINER,
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
    network: Network,
    cameras: Sequence[Camera],
    hopeless: float = np.inf,
    coarseness: tuple[float, ...] = (),
) -> tuple[State, float]:
    """Descend from each camera, first with blurred picks; return the lowest end."""
    blurred = [network.blurred(factor) for factor in coarseness]
    found = []
    for camera in cameras:
        state = network.start(camera)
        for coarse in blurred:
            state, _ = descend(coarse, state)
        found.append(descend(network, state, hopeless))
    if not found:
        nowhere = network.start(_anywhere(network))
        return nowhere, np.inf
    return min(found, key=lambda pair: pair[1])


def _anywhere(network: Network) -> Camera:
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


def free_lens(network: Network, adjustment: Adjustment) -> tuple[Network, Adjustment]:
    """Drop the prior of the lens where the references show the lens by themselves.

    A usual spread helps as long as little else is known of the lens. References that
    fix it several times better must not be held by it, nor references that speak
    against it as a suspect size would: an unusual lens would then look like
    references that disagree. A spread that somebody stated is kept: it is a fact of
    the job, and references that contradict it are to be named.

    Parameters
    ----------
    network : Network
    adjustment : Adjustment
        With the usual prior.

    Returns
    -------
    Network, Adjustment
        As given, or with the prior widened.
    """
    prior = network.camera
    if prior.lens_stated:
        return network, adjustment
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
    if known or _explains(
        freed, adjustment.cost - _largest_residual(network, adjustment) ** 2
    ):
        return wider, freed
    return network, adjustment


def _explains(freed: Adjustment, rival_cost: float) -> bool:
    """Return whether a free lens explains what the best rival explanation leaves."""
    lower = freed.cost + _LOUDER < rival_cost
    return lower and global_probability(freed) >= GLOBAL_SIGNIFICANCE


def _largest_residual(network: Network, adjustment: Adjustment) -> float:
    """Return the largest standardised residual of the references.

    Its square is what allowing for that error would take off the weighted sum of
    squares. A wrong tape, too, speaks against the lens, but louder against itself.
    """
    worst = (report.worst for report in assess(network, adjustment).references)
    return max((abs(finding.w) for finding in worst if finding), default=0.0)
