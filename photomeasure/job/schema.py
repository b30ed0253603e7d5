"""The job file, version 1, as data: the one place that defines the format.

``photomeasure schema`` prints the JSON Schema made from these classes.
"""

from enum import StrEnum
from typing import Annotated, Final, Literal

from pydantic import FailFast, Field

from calibration.priors import WALL_RELIEF_SD_MM
from calibration.references import CountDirection, TapeDirection
from photomeasure.job.scalars import WHOLE, Millimetres, Name, Number, YesNo
from photomeasure.job.scalars import Strict as _Strict
from photomeasure.job.takeoff import TakeoffSpec

FORMAT_VERSION = 1

MAX_PICKS = 20_000
"""Picks of one reference; more are a mistake, not a house."""

MAX_LINE_PICKS = 200
MAX_REFERENCES, MAX_LINES, MAX_SOFFITS = 150, 300, 50
"""Of one elevation; more than a terrace has, and adjusted in seconds."""

MAX_ELEVATIONS = 10_000
"""Elevations of one job; more are several jobs."""

Pixel = tuple[Number, Number]
"""x, y in the upright photo; (0, 0) is the centre of the top left pixel."""

WallCoordinate = Annotated[Number, Field(ge=-1e6, le=1e6)]
PositiveSd = Annotated[Number, Field(ge=1e-3, le=1e5)]
"""A micrometre or a thousandth of a pixel: who states less means something else."""

Sd = Annotated[Number, Field(ge=0, le=1e5)]
Projection = Annotated[Number, Field(ge=-1e5, le=1e5)]
RelativeSd = Annotated[Number, Field(ge=0, le=0.2)]
"""Of a scale; a fifth is no print but a mistake."""

FIRST_ONLY: Final = FailFast()
"""One wrong pick is told, not twenty thousand: a list of mistakes takes memory."""


class Role(StrEnum):
    """What a traced line is."""

    EAVES = "eaves"
    RAKE = "rake"
    VERGE = "verge"
    RIDGE = "ridge"
    HIP = "hip"
    VALLEY = "valley"
    FASCIA = "fascia"
    SOFFIT = "soffit"
    FASCIA_DEPTH = "fascia_depth"
    BOX_END = "box_end"
    GUTTER = "gutter"
    DOWNPIPE = "downpipe"
    OPENING = "opening"
    WALL = "wall"
    OTHER = "other"


Side = Annotated[int, Field(ge=16, le=100_000), WHOLE]


class CameraFacts(_Strict):
    """What is known of the camera beside what the photo itself says."""

    size_px: tuple[Side, Side] | None = Field(
        default=None, description="width and height of the upright photo"
    )
    focal_px: Annotated[Number, Field(gt=10, le=1e6)] | None = None
    focal_sd_px: PositiveSd | None = None
    focal_35mm: Annotated[Number, Field(ge=5, le=2000)] | None = None
    distortion_k1: Annotated[Number, Field(ge=-1, le=1)] | None = Field(
        default=None, description="first radial coefficient, OpenCV's convention"
    )
    distortion_k1_sd: Annotated[Number, Field(ge=1e-6, le=1)] | None = None
    centre_px: Pixel | None = Field(default=None, description="calibrated principal point")
    centre_sd_px: PositiveSd | None = None


class _Reference(_Strict):
    name: Name | None = None
    pick_sd_px: PositiveSd | None = None
    projection_mm: Projection = Field(
        default=0.0, description="its plane in front of the wall"
    )
    projection_sd_mm: PositiveSd | None = None


class PointsSpec(_Reference):
    """Wall points with known coordinates in a frame with its own origin."""

    kind: Literal["points"]
    picks: Annotated[list[Pixel], Field(min_length=2, max_length=MAX_PICKS), FIRST_ONLY]
    wall_mm: Annotated[
        list[tuple[WallCoordinate, WallCoordinate]],
        Field(min_length=2, max_length=MAX_PICKS),
        FIRST_ONLY,
    ]
    sd_mm: Sd = 2.0
    rotated: YesNo = False
    scale_sd: RelativeSd = Field(
        default=0.0, description="relative error that all coordinates share"
    )
    axis_scale_sd: tuple[RelativeSd, RelativeSd] = Field(
        default=(0.0, 0.0), description="the same of the first, the second alone"
    )
    scale_of: Name | None = Field(
        default=None, description="printer or drawing: the same name is the same error"
    )


class RectangleSpec(_Reference):
    """Four corners from bottom left, anticlockwise; either side may be unknown."""

    kind: Literal["rectangle"]
    corners: Annotated[list[Pixel], Field(min_length=4, max_length=4)]
    width_mm: Millimetres | None = None
    height_mm: Millimetres | None = None
    sd_mm: Sd = 3.0
    rotated: YesNo = False


Ends = Annotated[list[Pixel], Field(min_length=2, max_length=2)]


class DistanceSpec(_Reference):
    """A taped distance."""

    kind: Literal["distance"]
    ends: Ends
    length_mm: Millimetres
    sd_mm: Sd = 3.0
    direction: TapeDirection = TapeDirection.FREE


