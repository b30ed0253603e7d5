"""Thermal movement of boards, and whether the usual expansion gap is enough."""

from photomeasure.takeoff.movement.expansion import (
    Climate,
    closing_length_mm,
    gap_needed_mm,
    growth_mm,
    warming_to_close_k,
)
from photomeasure.takeoff.movement.judge import Gap, Substance, Tone, judge_gap

__all__ = [
    "Climate",
    "Gap",
    "Substance",
    "Tone",
    "closing_length_mm",
    "gap_needed_mm",
    "growth_mm",
    "judge_gap",
    "warming_to_close_k",
]
