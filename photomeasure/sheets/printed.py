"""How large a sheet really came out of the printer.

Each sheet carries two check lines. What a ruler says of them gives the scale of the
print in each direction; without it the print may have been shrunk, and every length
carries that doubt, common to all sheets of the printer.
"""

from dataclasses import dataclass
from typing import Final

from calibration.errors import BadReference

LINE_A_MM: Final = 170.0
"""The check line across the sheet, as drawn."""

LINE_B_MM: Final = 230.0
"""The check line up the sheet, as drawn."""

READING_SD_MM: Final = 0.5
"""A ruler in whole millimetres read at both ends: 0.29 mm each as a rectangular
distribution (JCGM 100:2008, 4.3.7), and the line's own width."""

UNMEASURED_SD: Final = 0.02
"""Scale of a print that nobody measured: engines are specified to 2 or 3 %, and 'fit to
page' shrinks by 3 to 6 % (user reports and from memory; no standard). Two standard
deviations cover the usual fit. A guess that a ruler replaces."""

BETWEEN_AXES_SD: Final = 0.003
"""Across against up: paper feed against scan, and paper that grew with the damp. From
memory."""

MOST_OFF: Final = 0.12
"""A reading further from the drawn line is of another line, or in inches."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintSize:
    """What is known of the size of a print.

    Attributes
    ----------
    line_a_mm, line_b_mm : float or None
        What a ruler says of the check lines; None if nobody measured.
    reading_sd_mm : float
        Standard uncertainty of such a reading.
    printer : str
        Prints of one name share one scale error.
    """

    line_a_mm: float | None = None
    line_b_mm: float | None = None
    reading_sd_mm: float = READING_SD_MM
    printer: str = "the printer"

    def __post_init__(self) -> None:
        """Refuse readings that cannot be of these lines."""
        for name, read, drawn in (
            ("line A", self.line_a_mm, LINE_A_MM),
            ("line B", self.line_b_mm, LINE_B_MM),
        ):
            if read is not None and not abs(read / drawn - 1.0) <= MOST_OFF:
                raise BadReference(
                    f"check {name}",
                    f"{read:g} mm is far from the {drawn:g} mm that were drawn",
                    "measure between the outer ticks, in millimetres",
                )

    @property
    def measured(self) -> bool:
        """Whether anybody held a ruler to it."""
        return self.line_a_mm is not None or self.line_b_mm is not None

    def scale(self) -> "PrintScale":
        """Return factor and standard uncertainties of the scale."""
        a = None if self.line_a_mm is None else self.line_a_mm / LINE_A_MM
        b = None if self.line_b_mm is None else self.line_b_mm / LINE_B_MM
        sd_a, sd_b = self.reading_sd_mm / LINE_A_MM, self.reading_sd_mm / LINE_B_MM
        apart = BETWEEN_AXES_SD
        if a is not None and b is not None:
            return PrintScale(across=a, up=b, across_sd=sd_a, up_sd=sd_b)
        if a is not None:
            return PrintScale(across=a, up=a, sd=sd_a, up_sd=apart)
        if b is not None:
            return PrintScale(across=b, up=b, sd=sd_b, across_sd=apart)
        # Two errors of this size differ by the stated spread between the axes.
        each = apart / 2.0**0.5
        return PrintScale(across=1.0, up=1.0, sd=UNMEASURED_SD, across_sd=each, up_sd=each)


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintScale:
    """Scale of a print.

    Attributes
    ----------
    across, up : float
        Printed per drawn size.
    sd : float
        Relative standard uncertainty of both together.
    across_sd, up_sd : float
        Of each alone, independent.
    """

    across: float
    up: float
    sd: float = 0.0
    across_sd: float = 0.0
    up_sd: float = 0.0
