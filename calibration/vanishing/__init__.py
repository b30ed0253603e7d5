"""Vanishing points: what is level and plumb, read from the edges of a photo."""

from calibration.vanishing.estimate import find_vanishing
from calibration.vanishing.model import NONE, PLUMB, Vanishing, vanishing_px
from calibration.vanishing.references import direction_references, straight_references

__all__ = [
    "NONE",
    "PLUMB",
    "Vanishing",
    "direction_references",
    "find_vanishing",
    "straight_references",
    "vanishing_px",
]
