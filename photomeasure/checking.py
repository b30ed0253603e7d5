"""A taped length against a measured one: do they agree, in numbers and in words."""

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, Final

from calibration.errors import BadReference, InputError, UnknownName
from calibration.references import TapeDirection
from photomeasure.display import Display, said_half, said_length
from photomeasure.lengths import bent
from photomeasure.results import MeasuredElevation, MeasuredLine

WARNING: Final = 2.0
ACTION: Final = 3.0
"""Zeta scores beyond which a value is doubtful, and wrong. ISO 13528, as quoted by the
NIST Dataplot reference manual under "ISO 13528 zeta score"."""

EXPANSION: Final = 2.0
"""Coverage factor of the expanded uncertainties of an E_n number (ISO/IEC 17043, as quoted
by the same manual under "ISO 13528 En score")."""

USUAL_TAPE_SD_MM: Final = 3.0
"""As the job file assumes of a taped distance."""

LONGEST_MM: Final = 1e6
"""As the job file allows for a length."""


class Outcome(StrEnum):
    """What the scores mean."""

    AGREES = "agrees"
    DOUBTFUL = "doubtful"
    DISAGREES = "does not agree"


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """A measured value beside a taped one.

    Attributes
    ----------
    measured_mm, u_measured_mm : float
        Value and standard uncertainty.
    taped_mm, u_taped_mm : float
        Likewise.
    """

    measured_mm: float
    u_measured_mm: float
    taped_mm: float
    u_taped_mm: float

    def __post_init__(self) -> None:
        numbers = (self.measured_mm, self.u_measured_mm, self.taped_mm, self.u_taped_mm)
        if not all(math.isfinite(number) for number in numbers):
            raise InputError("taped length", "is not a number", "type millimetres")
        if not 0.0 < self.taped_mm <= LONGEST_MM:
            raise InputError(
                "taped length",
                f"{self.taped_mm:g} mm is no length of a house",
                "type it in millimetres",
            )
        if min(self.u_measured_mm, self.u_taped_mm) < 0.0 or self.spread_mm == 0.0:
            raise InputError(
                "uncertainty of the tape",
                f"{self.u_taped_mm:g} mm is none",
                "state a standard uncertainty above 0",
            )

    @property
    def difference_mm(self) -> float:
        """Measured less taped."""
        return self.measured_mm - self.taped_mm

    @property
    def spread_mm(self) -> float:
        """Standard uncertainty of the difference; the two are independent."""
        return math.hypot(self.u_measured_mm, self.u_taped_mm)

    @property
    def zeta(self) -> float:
        """Zeta score: the difference per its standard uncertainty (ISO 13528).

        Examples
        --------
        >>> c = Check(measured_mm=5010, u_measured_mm=4, taped_mm=5000, u_taped_mm=3)
        >>> c.zeta, c.e_n, str(c.outcome)
        (2.0, 1.0, 'agrees')
        """
        return self.difference_mm / self.spread_mm

    @property
    def e_n(self) -> float:
        """E_n number: the difference per its expanded uncertainty, k = 2."""
        expanded = math.hypot(EXPANSION * self.u_measured_mm, EXPANSION * self.u_taped_mm)
        return self.difference_mm / expanded

    @property
    def outcome(self) -> Outcome:
        """What the zeta score means."""
        size = abs(self.zeta)
        if size <= WARNING:
            return Outcome.AGREES
        return Outcome.DOUBTFUL if size < ACTION else Outcome.DISAGREES


def in_words(check: Check, name: str, display: Display = Display.MM) -> tuple[str, ...]:
    """Say what a check found.

    Parameters
    ----------
    check : Check
    name : str
        Of the line.
    display : Display, optional

    Returns
    -------
    tuple of str
        The verdict, the numbers, and what to do.
    """
    by = said_length(abs(check.difference_mm), display)
    side = "longer" if check.difference_mm > 0.0 else "shorter"
    measured = said_length(check.measured_mm, display)
    taped = said_length(check.taped_mm, display)
    halves = [
        said_half(EXPANSION * u, display) for u in (check.u_measured_mm, check.u_taped_mm)
    ]
    return (
        f"{name}: the tape {_VERDICT[check.outcome]}.",
        f"Measured {measured} ± {halves[0]}, taped {taped} ± {halves[1]} (expanded "
        f"uncertainties, k = 2): the photo says {by} {side}.",
        f"Zeta score {check.zeta:+.2f} (within ±2 agrees, beyond ±3 does not); E_n number "
        f"{check.e_n:+.2f} (within ±1 agrees).",
        _ADVICE[check.outcome],
    )


