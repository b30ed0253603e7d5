"""The take-off, version 1, as data: what ``photomeasure takeoff --json`` prints.

``photomeasure schema --takeoff`` prints the JSON Schema made from these classes, and the
take-off itself is written through them, so that the two cannot differ. Amounts and
prices are text: no digit of them is lost on the way.
"""

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from photomeasure.takeoff.model import End, Hand, Section, Unit

Millimetres = Annotated[int, Field(ge=0)]
Share = Annotated[float, Field(ge=0, le=1, allow_inf_nan=False)]
Sd = Annotated[float, Field(ge=0, allow_inf_nan=False)]
Degrees = Annotated[float, Field(ge=0, le=90, allow_inf_nan=False)]
Finite = Annotated[float, Field(allow_inf_nan=False)]
Amount = Annotated[str, Field(pattern=r"^\d+(\.\d+)?$")]


class Exact(BaseModel):
    """Every word is listed: a new one is a change of the format."""

    model_config = ConfigDict(extra="forbid")


class MaterialOut(Exact):
    """What a piece is cut from."""

    board: str
    width_mm: Millimetres
    colour: str


class QuantityOut(Exact):
    """How much of one item, and why."""

    code: str = Field(description="key of the price book")
    description: str
    section: Section
    unit: Unit
    amount: Amount = Field(description="before it is rounded up to packs")
    lines: list[str] = Field(description="measured lines that it comes from")
    rules: list[str] = Field(description="keys of the rules that were used")
    working: str = Field(description="the sum, for a person to do again")


class PieceOut(Exact):
    """A finished piece of board."""

    name: str
    line: str
    material: MaterialOut
    long_point_mm: Millimetres
    short_point_mm: Millimetres
    start: End = Field(description="from the left, or from the foot")
    end: End
    start_angle_deg: Degrees = Field(description="between the cut and a square cut")
    end_angle_deg: Degrees
    hand: Hand
    u_mm: Sd = Field(description="standard uncertainty of the length as measured")
    note: str
    part: str = Field(description="with along_mm, its cut in the plan")
    along_mm: Millimetres


class ShapeOut(Exact):
    """A flat piece."""

    name: str
    line: str
    material: MaterialOut
    corners_mm: list[tuple[Finite, Finite]] = Field(description="anticlockwise")
    hand: Hand
    note: str


class CutOut(Exact):
    """One piece on a board."""

    part: str
    along_mm: Millimetres
    start_mm: Millimetres = Field(description="from the untrimmed end of the board")
    length_mm: Millimetres


class BoardOut(Exact):
    """One board and what is cut from it."""

    number: int = Field(ge=1)
    material: MaterialOut
    length_mm: Millimetres
    in_hand: bool
    price: str | None
    cuts: list[CutOut]
    offcut_mm: Millimetres


class GoalOut(Exact):
    """How good the plan of a material is known to be."""

    material: MaterialOut
    joints: int
    joints_bound: int
    cost: str = Field(description="money if priced, else millimetres of bought board")
    cost_bound: str
    offcut_mm: Millimetres = Field(description="longest worth keeping; 0 if none is")
    offcut_bound_mm: Millimetres
    priced: bool
    proven: bool
    cut_short: bool = Field(description="by the clock: a faster computer may differ")


class VerdictOut(Exact):
    """Whether something is enough."""

    subject: str
    passed: bool | None
    required: Finite | None
    provided: Finite | None
    unit: str
    clause: str
    source: str
    sentence: str
    rules: list[str] = Field(description="keys of the rules that were used")


class ShortageOut(Exact):
    """Chance of running short."""

    material: MaterialOut
    stock_length_mm: Millimetres
    boards: int
    chance: Share = Field(description="an upper bound where at_least is less")
    at_least: Share


class DecidingOut(Exact):
    """The length that settles most if taped."""

    line: str
    chance_now: Share = Field(description="that the likelier number of boards is wrong")
    chance_taped: Share


class StopOut(Exact):
    """Why lines were not taken off."""

    lines: list[str] = Field(description="elevation: line, or an elevation alone")
    reason: str


class RuleOut(Exact):
    """A rule as it was used."""

    key: str
    value: str
    unit: str
    source: str
    overridden: bool


class TakeoffOut(Exact):
    """A take-off."""

    photomeasure_takeoff: Literal[1]
    title: str
    country: str
    stops: list[StopOut]
    quantities: list[QuantityOut]
    pieces: list[PieceOut]
    shapes: list[ShapeOut]
    boards: list[BoardOut] = Field(description="the cutting plan")
    goals: list[GoalOut]
    verdicts: list[VerdictOut]
    shortages: list[ShortageOut]
    deciding: DecidingOut | None
    cautions: list[str]
    rules: list[RuleOut]
