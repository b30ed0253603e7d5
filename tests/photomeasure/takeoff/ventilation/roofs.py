"""Roofs to judge: a plain one, changed in one respect at a time."""

import math
from dataclasses import replace

from photomeasure.job.ventilation import CeilingSeal, RoofForm, UnderlayClass
from photomeasure.takeoff.measured import Measured
from photomeasure.takeoff.rules import load_rules
from photomeasure.takeoff.ventilation import Continuous, Roof, Run

UK = load_rules("uk")
USA = load_rules("usa")
IRELAND = load_rules("ireland")

PLAIN = Roof(
    form=RoofForm.DUOPITCH,
    ceiling=CeilingSeal.NORMAL,
    underlay=UnderlayClass.HIGH_RESISTANCE,
    pitch_rad=Measured(math.radians(30.0)),
    span_mm=Measured(8000.0),
)
"""Cold duopitch roof, underlay of high resistance, 30 degrees, 8 m: 10 mm at each eaves."""


def at(degrees: float, u_degrees: float = 0.0, roof: Roof = PLAIN) -> Roof:
    """Return a roof of this pitch."""
    return replace(roof, pitch_rad=Measured(math.radians(degrees), math.radians(u_degrees)))


def wide(metres: float, u_metres: float = 0.0, roof: Roof = PLAIN) -> Roof:
    """Return a roof of this span."""
    return replace(roof, span_mm=Measured(1000.0 * metres, 1000.0 * u_metres))


def strip(slot_mm: float) -> Continuous:
    """Return an over-fascia strip as free as a slot."""
    return Continuous(name="over-fascia strip", free_mm2_per_m=1000.0 * slot_mm)


def eaves(*means, length_mm: float = 10_000.0, u_mm: float = 0.0) -> Run:
    """Return an eaves with these means."""
    return Run(name="front", length_mm=Measured(length_mm, u_mm), means=means)
