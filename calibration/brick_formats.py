"""Brick and block formats: course gauge and stretcher pitch by country.

A gauge is what the wall is set out to, not the sum of unit and joint: American
modular brick is laid three courses to eight inches although unit and joint add up
to less. House walls drift from their gauge, so every format carries a spread that
is common to the whole wall; only a taped run of courses narrows it.
"""

from dataclasses import dataclass
from typing import Final

from calibration.errors import UnknownName

GAUGE_REL_SD: Final = 0.010
"""Mean gauge of a wall against its format. Common practice, no source."""

STRETCHER_REL_SD: Final = 0.010
"""Mean stretcher pitch along a wall against its format. Common practice, no source."""

_OLD_REL_SD: Final = 0.03
"""The same where sources disagree about the format itself."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BrickFormat:
    """One format.

    Attributes
    ----------
    name : str
        Word used in job files.
    country : str
        Where it is usual.
    gauge_mm : float
        Height of one course with its bed joint.
    stretcher_mm : float
        Length of one stretcher with its perpend.
    gauge_rel_sd, stretcher_rel_sd : float
        Relative standard deviation of a wall's mean.
    source : str
        Where the values were published, and how far that was seen.
    """

    name: str
    country: str
    gauge_mm: float
    stretcher_mm: float
    source: str
    gauge_rel_sd: float = GAUGE_REL_SD
    stretcher_rel_sd: float = STRETCHER_REL_SD


_INCH: Final = 25.4

_FORMATS: Final = (
    BrickFormat(
        name="uk-metric",
        country="United Kingdom, Ireland",
        gauge_mm=75.0,
        stretcher_mm=225.0,
        source="co-ordinating 225 x 112.5 x 75, Designing Buildings wiki, Brick sizes",
    ),
    BrickFormat(
        name="uk-imperial-68",
        country="United Kingdom, before metrication",
        gauge_mm=78.0,
        stretcher_mm=238.0,
        gauge_rel_sd=_OLD_REL_SD,
        stretcher_rel_sd=0.02,
        source="228 x 68 unit: lists of reclaimed brick; joint 10 from memory",
    ),
    BrickFormat(
        name="uk-imperial-73",
        country="United Kingdom, before metrication",
        gauge_mm=83.0,
        stretcher_mm=238.0,
        gauge_rel_sd=_OLD_REL_SD,
        stretcher_rel_sd=0.02,
        source="228 x 73 unit and 83 gauge from suppliers' lists of reclaimed brick",
    ),
    BrickFormat(
        name="uk-block",
        country="United Kingdom, Ireland",
        gauge_mm=225.0,
        stretcher_mm=450.0,
        source="face 440 x 215, Designing Buildings wiki; 450 x 225 from memory",
    ),
    BrickFormat(
        name="de-df",
        country="Germany",
        gauge_mm=62.5,
        stretcher_mm=250.0,
        source="octametric, DIN 4172, as reported by backstein.com, baukobox.de",
    ),
    BrickFormat(
        name="de-nf",
        country="Germany",
        gauge_mm=250.0 / 3.0,
        stretcher_mm=250.0,
        source="octametric, DIN 4172, as reported by backstein.com, baukobox.de",
    ),
    BrickFormat(
        name="de-2df",
        country="Germany",
        gauge_mm=125.0,
        stretcher_mm=250.0,
        source="octametric, DIN 4172, as reported by backstein.com, baukobox.de",
    ),
    BrickFormat(
        name="de-reich",
        country="Germany, 1872 on",
        gauge_mm=77.0,
        stretcher_mm=260.0,
        gauge_rel_sd=_OLD_REL_SD,
        stretcher_rel_sd=0.02,
        source="250 x 120 x 65 from baukobox.de; gauge from memory",
    ),
    BrickFormat(
        name="at-nf",
        country="Austria",
        gauge_mm=75.0,
        stretcher_mm=260.0,
        source="250 x 120 x 65 with joint 10, zimmerer-treff.com, gauge computed",
    ),
    BrickFormat(
        name="nl-waal",
        country="Netherlands",
        gauge_mm=60.0,
        stretcher_mm=220.0,
        gauge_rel_sd=0.02,
        stretcher_rel_sd=0.02,
        source="ten courses 600, documentatie.org; head joint from memory",
    ),
    BrickFormat(
        name="au-standard",
        country="Australia, New Zealand",
        gauge_mm=85.86,
        stretcher_mm=240.0,
        source="AS 4455.1 as quoted, between 86 and seven courses to 600",
    ),
    BrickFormat(
        name="us-modular",
        country="United States",
        gauge_mm=8 * _INCH / 3,
        stretcher_mm=8 * _INCH,
        source="three courses 8 in, BIA Technical Note 10B (1993) as quoted",
    ),
    BrickFormat(
        name="us-engineer",
        country="United States",
        gauge_mm=16 * _INCH / 5,
        stretcher_mm=8 * _INCH,
        source="five courses 16 in, BIA Technical Note 10B (1993) as quoted",
    ),
    BrickFormat(
        name="us-economy",
        country="United States",
        gauge_mm=4 * _INCH,
        stretcher_mm=8 * _INCH,
        source="one course 4 in, BIA Technical Note 10B (1993) as quoted",
    ),
    BrickFormat(
        name="us-roman",
        country="United States",
        gauge_mm=2 * _INCH,
        stretcher_mm=12 * _INCH,
        source="two courses 4 in, BIA Technical Note 10B as quoted; length memory",
    ),
    BrickFormat(
        name="us-norman",
        country="United States",
        gauge_mm=8 * _INCH / 3,
        stretcher_mm=12 * _INCH,
        source="three courses 8 in, BIA Technical Note 10B as quoted; length memory",
    ),
    BrickFormat(
        name="in-modular",
        country="India",
        gauge_mm=100.0,
        stretcher_mm=200.0,
        source="IS 1077:1992 as quoted by IIT Kanpur; five courses 500",
    ),
    BrickFormat(
        name="in-traditional",
        country="India",
        gauge_mm=80.0,
        stretcher_mm=240.0,
        gauge_rel_sd=_OLD_REL_SD,
        stretcher_rel_sd=_OLD_REL_SD,
        source="230 x 110 x 70 of IS 1077:1992 as quoted, joint 10, computed",
    ),
)

FORMATS: Final[dict[str, BrickFormat]] = {entry.name: entry for entry in _FORMATS}
"""All formats by name."""


def brick_format(name: str, where: str = "format") -> BrickFormat:
    """Return a format by its name.

    Parameters
    ----------
    name : str
    where : str
        Place to name in the refusal.

    Returns
    -------
    BrickFormat

    Raises
    ------
    UnknownName
        If there is no such format.

    Examples
    --------
    >>> brick_format("uk-metric").gauge_mm * 4
    300.0
    """
    if name not in FORMATS:
        raise UnknownName(where, name, FORMATS)
    return FORMATS[name]
