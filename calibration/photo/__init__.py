"""Photo intake: a picture file in; header, upright pixels and a focal prior out.

The file is somebody else's: its structure is checked before a decoder sees it, every
failure is :class:`calibration.errors.UnreadablePhoto`, and doubts that do not stop the
work are sentences in ``advice``.
"""

from calibration.photo.focal import FocalPrior, focal_prior, focal_prior_from_35mm
from calibration.photo.framing import unknown_framing
from calibration.photo.header import PhotoHeader, read_header
from calibration.photo.lens import LensFacts
from calibration.photo.pixels import load_upright
from calibration.photo.structure import PhotoFormat

__all__ = [
    "FocalPrior",
    "LensFacts",
    "PhotoFormat",
    "PhotoHeader",
    "focal_prior",
    "focal_prior_from_35mm",
    "load_upright",
    "read_header",
    "unknown_framing",
]
