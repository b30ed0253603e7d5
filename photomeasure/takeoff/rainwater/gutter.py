"""What a gutter can carry, and how its outlets divide it.

References
----------
BS EN 12056-3:2000: capacity of half-round eaves gutters and its reductions. The values
and the source of each are in the rules file under ``rainwater``.
"""

import math
from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

from calibration.errors import InputError
from photomeasure.takeoff.measured import check_positive
from photomeasure.takeoff.rules import Rulebook


@dataclass(frozen=True, slots=True, kw_only=True)
class Gutter:
    """A gutter's section.

    Attributes
    ----------
    name : str
    depth_mm : float
        Of the section, > 0.
    capacity_l_s : float or None
        Design capacity, level with a free outlet at one end, if its maker states it.
    half_round_mm : float or None
        Width of a half-round section; None for any other shape.
    """

    name: str
    depth_mm: float
    capacity_l_s: float | None = None
    half_round_mm: float | None = None

    def __post_init__(self) -> None:
        check_positive(self.name, "depth in mm", self.depth_mm)
        if self.capacity_l_s is not None:
            check_positive(self.name, "capacity in l/s", self.capacity_l_s)
        if self.half_round_mm is not None:
            check_positive(self.name, "width in mm", self.half_round_mm)


def half_round(size_mm: float) -> Gutter:
    """Return a true half-round gutter of a nominal size."""
    check_positive("gutter", "size in mm", size_mm)
    return Gutter(
        name=f"{size_mm:g} mm half-round",
        depth_mm=size_mm / 2.0,
        half_round_mm=size_mm,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class GutterRun:
    """One straight run, or several round corners, from stop end to stop end.

    Attributes
    ----------
    name : str
    length_mm : float
        > 0.
    outlets_mm : tuple of float
        Places of the outlets from the left end, ascending.
    corners_mm : tuple of float
        Places of angles, ascending; none at an end.
    """

    name: str
    length_mm: float
    outlets_mm: tuple[float, ...]
    corners_mm: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        check_positive(self.name, "length in mm", self.length_mm)
        if not self.outlets_mm:
            raise InputError(
                self.name, "the gutter has no outlet", "say where its outlets are"
            )
        for places, what in ((self.outlets_mm, "outlet"), (self.corners_mm, "angle")):
            for place in places:
                if not 0.0 <= place <= self.length_mm:
                    raise InputError(
                        self.name,
                        f"the {what} at {place:g} mm is off the gutter",
                        f"give a place from 0 to {self.length_mm:g} mm",
                    )
            if any(b <= a for a, b in pairwise(places)):
                raise InputError(
                    self.name,
                    f"two places of an {what} coincide or go back",
                    "list each once, from the left end on",
                )


@dataclass(frozen=True, slots=True)
class Stretch:
    """Gutter that drains to one outlet from one side.

    Attributes
    ----------
    outlet : int
        Index of the outlet.
    length_mm : float
        Length that is drained.
    corners_mm : tuple of float
        Distance of each angle on the way from the outlet.
    """

    outlet: int
    length_mm: float
    corners_mm: tuple[float, ...]


def stretches(run: GutterRun) -> tuple[Stretch, ...]:
    """Return the stretches of a level gutter: it divides halfway between outlets.

    Parameters
    ----------
    run : GutterRun

    Returns
    -------
    tuple of Stretch
        Those of no length left out.

    Examples
    --------
    >>> centre = GutterRun(name="front", length_mm=8000.0, outlets_mm=(4000.0,))
    >>> [s.length_mm for s in stretches(centre)]
    [4000.0, 4000.0]
    """
    outlets = run.outlets_mm
    divides = [0.0, *((a + b) / 2.0 for a, b in pairwise(outlets)), run.length_mm]
    found = []
    for index, (outlet, (left, right)) in enumerate(
        zip(outlets, pairwise(divides), strict=True)
    ):
        for start, end in ((left, outlet), (outlet, right)):
            away = sorted(
                abs(corner - outlet) for corner in run.corners_mm if start <= corner <= end
            )
            found.append(Stretch(index, end - start, tuple(away)))
    return tuple(stretch for stretch in found if stretch.length_mm > 0.0)


CAPACITY_KEYS = (
    "rainwater.half_round_coefficient",
    "rainwater.half_round_exponent",
    "rainwater.design_share",
)
REDUCTION_KEYS = (
    "rainwater.length_factors",
    "rainwater.corner_near_mm",
    "rainwater.corner_near_factor",
    "rainwater.corner_factor",
)


def nominal_capacity_l_s(size_mm: float, rules: Rulebook) -> float:
    """Return the nominal capacity of a level half-round gutter, before the design share.

    Parameters
    ----------
    size_mm : float
        Width.
    rules : Rulebook

    Returns
    -------
    float
        Litres a second: coefficient times area to the power of the exponent.
    """
    area_mm2 = math.pi * size_mm**2 / 8.0
    coefficient, exponent, _ = map(rules.number, CAPACITY_KEYS)
    return float(coefficient * area_mm2**exponent)


def capacity_l_s(gutter: Gutter, rules: Rulebook) -> float | None:
    """Return the design capacity of a short straight gutter; None if it is not known."""
    if gutter.capacity_l_s is not None:
        return gutter.capacity_l_s
    if gutter.half_round_mm is None:
        return None
    share = rules.number("rainwater.design_share")
    return share * nominal_capacity_l_s(gutter.half_round_mm, rules)


def length_factor(length_mm: float, depth_mm: float, rules: Rulebook) -> float | None:
    """Return what is left of the capacity of a long gutter.

    Parameters
    ----------
    length_mm, depth_mm : float
        Drained length and depth of the section.
    rules : Rulebook

    Returns
    -------
    float or None
        1 for a short gutter; None beyond the longest that is tabled.
    """
    rows = [(float(x), float(y)) for x, y in rules.table("rainwater.length_factors")]
    ratio = length_mm / depth_mm
    if ratio <= rows[0][0]:
        return rows[0][1]
    if ratio > rows[-1][0]:
        return None
    above = min(bisect_right([x for x, _ in rows], ratio), len(rows) - 1)
    (x0, y0), (x1, y1) = rows[above - 1 : above + 1]
    return y0 + (y1 - y0) * (ratio - x0) / (x1 - x0)


def corner_factor(corners_mm: Iterable[float], rules: Rulebook) -> float:
    """Return what angles on the way leave of the capacity.

    Parameters
    ----------
    corners_mm : iterable of float
        Distance of each from the outlet.
    rules : Rulebook

    Returns
    -------
    float
        Product over the angles. No source was found for several: this is the safe
        reading, as is counting an angle exactly at the limit as near.
    """
    near_mm = rules.number("rainwater.corner_near_mm")
    near = rules.number("rainwater.corner_near_factor")
    far = rules.number("rainwater.corner_factor")
    return math.prod(near if away <= near_mm else far for away in corners_mm)
