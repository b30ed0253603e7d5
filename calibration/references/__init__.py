"""The kinds of reference, one file a kind."""

from calibration.references.base import Conditions, Prior, Reference, SizeError, Unknown
from calibration.references.courses import CountDirection, Courses
from calibration.references.directions import Level, Plumb
from calibration.references.distance import Distance, TapeDirection
from calibration.references.points import Points, ScaleError
from calibration.references.rectangle import Rectangle
from calibration.references.soffit import Soffit
from calibration.references.straight import Straight

__all__ = [
    "Conditions",
    "CountDirection",
    "Courses",
    "Distance",
    "Level",
    "Plumb",
    "Points",
    "Prior",
    "Rectangle",
    "Reference",
    "ScaleError",
    "SizeError",
    "Soffit",
    "Straight",
    "TapeDirection",
    "Unknown",
]
