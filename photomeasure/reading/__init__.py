"""A photo read without a click: scale, level, lens and roofline, for a person to confirm."""

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
