"""Rainwater: what comes off a roof, what a gutter carries, and what it is made of."""

from photomeasure.takeoff.rainwater.catchment import (
    Catchment,
    effective_area_mm2,
    flow_l_s,
    rain_from_mm_h,
    slope_factor,
    wall_area_mm2,
)
from photomeasure.takeoff.rainwater.fittings import (
    GutterParts,
    GutterRules,
    PipeParts,
    bracket_places_mm,
    gutter_parts,
    pipe_parts,
)
from photomeasure.takeoff.rainwater.gutter import (
    Gutter,
    GutterRun,
    Stretch,
    capacity_l_s,
    corner_factor,
    half_round,
    length_factor,
    nominal_capacity_l_s,
    stretches,
)
from photomeasure.takeoff.rainwater.judge import Drainage, judge_drainage
from photomeasure.takeoff.rainwater.table import Row, gutter_table, smallest_for

__all__ = [
    "Catchment",
    "Drainage",
    "Gutter",
    "GutterParts",
    "GutterRules",
    "GutterRun",
    "PipeParts",
    "Row",
    "Stretch",
    "bracket_places_mm",
    "capacity_l_s",
    "corner_factor",
    "effective_area_mm2",
    "flow_l_s",
    "gutter_parts",
    "gutter_table",
    "half_round",
    "judge_drainage",
    "length_factor",
    "nominal_capacity_l_s",
    "pipe_parts",
    "rain_from_mm_h",
    "slope_factor",
    "smallest_for",
    "stretches",
    "wall_area_mm2",
]