_VERDICT: Final = {
    Outcome.AGREES: "agrees with the photo",
    Outcome.DOUBTFUL: "hardly agrees with the photo",
    Outcome.DISAGREES: "does not agree with the photo",
}

_ADVICE: Final = {
    Outcome.AGREES: "Nothing speaks against either. As a reference it makes the other "
    "lines surer.",
    Outcome.DOUBTFUL: "About one honest check in twenty looks like this. Tape it once more "
    "and look where the line's ends were picked before you use it.",
    Outcome.DISAGREES: "One of the two is wrong. Tape it once more, and check the ends of "
    "the line, how far it hangs in front of the wall, and the other references. Do not cut "
    "to either.",
}


def check_line(
    elevation: MeasuredElevation, name: str, taped_mm: float, u_taped_mm: float
) -> Check:
    """Hold a taped length against a measured line.

    Parameters
    ----------
    elevation : MeasuredElevation
    name : str
        Of the line.
    taped_mm, u_taped_mm : float
        What the tape read, and its standard uncertainty.

    Returns
    -------
    Check

    Raises
    ------
    InputError
        If there is no such line or the numbers cannot be.
    """
    line = _found(elevation, name)
    return Check(
        measured_mm=line.length_mm,
        u_measured_mm=line.u_mm,
        taped_mm=taped_mm,
        u_taped_mm=u_taped_mm,
    )


def as_reference(
    elevation: MeasuredElevation, name: str, taped_mm: float, u_taped_mm: float
) -> dict[str, Any]:
    """Return a taped line as a reference of the job file.

    It lies in the plane where the line hangs, so that plane has to be known.

    Parameters
    ----------
    elevation : MeasuredElevation
    name : str
        Of a straight line.
    taped_mm, u_taped_mm : float

    Returns
    -------
    dict
        A ``distance``.

    Raises
    ------
    InputError
        As :func:`check_line`, and for a bent line or one whose plane was assumed.
    """
    check_line(elevation, name, taped_mm, u_taped_mm)
    line = _found(elevation, name)
    if bent(line.points_mm[:, :2]):
        raise BadReference(
            f"line {name!r}",
            "is bent, and a tape from end to end does not follow it",
            "tape one straight line of it",
        )
    if line.trace.hanging.assumed:
        raise BadReference(
            f"line {name!r}",
            "hangs nobody said how far in front of the wall, so its length does not give "
            "the wall's scale",
            "state that distance or trace the soffit, or tape along the wall itself",
        )
    depth_mm, sd_mm = _depth(elevation, line)
    picks = line.trace.picks_px
    reference: dict[str, Any] = {
        "kind": "distance",
        "name": f"tape on {name}"[:100],
        "ends": [[round(float(v), 3) for v in picks[i]] for i in (0, -1)],
        "length_mm": taped_mm,
        "sd_mm": u_taped_mm,
        "direction": str(TapeDirection.FREE),
        "projection_mm": round(depth_mm, 3),
    }
    return reference | ({"projection_sd_mm": round(sd_mm, 3)} if sd_mm else {})


def _depth(elevation: MeasuredElevation, line: MeasuredLine) -> tuple[float, float]:
    """Return how far a line hangs in front of the wall, and its standard uncertainty."""
    hanging = line.trace.hanging
    if hanging.soffit is None:
        return hanging.mean_mm, hanging.sd_mm
    solution = elevation.solution
    row = solution.factor[solution.network.column(f"{hanging.soffit}: overhang")]
    return solution.value(f"{hanging.soffit}: overhang"), float((row @ row) ** 0.5)


def _found(elevation: MeasuredElevation, name: str) -> MeasuredLine:
    lines = {line.name: line for line in elevation.measured}
    if name not in lines:
        raise UnknownName(f"{elevation.name}: line", name, lines)
    return lines[name]
