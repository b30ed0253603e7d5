"""Vanishing points: what is level and plumb, read from the edges of a photo."""

from calibration.vanishing.estimate import find_vanishing
from calibration.vanishing.model import NONE, PLUMB, Vanishing, vanishing_px

__all__ = ["NONE", "PLUMB", "Vanishing", "find_vanishing", "vanishing_px"]