class LevelSpec(_Reference):
    """A level line."""

    kind: Literal["level"]
    ends: Ends
    sd_mm: Sd | None = None


class PlumbSpec(_Reference):
    """A plumb line."""

    kind: Literal["plumb"]
    ends: Ends
    sd_mm: Sd | None = None


class StraightSpec(_Reference):
    """A straight edge, for the lens."""

    kind: Literal["straight"]
    picks: Annotated[list[Pixel], Field(min_length=3, max_length=MAX_PICKS), FIRST_ONLY]
    sd_mm: Sd = 1.0


class CoursesSpec(_Reference):
    """Counted courses up a wall, or perpends along one."""

    kind: Literal["courses"]
    direction: CountDirection = CountDirection.UP
    picks: Annotated[list[Pixel], Field(min_length=2, max_length=MAX_PICKS), FIRST_ONLY]
    counts: Annotated[
        list[Annotated[Number, Field(ge=-1e5, le=1e5)]],
        Field(min_length=2, max_length=MAX_PICKS),
        FIRST_ONLY,
    ]
    format: Annotated[str, Field(max_length=100)] | None = Field(
        default=None, description="see 'photomeasure formats'"
    )
    gauge_mm: Millimetres | None = Field(
        default=None,
        description="one course with its joint, or one stretcher with its joint",
    )
    gauge_sd_mm: PositiveSd | None = None
    may_be: Annotated[list[Annotated[str, Field(max_length=100)]], Field(max_length=50)] = (
        Field(
            default_factory=list,
            description="formats that it may be, likeliest first, where gauge_mm is only "
            "their mean: a question that is open",
        )
    )
    taped_count: Annotated[int, Field(ge=1, le=10_000), WHOLE] | None = Field(
        default=None, description="how many courses were taped in one run"
    )
    taped_mm: Millimetres | None = Field(default=None, description="what the tape read")
    taped_sd_mm: PositiveSd = 3.0
    sd_mm: Sd | None = Field(default=None, description="scatter of one joint")


REFERENCE_KINDS: Final[dict[str, type[_Reference]]] = {
    "points": PointsSpec,
    "rectangle": RectangleSpec,
    "distance": DistanceSpec,
    "level": LevelSpec,
    "plumb": PlumbSpec,
    "straight": StraightSpec,
    "courses": CoursesSpec,
}
"""Each kind of reference and its words."""

ReferenceSpec = Annotated[
    PointsSpec
    | RectangleSpec
    | DistanceSpec
    | LevelSpec
    | PlumbSpec
    | StraightSpec
    | CoursesSpec,
    Field(discriminator="kind"),
]


class LineSpec(_Strict):
    """A traced line, parallel to the wall; the same name is the same real line."""

    name: Name
    role: Role = Role.OTHER
    picks: Annotated[
        list[Pixel], Field(min_length=2, max_length=MAX_LINE_PICKS), FIRST_ONLY
    ]
    projection_mm: Projection | None = None
    projection_sd_mm: PositiveSd | None = None
    pick_sd_px: PositiveSd | None = None


class SoffitSpec(_Strict):
    """A level soffit traced along the wall and along its outer edge."""

    name: Name
    wall_edge: Annotated[list[Pixel], Field(min_length=2, max_length=100), FIRST_ONLY]
    outer_edge: Annotated[list[Pixel], Field(min_length=2, max_length=100), FIRST_ONLY]
    lines: Annotated[list[Name], Field(max_length=MAX_LINES)] = Field(
        default_factory=list, description="lines that hang at its outer edge"
    )
    ground: Pixel | None = Field(default=None, description="foot of the wall below it")
    sd_mm: PositiveSd | None = Field(default=None, description="how far from level across")
    pick_sd_px: PositiveSd | None = None


class ElevationSpec(_Strict):
    """One photo of one wall."""

    name: Name
    photo: Annotated[str, Field(min_length=1, max_length=1000)] | None = None
    camera: CameraFacts = Field(default_factory=CameraFacts)
    pick_sd_px: PositiveSd = 1.0
    wall_relief_sd_mm: PositiveSd = Field(
        default=WALL_RELIEF_SD_MM,
        description="how flat the wall is: brickwork unless stated",
    )
    references: Annotated[list[ReferenceSpec], Field(max_length=MAX_REFERENCES)] = Field(
        default_factory=list
    )
    lines: Annotated[list[LineSpec], Field(max_length=MAX_LINES)] = Field(
        default_factory=list
    )
    soffits: Annotated[list[SoffitSpec], Field(max_length=MAX_SOFFITS)] = Field(
        default_factory=list
    )


class JobSpec(_Strict):
    """A job: all elevations of one house."""

    photomeasure_job: Literal[1]
    title: Annotated[str, Field(max_length=1000)] = ""
    elevations: Annotated[
        list[ElevationSpec], Field(min_length=1, max_length=MAX_ELEVATIONS)
    ]
    takeoff: TakeoffSpec | None = Field(
        default=None, description="what a take-off needs to know beside the lengths"
    )
