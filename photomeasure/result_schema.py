"""The result, version 1, as data: what ``photomeasure measure --json`` prints.

``photomeasure schema --result`` prints the JSON Schema made from these classes; the
result itself is written by :mod:`photomeasure.result_json`, and tests hold the two
together.
"""

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from photomeasure.job.schema import Role

Sd = Annotated[float, Field(ge=0, allow_inf_nan=False)]
Count = Annotated[int, Field(ge=0)]
Interval = Annotated[
    tuple[float, float], Field(description="95 % interval: its low and its high end")
]
Point = tuple[float, float, float]


class _Exact(BaseModel):
    """Every word is listed: a new one is a change of the format."""

    model_config = ConfigDict(extra="forbid")


class CameraOut(_Exact):
    """The camera as adjusted, in front of the wall."""

    focal_px: float = Field(gt=0)
    focal_sd_px: Sd
    centre_px: tuple[float, float] = Field(description="principal point")
    distortion_k1: float
    distortion_k2: float
    tilt_deg: float = Field(description="upwards positive")
    yaw_deg: float = Field(description="to the right of the wall's normal positive")
    roll_deg: float = Field(description="clockwise as held positive")
    standoff_mm: float = Field(gt=0, description="from the plane of the wall")


class FindingOut(_Exact):
    """The test of one possible error: a size in per cent, all else in millimetres."""

    of: Literal["size", "pick", "line"]
    pick: Count | None = Field(description="which pick, counted from 0")
    standardised_residual: float
    redundancy: float = Field(description="share of an error that shows, 0 to 1")
    estimated_error_percent: float | None = None
    smallest_error_found_percent: float | None = None
    estimated_error_mm: float | None = None
    smallest_error_found_mm: float | None = None


class ReferenceOut(_Exact):
    """How one reference agrees with the others."""

    name: str
    kind: str
    redundancy: float
    standardised_residual: float | None = Field(description="of its worst finding")
    suspect: bool
    worst: FindingOut | None
    size: FindingOut | None


class AdjustmentOut(_Exact):
    """How the references agree."""

    variance_factor: Sd = Field(description="one is expected")
    degrees_of_freedom: Count
    global_test_passed: bool
    widened_by: float = Field(ge=1, description="factor on every uncertainty")
    references: list[ReferenceOut]


class ProjectionOut(_Exact):
    """How far a line hangs in front of the wall, and who says so."""

    source: Literal["soffit", "assumed", "stated"] = Field(alias="from")
    mm: float


class LineOut(_Exact):
    """A measured line."""

    name: str
    role: Role
    length_mm: float = Field(gt=0)
    u_mm: Sd = Field(description="standard uncertainty")
    u_model_mm: Sd = Field(description="the part that picking again does not reduce")
    u_sampling_mm: Sd = Field(description="the part of picks and single references")
    interval95_mm: Interval
    pitch_deg: float | None = Field(description="null for a bent line")
    pitch_u_deg: Sd | None
    segments_mm: list[float]
    points_mm: list[Point]
    projection: ProjectionOut
    budget_mm: dict[str, Sd] = Field(description="what the uncertainty consists of")


class RefusedLineOut(_Exact):
    """A line without a length."""

    name: str
    role: Role
    refused: str = Field(description="why, in one sentence")


class SoffitOut(_Exact):
    """A soffit."""

    name: str
    overhang_mm: float
    u_mm: Sd
    height_mm: float
    height_u_mm: Sd
    height_above: str


class RakeOut(_Exact):
    """A rake by its traced edge and by half span and pitch."""

    name: str
    traced_mm: float
    half_span_and_pitch_mm: float
    difference_mm: float
    difference_u_mm: Sd
    agrees: bool


class GableOut(_Exact):
    """Two rakes that meet."""

    span_mm: float
    span_u_mm: Sd
    pitch_deg: float
    pitch_u_deg: Sd
    rakes: list[RakeOut]


class NextOut(_Exact):
    """The one further reference that would help most."""

    kind: str
    what: str
    line: str
    u_now_mm: Sd
    u_then_mm: Sd


class ElevationOut(_Exact):
    """A measured elevation."""

    name: str
    size_px: tuple[int, int]
    camera: CameraOut
    adjustment: AdjustmentOut
    lines: list[LineOut | RefusedLineOut]
    soffits: list[SoffitOut]
    gables: list[GableOut]
    best_next_reference: NextOut | None
    cautions: list[str]


class ErrorOut(_Exact):
    """Why an elevation was not measured."""

    cause: Literal["input", "references"]
    message: str


class RefusedElevationOut(_Exact):
    """An elevation that was not measured."""

    name: str
    error: ErrorOut


class PhotoLengthOut(_Exact):
    """One photo's word on a line."""

    elevation: str
    length_mm: float
    u_mm: Sd


class CombinedOut(_Exact):
    """One line in several photos."""

    name: str
    role: Role
    length_mm: float
    u_mm: Sd
    interval95_mm: Interval
    photos: list[PhotoLengthOut]
    zeta_score: Sd
    agrees: bool


class TotalOut(_Exact):
    """All lines of a role, each real line once."""

    role: Role
    lines: Count
    length_mm: float
    u_mm: Sd
    interval95_mm: Interval


class ResultOut(_Exact):
    """A measured job."""

    photomeasure_result: Literal[1]
    title: str
    elevations: list[ElevationOut | RefusedElevationOut]
    combined: list[CombinedOut]
    totals: list[TotalOut]
    cautions: list[str]
