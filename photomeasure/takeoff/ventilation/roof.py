"""What has to be known of a roof before its ventilation can be judged."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from photomeasure.job.ventilation import (
    CeilingSeal,
    Covering,
    Regulation,
    RoofForm,
    UnderlayClass,
)
from photomeasure.takeoff.measured import Measured

SECTIONS: Final[Mapping[Regulation, str]] = {
    Regulation.BS_5250: "ventilation.bs_5250",
    Regulation.NHBC: "ventilation.nhbc",
    Regulation.TGD_F_2009: "ventilation.tgd_f_2009",
    Regulation.IRC_OLDER: "ventilation.irc_older",
    Regulation.IRC_2018: "ventilation.irc_2018",
}
"""Where the rules file keeps the figures of each."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Roof:
    """A roof, as far as anybody stated it.

    Attributes
    ----------
    form : RoofForm or None
    ceiling : CeilingSeal or None
    underlay : UnderlayClass or None
    covering : Covering or None
        Needed for a low-resistance underlay over a well sealed ceiling.
    dwelling : bool
        False for a larger building that nobody lives in.
    pitch_rad : Measured or None
    span_mm : Measured or None
        Eaves to eaves, level.
    """

    form: RoofForm | None = None
    ceiling: CeilingSeal | None = None
    underlay: UnderlayClass | None = None
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
