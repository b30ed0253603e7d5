"""A number with its spread, and on which side of a limit it lies."""

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from calibration.errors import InputError
from photomeasure.results import interval95

SAME: Final = 1e-9
"""Relative. Values this close differ by rounding of degrees to radians, not in truth."""


class Side(StrEnum):
    """Where a value with its 95 % interval lies, as seen from a limit."""

    BELOW = "below"
    AT = "at"
    ABOVE = "above"
    EITHER = "either"


@dataclass(frozen=True, slots=True)
class Measured:
    """A value and its standard uncertainty, in one unit.

    Attributes
    ----------
    value : float
    u : float
        Standard uncertainty, >= 0; 0 for a number that somebody states.

    Examples
    --------
    >>> Measured(0.30, 0.02).side_of(0.27)
    <Side.EITHER: 'either'>
    >>> Measured(0.30).side_of(0.27)
    <Side.ABOVE: 'above'>
    """

    value: float
    u: float = 0.0

    def __post_init__(self) -> None:
        if not (math.isfinite(self.value) and math.isfinite(self.u) and self.u >= 0.0):
            raise InputError(
                "takeoff",
                f"{self.value} with standard uncertainty {self.u} is not a measured number",
                "give a finite value and an uncertainty of 0 or more",
            )

    @property
    def low(self) -> float:
        """Lower end of the 95 % interval."""
        return interval95(self.value, self.u)[0]

    @property
    def high(self) -> float:
        """Upper end of the 95 % interval."""
        return interval95(self.value, self.u)[1]

    def side_of(self, limit: float) -> Side:
        """Return on which side of a limit the 95 % interval lies."""
        if math.isclose(self.value, limit, rel_tol=SAME) and self.u == 0.0:
            return Side.AT
        if self.low <= limit <= self.high:
            return Side.EITHER
        return Side.ABOVE if self.value > limit else Side.BELOW


def check_positive(where: str, what: str, number: float) -> None:
    """Refuse a number that is not finite and above zero.

    Parameters
    ----------
    where, what : str
        Place and name of the number, for the message.
    number : float

    Raises
    ------
    InputError
    """
    if not (math.isfinite(number) and number > 0.0):
        raise InputError(where, f"{what} is {number:g}", "give a number above 0")


def check_not_negative(where: str, what: str, number: float) -> None:
    """Refuse a number that is not finite or below zero.

    Parameters
    ----------
    where, what : str
        Place and name of the number, for the message.
    number : float

    Raises
    ------
    InputError
    """
    if not (math.isfinite(number) and number >= 0.0):
        raise InputError(where, f"{what} is {number:g}", "give a number of 0 or more")


def round_up(number: float) -> int:
    """Round up, but not for the rounding of a division.

    Examples
    --------
    >>> round_up(0.3 / 0.1), round_up(3.001)
    (3, 4)
    """
    return math.ceil(number * (1.0 - SAME))


def in_degrees(angle_rad: Measured) -> str:
    """Return an angle for a sentence.

    Examples
    --------
    >>> in_degrees(Measured(math.radians(30.0), math.radians(0.5)))
    '30.0° (29.0° to 31.0°)'
    """
    return _in_words(angle_rad, math.degrees(1.0), 1, "°")


def in_metres(length_mm: Measured) -> str:
    """Return a length for a sentence.

    Examples
    --------
    >>> in_metres(Measured(8000.0))
    '8.00 m'
    """
    return _in_words(length_mm, 1e-3, 2, " m")


def _in_words(number: Measured, factor: float, places: int, unit: str) -> str:
    text = f"{number.value * factor:.{places}f}{unit}"
    if number.u == 0.0:
        return text
    low, high = number.low * factor, number.high * factor
    return f"{text} ({low:.{places}f}{unit} to {high:.{places}f}{unit})"
