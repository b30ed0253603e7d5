"""What has to be known of a roof before its ventilation can be judged."""

from dataclasses import dataclass
from enum import StrEnum

from photomeasure.takeoff.measured import Measured


class Regulation(StrEnum):
    """Whose figures are asked for; the name of a section under ``ventilation``."""

    BS_5250 = "bs_5250"
    NHBC = "nhbc"
    TGD_F_2009 = "tgd_f_2009"


class RoofForm(StrEnum):
    """How the roof is made."""

    DUOPITCH = "duopitch"
    MONOPITCH = "monopitch"
    ROOM_IN_ROOF = "room in roof"
    HIPPED = "hipped"


class Ceiling(StrEnum):
    """How tight the ceiling below the loft is (defined in BS 5250)."""

    WELL_SEALED = "well sealed"
    NORMAL = "normal"


class Underlay(StrEnum):
    """Resistance of the underlay to vapour; the limit is 0.25 MN s/g."""

    HIGH_RESISTANCE = "high resistance"
    LOW_RESISTANCE = "low resistance"
    LOW_RESISTANCE_AIR_OPEN = "low resistance, air open"


class Covering(StrEnum):
    """Whether air passes between the tiles or slates."""

    AIR_OPEN = "air open"
    AIR_TIGHT = "air tight"


@dataclass(frozen=True, slots=True, kw_only=True)
class Roof:
    """A roof, as far as anybody stated it.

    Attributes
    ----------
    form : RoofForm or None
    ceiling : Ceiling or None
    underlay : Underlay or None
    covering : Covering or None
        Needed for a low-resistance underlay over a well sealed ceiling.
    dwelling : bool
        False for a larger building that nobody lives in.
    pitch_rad : Measured or None
    span_mm : Measured or None
        Eaves to eaves, level.
    """

    form: RoofForm | None = None
    ceiling: Ceiling | None = None
    underlay: Underlay | None = None
    covering: Covering | None = None
    dwelling: bool = True
    pitch_rad: Measured | None = None
    span_mm: Measured | None = None

    @property
    def unstated(self) -> tuple[str, ...]:
        """What nobody said, of what every regulation asks."""
        asked = {
            "the roof's form": self.form,
            "the class of the underlay": self.underlay,
            "the kind of ceiling": self.ceiling,
        }
        return tuple(what for what, said in asked.items() if said is None)
