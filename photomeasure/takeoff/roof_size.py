"""Pitch and span of a house with their spread."""

from typing import Final

from photomeasure.takeoff.house import House
from photomeasure.takeoff.measured import Measured

PITCH_U_RAD: Final = 0.02
"""Of a measured pitch that comes without a spread: about 1 degree. No source; it only
widens what counts as near a limit."""

SPAN_U_SHARE: Final = 0.02
"""Likewise of a span."""


def pitch_of(house: House) -> Measured | None:
    """Return the pitch, radians; exact if the job states it."""
    if house.pitch_rad is None:
        return None
    usual = PITCH_U_RAD if house.spec.roof.pitch_deg is None else 0.0
    u = usual if house.pitch_u_rad is None else house.pitch_u_rad
    return Measured(house.pitch_rad, u)


def span_of(house: House) -> Measured | None:
    """Return the span, millimetres; exact if the job states it."""
    if house.span_mm is None:
        return None
    usual = SPAN_U_SHARE * house.span_mm if house.spec.roof.span_mm is None else 0.0
    u = usual if house.span_u_mm is None else house.span_u_mm
    return Measured(house.span_mm, u)
