"""How much a board grows and shrinks, and the gap that this takes."""

import math
from dataclasses import dataclass

from calibration.errors import InputError
from photomeasure.takeoff.measured import check_not_negative, check_positive

COLDEST_C, HOTTEST_C = -60.0, 120.0
"""Beyond these no board on a house gets."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Climate:
    """Temperatures of a board: at fitting and at the extremes of its surface.

    Attributes
    ----------
    coldest_c, hottest_c : float
    fitting_c : float
        Between the two.
    """

    coldest_c: float
    hottest_c: float
    fitting_c: float

    def __post_init__(self) -> None:
        order = (COLDEST_C, self.coldest_c, self.fitting_c, self.hottest_c, HOTTEST_C)
        if not all(map(math.isfinite, order)) or list(order) != sorted(order):
            raise InputError(
                "movement",
                f"a board fitted at {self.fitting_c:g} °C is not between its coldest, "
                f"{self.coldest_c:g} °C, and its hottest, {self.hottest_c:g} °C",
                f"give temperatures from {COLDEST_C:g} to {HOTTEST_C:g} °C in that order",
            )

    @property
    def warming_k(self) -> float:
        """From fitting to the hottest."""
        return self.hottest_c - self.fitting_c

    @property
    def cooling_k(self) -> float:
        """From fitting to the coldest."""
        return self.fitting_c - self.coldest_c


def growth_mm(length_mm: float, coefficient_per_k: float, warming_k: float) -> float:
    """Return how much a board grows; negative as it cools.

    Parameters
    ----------
    length_mm : float
        >= 0.
    coefficient_per_k : float
        Linear expansion, > 0, first order.
    warming_k : float

    Returns
    -------
    float

    Examples
    --------
    >>> growth_mm(5000.0, 60e-6, 30.0)
    9.0
    """
    check_not_negative("movement", "length in mm", length_mm)
    check_positive("movement", "coefficient per K", coefficient_per_k)
    return length_mm * coefficient_per_k * warming_k


def closing_length_mm(boards_mm: tuple[float, ...]) -> float:
    """Return the length whose growth closes a gap between boards held in the middle.

    Parameters
    ----------
    boards_mm : tuple of float
        The boards that meet at the gap: two at a joint, one at a wall.

    Returns
    -------
    float
        Half of each board moves towards the gap.
    """
    return sum(boards_mm) / 2.0


def gap_needed_mm(
    moving_mm: float, coefficient_per_k: float, climate: Climate
) -> tuple[float, float]:
    """Return the least gap at fitting, and how wide it then is at the coldest.

    Parameters
    ----------
    moving_mm : float
        Length of board whose growth closes the gap.
    coefficient_per_k : float
    climate : Climate

    Returns
    -------
    tuple of float
        Millimetres.
    """
    gap = growth_mm(moving_mm, coefficient_per_k, climate.warming_k)
    return gap, gap + growth_mm(moving_mm, coefficient_per_k, climate.cooling_k)


def warming_to_close_k(gap_mm: float, moving_mm: float, coefficient_per_k: float) -> float:
    """Return the warming after which a gap is shut.

    Examples
    --------
    >>> round(warming_to_close_k(10.0, 5000.0, 60e-6), 1)
    33.3
    """
    check_not_negative("movement", "gap in mm", gap_mm)
    check_positive("movement", "length in mm", moving_mm)
    return gap_mm / (moving_mm * coefficient_per_k)
