"""Roof ventilation: what is called for, what is given, and how many pieces that takes."""

from photomeasure.takeoff.ventilation.attic import Attic, judge_attic
from photomeasure.takeoff.ventilation.counting import pieces_along, spaced_along
from photomeasure.takeoff.ventilation.judge import judge
from photomeasure.takeoff.ventilation.need import Demand, Need, need_of
from photomeasure.takeoff.ventilation.openings import Continuous, Means, Run, Spaced
from photomeasure.takeoff.ventilation.roof import Roof

__all__ = [
    "Attic",
    "Continuous",
    "Demand",
    "Means",
    "Need",
    "Roof",
    "Run",
    "Spaced",
    "judge",
    "judge_attic",
    "need_of",
    "pieces_along",
    "spaced_along",
]
