"""Eaves and gutters to judge."""

import math

from photomeasure.takeoff.measured import Measured
from photomeasure.takeoff.rainwater import Catchment, Drainage, GutterRun, half_round
from photomeasure.takeoff.rules import load_rules

UK = load_rules("uk")
USA = load_rules("usa")


def slope(
    length_mm: float = 8000.0, width_mm: float = 4000.0, degrees: float = 40.0, **more
) -> Catchment:
    """Return a slope without spread."""
    return Catchment(
        name="front",
        length_mm=Measured(length_mm),
        width_mm=Measured(width_mm),
        pitch_rad=Measured(math.radians(degrees)),
        **more,
    )


def run(
    *outlets_mm: float, length_mm: float = 8000.0, corners_mm: tuple[float, ...] = ()
) -> GutterRun:
    """Return a gutter with these outlets."""
    return GutterRun(
        name="front", length_mm=length_mm, outlets_mm=outlets_mm, corners_mm=corners_mm
    )


def drainage(size_mm: float, gutter_run: GutterRun, **more) -> Drainage:
    """Return the worked eaves, 8 m by 4 m at 40 degrees, with a half-round gutter."""
    more.setdefault("catchment", slope())
    return Drainage(run=gutter_run, gutter=half_round(size_mm), **more)
