"""A photo read without a click: scale, level, lens, roofline; a person confirms."""

from photomeasure.reading.model import (
    Ask,
    FoundLine,
    FoundReference,
    FoundSoffit,
    PhotoReading,
    Question,
    Told,
)
from photomeasure.reading.read import read_photo

__all__ = [
    "Ask",
    "FoundLine",
    "FoundReference",
    "FoundSoffit",
    "PhotoReading",
    "Question",
    "Told",
    "read_photo",
]
