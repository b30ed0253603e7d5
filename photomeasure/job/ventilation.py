"""The job file's words for roof ventilation; left out, nothing is judged."""

from enum import StrEnum
from typing import Annotated, Self

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from photomeasure.job.scalars import WHOLE, Millimetres, Number, Strict, YesNo

FreeArea = Annotated[Number, Field(gt=0, le=1e6)]


class Regulation(StrEnum):
    """Whose figures are asked for."""

    BS_5250 = "BS 5250"
    NHBC = "NHBC"
    TGD_F_2009 = "TGD F 2009"
    IRC_OLDER = "IRC R806.2 older"
    IRC_2018 = "IRC R806.2 2018"


class RoofForm(StrEnum):
    """How the roof is made."""

    DUOPITCH = "duopitch"
    MONOPITCH = "monopitch"
    ROOM_IN_ROOF = "room in roof"
    HIPPED = "hipped"


class CeilingSeal(StrEnum):
    """How tight the ceiling below the loft is, as BS 5250 defines it."""

    WELL_SEALED = "well sealed"
    NORMAL = "normal"


class UnderlayClass(StrEnum):
    """Resistance of the underlay to vapour; the limit is 0.25 MN s/g."""

    HIGH_RESISTANCE = "high resistance"
    LOW_RESISTANCE = "low resistance"
    AIR_OPEN = "low resistance, air open"
    NONE = "none"


class Covering(StrEnum):
    """Whether air passes between the tiles or slates."""

    AIR_OPEN = "air open"
    AIR_TIGHT = "air tight"


class Retarder(StrEnum):
    """Vapour retarder on the warm side of the ceiling."""

    CLASS_I = "class I"
    CLASS_II = "class II"
    CLASS_III_OR_NONE = "class III or none"


class MeansKind(StrEnum):
    """What lets the air in."""

    OVER_FASCIA = "over-fascia strip"
    VENTED_SOFFIT = "vented soffit board"
    SOFFIT_STRIP = "soffit strip"
    DISCS = "soffit discs"
    RIDGE = "ridge vent"
    TILE_VENTS = "tile vents"


class MeansSpec(Strict):
    """One means of ventilation, all along or at a spacing."""

    kind: MeansKind
    free_mm2_per_m: FreeArea | None = Field(default=None, description="all along")
    free_mm2_each: FreeArea | None = Field(default=None, description="with spacing_mm")
    spacing_mm: Annotated[Number, Field(ge=20, le=20_000)] | None = None
    there_already: YesNo = Field(default=False, description="nothing is bought")

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        along = self.free_mm2_per_m is not None
        each = (self.free_mm2_each is not None, self.spacing_mm is not None)
        if each != (not along, not along):
            kind = "free_area"
            raise PydanticCustomError(
                kind, "give free_mm2_per_m alone, or free_mm2_each with spacing_mm"
            )
        return self


MeansList = Annotated[list[MeansSpec], Field(max_length=10)]


class VentilationSpec(Strict):
    """What the ventilation of the roof is judged by, and what is chosen."""

    regulation: Regulation | None = None
    form: RoofForm | None = None
    covering: Covering | None = None
    dwelling: YesNo = Field(default=True, description="false for a larger other building")
    eaves: MeansList | None = Field(
        default=None, description="at every eaves; an empty list for nothing"
    )
    high: MeansList | None = Field(
        default=None, description="at ridge or top edge; an empty list for nothing"
    )
    high_length_mm: Millimetres | None = Field(
        default=None, description="ridge; left out, as long as the longest eaves"
    )
    trays: YesNo = Field(default=False, description="underlay support trays")
    attic_area_mm2: Annotated[Number, Field(gt=0, le=1e12)] | None = Field(
        default=None, description="IRC: area ventilated, in plan"
    )
    retarder: Retarder | None = Field(default=None, description="IRC")
    climate_zone: Annotated[int, Field(ge=1, le=8), WHOLE] | None = Field(
        default=None, description="IRC"
    )
    high_above_eaves_mm: Millimetres | None = Field(default=None, description="IRC, older")
    high_below_top_mm: Annotated[Number, Field(ge=0, le=1e5)] | None = Field(
        default=None, description="IRC, 2018"
    )
