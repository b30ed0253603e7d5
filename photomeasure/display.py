"""Lengths as a person reads them: millimetres, or feet and inches."""

import math
import re
from enum import StrEnum
from fractions import Fraction
from typing import Final

from calibration.errors import InputError
from photomeasure.results import COVERAGE_FACTOR

INCH_MM: Final = 25.4
"""Exactly, since the international yard and pound agreement of 1959."""

_PARTS: Final = 16
"""Sixteenths of an inch, as on a tape."""

_TINY: Final = 1e-9
"""Millimetres, or parts of an inch, by which rounding up is not led astray."""


class Display(StrEnum):
    """In what lengths are shown; what is kept stays millimetres."""

    MM = "mm"
    FEET = "ft-in"


def said_length(length_mm: float, display: Display = Display.MM) -> str:
    """Return a length.

    Parameters
    ----------
    length_mm : float
    display : Display, optional

    Returns
    -------
    str
        To a millimetre, in metres from one metre on; or to a sixteenth of an inch.

    Examples
    --------
    >>> said_length(4512.3), said_length(312.4)
    ('4.512 m', '312 mm')
    >>> said_length(4512.3, Display.FEET), said_length(-25.4, Display.FEET)
    ('14 ft 9 5/8 in', '-1 in')
    """
    if display is Display.FEET:
        sign = "-" if length_mm < 0 else ""
        return sign + _feet(round(abs(length_mm) / INCH_MM * _PARTS))
    whole = round(length_mm)
    return f"{whole / 1000:.3f} m" if abs(whole) >= 1000 else f"{whole} mm"


def said_half(half_mm: float, display: Display = Display.MM) -> str:
    """Return half the width of an interval, rounded up.

    Parameters
    ----------
    half_mm : float
        Not negative.
    display : Display, optional

    Returns
    -------
    str

    Examples
    --------
    >>> said_half(17.2), said_half(17.2, Display.FEET)
    ('18 mm', '11/16 in')
    """
    if display is Display.FEET:
        return _feet(math.ceil(half_mm / INCH_MM * _PARTS - _TINY))
    return f"{math.ceil(half_mm - _TINY)} mm"


def said(length_mm: float, u_mm: float, display: Display = Display.MM) -> str:
    """Return a length with half its 95 % interval.

    Parameters
    ----------
    length_mm, u_mm : float
        Value and standard uncertainty.
    display : Display, optional

    Returns
    -------
    str

    Examples
    --------
    >>> said(4512.3, 9.0), said(4512.3, 9.0, Display.FEET)
    ('4.512 m ± 18 mm', '14 ft 9 5/8 in ± 3/4 in')
    """
    half = said_half(COVERAGE_FACTOR * u_mm, display)
    return f"{said_length(length_mm, display)} ± {half}"


_NUMBER: Final = r"\d+(?:[.,]\d+)?"
_METRIC: Final = re.compile(rf"({_NUMBER}) ?(mm|cm|m)?", re.ASCII)
_FEET: Final = re.compile(
    rf"(?:(?P<feet>{_NUMBER}) ?(?:ft|'|\u2032)[ -]*)?"
    rf"(?:(?P<inches>{_NUMBER}(?![\d/])))?"
    # Inches and sixteenths are kept apart: 1 11/16 is not 11 1/16.
    r"(?:(?:(?<=\d)[ -]+|(?<!\d))(?P<top>\d+)/(?P<bottom>\d+))? ?"
    r"(?:in|\"|\u2033|'')?",
    re.ASCII,
)
_MM_OF: Final = {"mm": 1.0, "cm": 10.0, "m": 1000.0}
_LONGEST: Final = 40


def read_length(text: str, where: str) -> float:
    """Read a length that somebody typed, in whatever unit stands beside it.

    Parameters
    ----------
    text : str
        Without a unit: millimetres.
    where : str
        What the length is of, for the message.

    Returns
    -------
    float
        Millimetres.

    Raises
    ------
    InputError
        If it is no length.

    Examples
    --------
    >>> read_length("4512", "eaves"), read_length("4.512 m", "eaves")
    (4512.0, 4512.0)
    >>> round(read_length("14 ft 9 5/8 in", "eaves"), 3), read_length('10"', "eaves")
    (4511.675, 254.0)
    """
    plain = " ".join(text.casefold().split())[:_LONGEST]
    if metric := _METRIC.fullmatch(plain):
        return _number(metric[1]) * _MM_OF[metric[2] or "mm"]
    found = _FEET.fullmatch(plain)
    if not found or not any(found.groupdict().values()) or found["bottom"] == "0":
        raise InputError(
            where,
            f'"{text[:_LONGEST]}" is no length',
            "write it as 4512, 4.512 m or 14 ft 9 5/8 in",
        )
    part = Fraction(int(found["top"]), int(found["bottom"])) if found["top"] else 0
    inches = _number(found["inches"] or "0") + float(part)
    return (12.0 * _number(found["feet"] or "0") + inches) * INCH_MM


def _number(text: str) -> float:
    return float(text.replace(",", "."))


def _feet(parts: int) -> str:
    """Return sixteenths of an inch as feet and inches."""
    feet, rest = divmod(parts, 12 * _PARTS)
    inches, over = divmod(rest, _PARTS)
    fraction = str(Fraction(over, _PARTS)) if over else ""
    words = [f"{feet} ft"] if feet else []
    if inches or fraction or not words:
        number = f"{inches} {fraction}".strip() if inches or not fraction else fraction
        words.append(f"{number} in")
    return " ".join(words)
