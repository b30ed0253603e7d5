"""How much rain a gutter has to carry.

References
----------
BS EN 12056-3:2000 as quoted on trade pages: rain falls two down for one across, so that
a slope catches as much as its plan and half its elevation. Approved Document H3 table 1
(from memory) has the same factors: 1.29 at 30 degrees, 1.50 at 45, 1.87 at 60.
"""

import math
from dataclasses import dataclass

from calibration.errors import InputError
from photomeasure.takeoff.measured import Measured, check_not_negative, check_positive

MM2_PER_M2 = 1e6


@dataclass(frozen=True, slots=True, kw_only=True)
class Catchment:
    """The slope above one gutter, and walls that shed rain onto it.

    Attributes
    ----------
    name : str
    length_mm : Measured
        Along the eaves.
    width_mm : Measured
        Eaves to ridge, level.
    pitch_rad : Measured
        0 for a flat roof, below a right angle.
    wall_mm2 : float
        Area of walls that stand above the slope; half of it counts.
    """

    name: str
    length_mm: Measured
    width_mm: Measured
    pitch_rad: Measured
    wall_mm2: float = 0.0

    def __post_init__(self) -> None:
        check_positive(self.name, "length in mm", self.length_mm.value)
        check_positive(self.name, "plan width in mm", self.width_mm.value)
        if not 0.0 <= self.pitch_rad.value < math.pi / 2:
            raise InputError(
                self.name,
                f"a pitch of {math.degrees(self.pitch_rad.value):.1f}° is no roof's",
                "give one from 0° to below 90°; a wall goes in as a wall",
            )
        check_not_negative(self.name, "wall area in mm2", self.wall_mm2)


def slope_factor(pitch_rad: float) -> float:
    """Return effective area over plan area.

    Parameters
    ----------
    pitch_rad : float

    Returns
    -------
    float

    Notes
    -----
    Used at every pitch. Approved Document H3 halves the elevation instead from 70
    degrees on, which is less: this is the safe side of the two.

    Examples
    --------
    >>> round(slope_factor(math.radians(30.0)), 4)
    1.2887
    """
    return 1.0 + math.tan(pitch_rad) / 2.0


def wall_area_mm2(elevation_mm2: float) -> float:
    """Return the effective area of a wall: half of what stands there."""
    return elevation_mm2 / 2.0


def effective_area_mm2(catchment: Catchment) -> Measured:
    """Return the effective area.

    Parameters
    ----------
    catchment : Catchment

    Returns
    -------
    Measured
        Square millimetres. First order; the spreads of length, width and pitch are added,
        not squared, since all come from one scale: at most too wide.
    """
    length, width = catchment.length_mm, catchment.width_mm
    pitch = catchment.pitch_rad.value
    factor = slope_factor(pitch)
    slope = length.value * width.value * factor
    per_rad = (1.0 / math.cos(pitch) ** 2) / 2.0 / factor
    relative = length.u / length.value + width.u / width.value
    u = slope * (relative + per_rad * catchment.pitch_rad.u)
    return Measured(slope + wall_area_mm2(catchment.wall_mm2), u)


def flow_l_s(area_mm2: Measured, rain_l_s_m2: float) -> Measured:
    """Return the flow of rain off an area.

    Parameters
    ----------
    area_mm2 : Measured
        Effective area.
    rain_l_s_m2 : float
        Intensity, litres a second on a square metre, > 0.

    Returns
    -------
    Measured
        Litres a second.

    Raises
    ------
    InputError
        If the intensity is not above zero.
    """
    check_positive("rainwater", "rain in l/s on a m2", rain_l_s_m2)
    factor = rain_l_s_m2 / MM2_PER_M2
    return Measured(area_mm2.value * factor, area_mm2.u * factor)


def rain_from_mm_h(rain_mm_h: float) -> float:
    """Return litres a second on a square metre for millimetres an hour.

    Examples
    --------
    >>> round(rain_from_mm_h(75.0), 4)
    0.0208
    """
    return rain_mm_h / 3600.0
