"""A house of two eaves, 8 m and 6 m, put together without a photograph."""

import math
from typing import Any

import numpy as np

from calibration.uncertain import Input, Uncertain
from photomeasure.job.takeoff import RunEnd, TakeoffSpec
from photomeasure.takeoff.cutting import Material
from photomeasure.takeoff.house import Eaves, House, Size
from photomeasure.takeoff.model import BoardPiece, End, Hand
from photomeasure.takeoff.parts import Work


def eaves(name: str, length_mm: float, start: RunEnd, end: RunEnd) -> Eaves:
    """Return an eaves of 5 mm standard uncertainty, 300 mm overhang, 4.9 m up."""
    tape = Input(key=f"{name} tape", label="tape", is_model=False)
    return Eaves(
        line=f"front: {name}",
        name=name,
        length=Uncertain(np.array([length_mm]), np.array([[5.0]]), (tape,)),
        start=start,
        end=end,
        fascia_depth=Size(200.0, 2.0, "stated"),
        overhang=Size(300.0, 5.0, "stated"),
        height_mm=4900.0,
        pitch_rad=None,
        taped=True,
    )


def house(pitch_deg: float | None = 30.0, **spec: Any) -> House:
    """Return a house 8 m wide whose two eaves meet at a corner."""
    return House(
        title="invented",
        spec=TakeoffSpec.model_validate(spec),
        eaves=(
            eaves("front eaves", 8000.0, RunEnd.GABLE, RunEnd.EXTERNAL),
            eaves("side eaves", 6000.0, RunEnd.EXTERNAL, RunEnd.GABLE),
        ),
        rakes=(),
        pitch_rad=None if pitch_deg is None else math.radians(pitch_deg),
        span_mm=8000.0,
        pitch_u_rad=0.0,
        span_u_mm=0.0,
        cautions=(),
    )


def piece(name: str, line: str, length_mm: int, colour: str = "white") -> BoardPiece:
    """Return a square-cut piece of fascia."""
    return BoardPiece(
        name=name,
        line=line,
        material=Material("fascia board", 200, colour),
        long_point_mm=length_mm,
        short_point_mm=length_mm,
        start=End.SQUARE,
        end=End.SQUARE,
        start_angle_rad=0.0,
        end_angle_rad=0.0,
        hand=Hand.NONE,
        u_mm=0.0,
    )


def work(*pieces: BoardPiece, pitch_deg: float | None = 30.0, **spec: Any) -> Work:
    """Return that house with these pieces."""
    return Work(
        house=house(pitch_deg, **spec), pieces=pieces, shapes=(), problem=None, plan=None
    )
