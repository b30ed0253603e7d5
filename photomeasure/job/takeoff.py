"""The job file's ``takeoff`` block as data: the one place that defines its words.

Lengths are millimetres, angles degrees, prices text, so that no digit of money is lost.
What is left out is assumed and said so, or refused where it cannot be assumed.
"""

from enum import StrEnum
from typing import Annotated, Any

from pydantic import Field

from photomeasure.job.rainwater import RainwaterSpec
from photomeasure.job.scalars import WHOLE, Millimetres, Name, Number, Strict, YesNo
from photomeasure.job.ventilation import CeilingSeal, UnderlayClass, VentilationSpec

MAX_STOCK, MAX_LINES, MAX_RULES = 500, 3000, 1000
"""Entries of the lists; more are a mistake."""

Whole = Annotated[int, Field(ge=1, le=30_000), WHOLE]
Count = Annotated[int, Field(ge=0, le=100_000), WHOLE]
Word = Annotated[str, Field(min_length=1, max_length=60)]
Widths = Annotated[list[Whole], Field(min_length=1, max_length=40)]


class WorkKind(StrEnum):
    """What is done to the old boards."""

    REPLACE = "replace"
    COVER = "cover"


class SoffitLook(StrEnum):
    """What the old soffit looks like."""

    TIMBER = "timber"
    PLASTIC = "plastic"
    METAL = "metal"
    CEMENT_SHEET = "cement sheet"
    UNKNOWN = "unknown"


class SurveyResult(StrEnum):
    """What an asbestos survey or sample test found."""

    NOT_FOUND = "not found"
    FOUND = "found"
    REMOVED = "removed"


class SoffitForm(StrEnum):
    """How the soffit lies."""

    LEVEL = "level"
    SLOPING = "sloping"
    NONE = "none"


class RunEnd(StrEnum):
    """What an eaves run meets at one end."""

    GABLE = "gable"
    BOX_END = "box end"
    EXTERNAL = "external corner"
    INTERNAL = "internal corner"
    HIP = "hip"
    ABUTMENT = "abutment"


class FootCut(StrEnum):
    """How the foot of a barge board is cut."""

    PLUMB = "plumb"
    LEVEL = "level"
    SQUARE = "square"


class VergeWork(StrEnum):
    """What becomes of the verge tiles."""

    LEFT = "left alone"
    MORTAR = "mortar"
    DRY = "dry verge"


Ceiling = CeilingSeal
Underlay = UnderlayClass
"""What the roof has, stated once: ventilation reads it here."""


class BoardKind(StrEnum):
    """Boards of a roofline."""

    FASCIA = "fascia"
    SOFFIT = "soffit"
    BARGE = "barge"
    BOX_END = "box end"


class BoardChoice(Strict):
    """The new board of one kind; left out, the rules' usual one."""

    board: Word | None = Field(default=None, description="what the merchant calls it")
    thickness_mm: Annotated[Number, Field(gt=0, le=100)] | None = None
    colour: Word | None = None
    widths_mm: Widths | None = Field(default=None, description="widths that can be had")
    lengths_mm: Widths | None = Field(default=None, description="board lengths")


class BoardChoices(Strict):
    """The new boards."""

    fascia: BoardChoice = Field(default_factory=BoardChoice)
    soffit: BoardChoice = Field(default_factory=BoardChoice)
    barge: BoardChoice = Field(default_factory=BoardChoice)
    box_end: BoardChoice = Field(default_factory=BoardChoice)
    colour: Word | None = Field(default=None, description="of all that state none")


class RoofFacts(Strict):
    """What a photo of a wall does not show."""

    pitch_deg: Annotated[Number, Field(ge=0, le=80)] | None = Field(
        default=None, description="if no gable was measured"
    )
    span_mm: Millimetres | None = None
    ceiling: CeilingSeal | None = Field(
        default=None, description="how tight it is below the loft, for ventilation"
    )
    underlay: UnderlayClass | None = Field(
        default=None, description="resistance to vapour, for ventilation"
    )
    soffit_form: SoffitForm = SoffitForm.LEVEL
    rafter_centres_mm: Whole | None = None
    fascia_depth_mm: Whole | None = Field(
        default=None, description="of every fascia that no line measures"
    )
    barge_depth_mm: Whole | None = None
    soffit_width_mm: Whole | None = Field(
        default=None, description="of every soffit that was not traced"
    )
    eaves_height_mm: Millimetres | None = Field(
        default=None, description="above ground, where no soffit shows it"
    )


class LineFacts(Strict):
    """What is known of one measured line beside its length."""

    name: Name
    start: RunEnd | None = Field(default=None, description="left end, seen from outside")
    end: RunEnd | None = Field(default=None, description="right end")
    taped_mm: Millimetres | None = Field(
        default=None, description="taped length: it replaces the measured one"
    )
    taped_sd_mm: Annotated[Number, Field(ge=0, le=1000)] = 3.0
    fascia_depth_mm: Whole | None = None
    soffit_width_mm: Whole | None = Field(
        default=None, description="wall to outer face of the fascia"
    )
    height_mm: Millimetres | None = Field(
        default=None, description="of the eaves above ground"
    )
    foot: FootCut | None = Field(default=None, description="of a barge board")
    verge: VergeWork | None = None
    soffit_look: SoffitLook | None = None
    leave_out: YesNo = False


class StockEntry(Strict):
    """A board length that can be had, or an offcut in hand."""

    board: Word
    width_mm: Whole
    colour: Word
    length_mm: Whole
    price: Annotated[str, Field(max_length=20)] | None = Field(
        default=None, description="of one board, as text"
    )
    count: Count | None = Field(default=None, description="how many there are")
    in_hand: YesNo = False


class SawSpec(Strict):
    """What every cut and every board end costs in length; left out, the rules' value."""

    kerf_mm: Annotated[int, Field(ge=0, le=50), WHOLE] | None = None
    trim_mm: Annotated[int, Field(ge=0, le=500), WHOLE] | None = None


class TakeoffSpec(Strict):
    """What a take-off needs to know beside the measured lengths."""

    country: Annotated[str, Field(min_length=1, max_length=40)] = Field(
        default="uk", description="name of the trade rules"
    )
    work: WorkKind = WorkKind.REPLACE
    year_built: Annotated[int, Field(ge=1000, le=2200), WHOLE] | None = None
    soffit_look: SoffitLook = SoffitLook.UNKNOWN
    asbestos_survey: SurveyResult | None = Field(
        default=None, description="result of a survey or sample test"
    )
    boards: BoardChoices = Field(default_factory=BoardChoices)
    roof: RoofFacts = Field(default_factory=RoofFacts)
    verge: VergeWork = VergeWork.LEFT
    lines: Annotated[list[LineFacts], Field(max_length=MAX_LINES)] = Field(
        default_factory=list
    )
    stock: Annotated[list[StockEntry], Field(max_length=MAX_STOCK)] = Field(
        default_factory=list
    )
    saw: SawSpec = Field(default_factory=SawSpec)
    fitting_temperature_c: Annotated[Number, Field(ge=-30, le=60)] | None = None
    ventilation: VentilationSpec | None = None
    rainwater: RainwaterSpec | None = None
    rules: Annotated[dict[str, Any], Field(max_length=MAX_RULES)] = Field(
        default_factory=dict, description="values of rules by their key"
    )
