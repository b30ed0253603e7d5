"""Numbers, dates and angles as a person writes them."""

import datetime as dt
from decimal import Decimal
from math import ceil, degrees

from photomeasure.papers import texts
from photomeasure.results import COVERAGE_FACTOR
from photomeasure.takeoff.tally import in_percent

chance = in_percent
"""A probability as papers and pages write it."""


def half_mm(u_mm: float) -> int:
    """Return half the 95 % interval of a standard uncertainty, rounded up.

    Examples
    --------
    >>> half_mm(20.4), half_mm(0.0)
    (40, 0)
    """
    return ceil(COVERAGE_FACTOR * u_mm - 1e-9)  # 1e-9 mm: no length is known so well


def written(date: dt.date) -> str:
    """Return a date.

    Examples
    --------
    >>> written(dt.date(2025, 3, 4))
    '4 March 2025'
    """
    return f"{date.day} {texts.MONTHS[date.month - 1]} {date.year}"


def plain(number: Decimal) -> str:
    """Return a number without needless zeros or exponent.

    Examples
    --------
    >>> plain(Decimal("1E+2")), plain(Decimal("7.660"))
    ('100', '7.66')
    """
    text = f"{number:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def percent(share: Decimal) -> str:
    """Return a share in percent.

    Examples
    --------
    >>> percent(Decimal("0.175")), percent(Decimal("0.20"))
    ('17.5', '20')
    """
    return plain(share * 100)


def cut_of(end: str, radians: float) -> str:
    """Return how an end is cut.

    Examples
    --------
    >>> cut_of("square", 0.0), cut_of("plumb", 0.5)
    ('square', 'plumb 28.6°')
    """
    return texts.ANGLE.format(end=end, degrees=degrees(radians)) if radians else end
