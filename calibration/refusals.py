"""Solutions that must not be used although the adjustment found them."""

from typing import Final

import numpy as np

from calibration.adjustment import Adjustment
from calibration.camera import CAMERA_UNKNOWNS, Camera
from calibration.errors import DegenerateGeometry, ReferencesDisagree
from calibration.freedom import refuse_loose_turn
from calibration.network import Network
from calibration.priors import DIAGONAL_35MM, CameraPrior
from calibration.reliability import ReferenceReport, Reliability

_LOOSE_SCALE: Final = 0.2
"""Standard deviation beyond which first-order uncertainty means nothing."""

_GROSS: Final = 0.10
"""A stated size wrong by more than this is a slip of hand or unit, not uncertainty."""

_BEYOND_SCATTER: Final = 10.0
"""Standardised residual that no scatter reaches, however little of a size is checked."""

_SHORTEST_35MM, _LONGEST_35MM = 5.0, 2000.0
"""No camera for buildings has a shorter or longer lens, 35 mm equivalent; the job file
accepts no other."""

_HOPELESS: Final = 400.0
"""Variance factor (misfit twenty times what is stated) that no widening makes good."""


def refuse_contradiction(reliability: Reliability) -> None:
    """Refuse stated sizes that contradict each other so grossly that none can be used.

    Parameters
    ----------
    reliability : Reliability

    Raises
    ------
    ReferencesDisagree
        Naming the size that stands out most.
    """
    sized = [report for report in reliability.references if report.size]
    # A lone size has nothing to contradict: a camera has none of its own.
    for report in sorted(sized if len(sized) > 1 else [], key=_size_w, reverse=True):
        size = report.size
        if size is None or abs(size.excess) <= _GROSS:
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


def _size_w(report: ReferenceReport) -> float:
    """Return the standardised residual of a reference's size, zero if it has none."""
    return abs(report.size.w) if report.size else 0.0


def refuse_impossible_lens(prior: CameraPrior, camera: Camera) -> None:
    """Refuse a camera with a lens that no camera has.

    Parameters
    ----------
    prior : CameraPrior
        Gives the size of the picture.
    camera : Camera
        As adjusted.

    Raises
    ------
    ReferencesDisagree
        If so: a gross size was explained by the focal length.
    """
    equivalent = DIAGONAL_35MM * camera.focal_px / float(np.hypot(*prior.size_px))
    if not _SHORTEST_35MM <= equivalent <= _LONGEST_35MM:
        raise ReferencesDisagree(
            "the references contradict each other: only a lens of "
            f"{equivalent:.1f} mm (35 mm equivalent) would bring them together",
            "check the sizes and counts that were typed, and what was picked",
        )


def refuse_loose(network: Network, adjustment: Adjustment) -> None:
    """Refuse camera or scale that are fixed so loosely that intervals mean nothing.

    Parameters
    ----------
    network : Network
    adjustment : Adjustment

    Raises
    ------
    DegenerateGeometry
        Naming the turn or the scale, with how well it is fixed.
    """
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
