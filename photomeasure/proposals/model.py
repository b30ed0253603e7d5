"""What is proposed: lines of the roofline with role, ends and confidence."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

from calibration.arrays import FloatArray
from calibration.edges import EdgeFits
from photomeasure.job.schema import Role

LEAST_CHANCE: Final = 0.02
"""Less likely lines are not worth a person's look, nor the time for their ends."""

MOST_PROPOSED: Final = 6
"""Of one role; the true one is nearly always among the first three."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Proposal:
    """A line that may be what its role says.

    Attributes
    ----------
    role : Role
    picks_px : (3, 2) float64
        Both ends and a place between, image frame.
    end_sd_px : (2,) float64
        How well the ends are known along the line, if it is the edge that is meant.
    pick_sd_px : float
        For the job file: with the doubt about which edge of its board is meant.
    confidence : float
        That this line is the edge of its role, 0 to 1.
    board : float
        That it lies on a board of its role, whichever edge of it, 0 to 1.
    wall : int
        Index of the wall's level direction among the vanishing points.
    edge : EdgeFits
        One row.
    cut : bool
        Whether it runs out of the photo: then its length cannot be known.
    """

    role: Role
    picks_px: FloatArray
    end_sd_px: FloatArray
    pick_sd_px: float
    confidence: float
    board: float
    wall: int
    edge: EdgeFits
    cut: bool = False


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Proposals:
    """Lines by role, likeliest first.

    Attributes
    ----------
    eaves, rakes, ridges : tuple of Proposal
        Rakes stand in pairs, left one first.
    soffits : tuple of tuple of Proposal
        Wall edge and outer edge of a soffit.
    none : mapping of Role to float
        Chance that a photo has no line of a role, or none of those found.
    doubts : tuple of str
        What a person has to know, in words.
    """

    eaves: tuple[Proposal, ...] = ()
    rakes: tuple[Proposal, ...] = ()
    ridges: tuple[Proposal, ...] = ()
    soffits: tuple[tuple[Proposal, Proposal], ...] = ()
    none: Mapping[Role, float] = field(default_factory=dict)
    doubts: tuple[str, ...] = ()
