"""The job file's words for gutters and downpipes; left out, nothing is judged."""

from enum import StrEnum
from typing import Annotated, Self

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from photomeasure.job.scalars import Millimetres, Name, Number, Strict, YesNo

MAX_LINES, MAX_OUTLETS = 300, 50
"""Entries of the lists; more are a mistake."""


class Spot(StrEnum):
    """A place on a gutter that needs no measuring."""

    LEFT = "left end"
    MIDDLE = "middle"
    RIGHT = "right end"


Place = Spot | Annotated[Number, Field(ge=0, le=1e6)]


class GutterWork(StrEnum):
    """What becomes of the gutters."""

    REFIT = "take down and refit"
    RENEW = "renew"


class GutterSpec(Strict):
    """The gutter: true half-round, or any other whose maker states its capacity."""

    half_round_mm: Annotated[Number, Field(ge=40, le=400)] | None = None
    name: Annotated[str, Field(min_length=1, max_length=60)] | None = None
    depth_mm: Annotated[Number, Field(ge=20, le=400)] | None = None
    capacity_l_s: Annotated[Number, Field(gt=0, le=100)] | None = Field(
        default=None, description="design capacity: level, short, one end outlet"
    )

    @model_validator(mode="after")
    def _one_kind(self) -> Self:
        if (self.half_round_mm is None) == (self.depth_mm is None):
            kind = "gutter"
            raise PydanticCustomError(kind, "give half_round_mm, or depth_mm with a name")
        return self


class GutterLine(Strict):
    """The gutter of one measured eaves."""

    name: Name = Field(description="of the eaves line")
    outlets: Annotated[list[Place], Field(min_length=1, max_length=MAX_OUTLETS)] = Field(
        description="places: millimetres from the left end, seen from outside, or a word"
    )
    angles: Annotated[list[Place], Field(max_length=MAX_OUTLETS)] = Field(
        default_factory=list,
        description="places where the gutter turns on its way; corners at its ends are "
        "those of the eaves",
    )
    plan_width_mm: Millimetres | None = Field(
        default=None, description="eaves to ridge, level; left out, half the span"
    )
    wall_mm2: Annotated[Number, Field(ge=0, le=1e10)] = Field(
        default=0.0, description="wall that stands above this slope"
    )


class RainwaterSpec(Strict):
    """What becomes of the gutters and what they are judged by."""

    work: GutterWork
    gutter: GutterSpec | None = None
    lines: Annotated[list[GutterLine], Field(max_length=MAX_LINES)] = Field(
        default_factory=list
    )
    outlet_mm: Annotated[Number, Field(ge=20, le=300)] | None = Field(
        default=None, description="bore"
    )
    outlet_l_s: Annotated[Number, Field(gt=0, le=100)] | None = Field(
        default=None, description="capacity of an outlet, if its maker states it"
    )
    rain_mm_h: Annotated[Number, Field(ge=1, le=1000)] | None = Field(
        default=None, description="design storm of the place"
    )
    snow: YesNo = Field(default=False, description="brackets closer together")
    downpipes: YesNo = Field(default=False, description="renew the downpipes too")
