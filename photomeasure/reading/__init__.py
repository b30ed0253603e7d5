"""A photo read without a click: scale, level, lens, roofline; a person confirms."""

from photomeasure.reading.model import (
    FoundLine,
    FoundReference,
    FoundSoffit,
    PhotoReading,
    Told,
)
from photomeasure.reading.read import read_photo

__all__ = [
    "FoundLine",
    "FoundReference",
    "FoundSoffit",
    "PhotoReading",
    "Told",
    "read_photo",
]
