"""Boards on the joint distribution of lengths: chance of running short, what to tape."""

from photomeasure.takeoff.shortage.draws import Draws, draw_lengths
from photomeasure.takeoff.shortage.needs import Need, boards_needed
from photomeasure.takeoff.shortage.report import Verdicts, judge

__all__ = ["Draws", "Need", "Verdicts", "boards_needed", "draw_lengths", "judge"]
