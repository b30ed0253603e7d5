"""What a pitched roof needs by the figures of BS 5250 and its kin."""

import math
from dataclasses import dataclass

from photomeasure.job.ventilation import (
    CeilingSeal,
    Covering,
    Regulation,
    RoofForm,
    UnderlayClass,
)
from photomeasure.takeoff.measured import Measured, Side, in_degrees, in_metres
from photomeasure.takeoff.rules import Rulebook
from photomeasure.takeoff.ventilation.roof import SECTIONS, Roof


@dataclass(frozen=True, slots=True)
class Demand:
    """What one level, low or high, needs.

    Attributes
    ----------
    slot_mm : float or None
        Width of a continuous slot of equal area; 0 if nothing is called for; None if it
        cannot be said.
    keys : tuple of str
        Rules that were used.
    remark : str
        Why, or what is missing: whole sentences.
    """

    slot_mm: float | None
    keys: tuple[str, ...] = ()
    remark: str = ""


@dataclass(frozen=True, slots=True)
class Need:
    """What the roof needs low at each eaves, and high.

    Attributes
    ----------
    low, high : Demand
    either : bool
        Whether one of the two is enough.
    """

    low: Demand
    high: Demand
    either: bool = False


@dataclass(frozen=True, slots=True)
class _Figures:
    """The figures of one regulation; what NHBC does not say itself is BS 5250's."""

    rules: Rulebook
    regulation: Regulation

    def key(self, name: str) -> str:
        own = f"{SECTIONS[self.regulation]}.{name}"
        if self.regulation is Regulation.NHBC and not self.rules.has(own):
            return f"{SECTIONS[Regulation.BS_5250]}.{name}"
        return own

    def has(self, name: str) -> bool:
        return self.rules.has(self.key(name))

    def demand(self, name: str, *others: str, remark: str = "") -> Demand:
        keys = tuple(self.key(one) for one in (name, *others))
        return Demand(self.rules.number(keys[0]), keys, remark)

    def number(self, name: str) -> float:
        return self.rules.number(self.key(name))


def need_of(roof: Roof, regulation: Regulation | None, rules: Rulebook) -> Need:
    """Return what a roof needs, or what is missing to say so.

    Parameters
    ----------
    roof : Roof
    regulation : Regulation or None
        None if nobody stated it.
    rules : Rulebook

    Returns
    -------
    Need

    Notes
    -----
    Where a measured pitch or span may lie on either side of a limit, or exactly on one
    that published pages place on different sides, the larger opening is taken.
    """
    missing = (("the regulation",) if regulation is None else ()) + roof.unstated
    if regulation is None or missing:
        return _unknown(f"Not sized: state {', '.join(missing)}.")
    figures = _Figures(rules, regulation)
    gap = _not_held(roof, figures)
    if gap:
        return _unknown(f"Not sized: {gap}.")
    if roof.form is RoofForm.ROOM_IN_ROOF:
        return _room(roof, figures)
    if roof.underlay is UnderlayClass.HIGH_RESISTANCE:
        return Need(_low(roof, figures), _high(roof, figures))
    return _with_nhbc(_low_resistance(roof, figures), roof, figures)


def _not_held(roof: Roof, figures: _Figures) -> str:
    """Say for which stated facts the rules hold no figure."""
    name = str(figures.regulation)
    if not figures.has("hr_eaves_mm"):
        return f"the rules of {figures.rules.country} hold no slots of {name}"
    if roof.form is RoofForm.HIPPED:
        return "no figure is held for a hipped roof"
    if roof.underlay is UnderlayClass.NONE:
        return "no figure is held for a roof without an underlay"
    if roof.form is RoofForm.ROOM_IN_ROOF and not figures.has("room_eaves_mm"):
        return f"no figure of {name} is held for a room in the roof"
    low = roof.underlay is not UnderlayClass.HIGH_RESISTANCE
    if low and not figures.has("lr_normal_eaves_mm"):
        return f"no figure of {name} is held for an underlay of low resistance"
    return ""


def _unknown(remark: str) -> Need:
    return Need(Demand(None, (), remark), Demand(None, (), remark))


def _room(roof: Roof, figures: _Figures) -> Need:
    low, high = figures.number("room_eaves_mm"), figures.number("room_high_mm")
    if roof.underlay is not UnderlayClass.HIGH_RESISTANCE:
        return _unknown(
            "Not sized: for insulation along the slope the figures held are for an "
            f"underlay of high resistance; its {low:g} mm at the eaves and {high:g} mm "
            "at the ridge are the safe side."
        )
    clear = figures.number("room_clear_mm")
    path = f"Keep {clear:g} mm clear above the insulation from eaves to ridge."
    return Need(
        figures.demand("room_eaves_mm", "room_clear_mm", remark=path),
        figures.demand("room_high_mm", remark="Insulation follows the slope."),
    )


def _low(roof: Roof, figures: _Figures) -> Demand:
    """Low level under an underlay of high resistance, by the pitch."""
    if roof.pitch_rad is None:
        return Demand(None, (), "Not sized: the pitch is not known.")
    low_pitch, remark = _is_low_pitch(roof.pitch_rad, figures)
    name = "hr_low_pitch_eaves_mm" if low_pitch else "hr_eaves_mm"
    return figures.demand(name, "low_pitch_deg", "low_pitch_inclusive", remark=remark)


def _is_low_pitch(pitch_rad: Measured, figures: _Figures) -> tuple[bool, str]:
    limit_deg = figures.number("low_pitch_deg")
    inclusive = figures.rules.yes(figures.key("low_pitch_inclusive"))
    side = pitch_rad.side_of(math.radians(limit_deg))
    pitch = in_degrees(pitch_rad)
    if side is Side.EITHER:
        return True, f"The pitch, {pitch}, may be {limit_deg:g}° or less: taken so."
    if side is Side.AT:
        belongs = "the low pitches" if inclusive else "the steeper ones"
        return inclusive, f"Exactly {limit_deg:g}° belongs to {belongs} in this text."
    return side is Side.BELOW, f"The pitch is {pitch}."


def _high(roof: Roof, figures: _Figures) -> Demand:
    """High level under an underlay of high resistance."""
    if roof.form is RoofForm.MONOPITCH:
        return figures.demand("high_mm", remark="Called for on every lean-to or monopitch.")
    steep = _reached(roof.pitch_rad, math.radians(figures.number("steep_deg")))
    wide = _reached(roof.span_mm, 1000.0 * figures.number("wide_m"))
    limits = f"{figures.number('steep_deg'):g}° or {figures.number('wide_m'):g} m"
    names = ("high_mm", "steep_deg", "wide_m")
    doubts = _doubts(steep, wide)
    if steep in _REACHED or wide in _REACHED:
        remark = f"Called for from {limits} span: {_size_words(roof)}{doubts}."
        return figures.demand(*names, remark=remark)
    keys = tuple(map(figures.key, names))
    if steep is None or wide is None:
        what = "pitch" if steep is None else "span"
        return Demand(None, keys, f"Not sized: the {what} is not known.")
    return Demand(0.0, keys, f"Not called for below {limits} span: {_size_words(roof)}.")


_REACHED = (Side.AT, Side.ABOVE, Side.EITHER)
"""Sources give 35 degrees and 10 m both as 'from' and as 'above': the safe reading."""


def _reached(number: Measured | None, limit: float) -> Side | None:
    return None if number is None else number.side_of(limit)


def _doubts(steep: Side | None, wide: Side | None) -> str:
    """Say when only the interval, or only the wording of a limit, calls for it."""
    if Side.ABOVE in (steep, wide):
        return ""
    if Side.EITHER in (steep, wide):
        return "; the interval reaches the limit, so the safe side is taken"
    return "; pages place the limit itself on different sides, so it is counted in"


def _size_words(roof: Roof) -> str:
    words = []
    if roof.pitch_rad is not None:
        words.append(f"pitch {in_degrees(roof.pitch_rad)}")
    if roof.span_mm is not None:
        words.append(f"span {in_metres(roof.span_mm)}")
    return ", ".join(words)


def _low_resistance(roof: Roof, figures: _Figures) -> Need:
    """Low-resistance underlay: the figures held know neither pitch nor span."""
    if roof.pitch_rad is None:
        return _unknown("Not sized: the pitch is not known.")
    low_pitch, pitch = _is_low_pitch(roof.pitch_rad, figures)
    if low_pitch:
        return _unknown(
            "Not sized: the figures held for an underlay of low resistance say nothing of "
            f"such a pitch. {pitch} The "
            f"{figures.number('hr_low_pitch_eaves_mm'):g} mm of one of high resistance "
            "are the safe side."
        )
    if roof.ceiling is CeilingSeal.NORMAL:
        return _normal_ceiling(roof, figures)
    if not roof.dwelling:
        low = figures.demand("lr_large_sealed_eaves_mm")
        return Need(low, _high_unless_plain(roof, figures))
    return _sealed_ceiling(roof, figures)


def _normal_ceiling(roof: Roof, figures: _Figures) -> Need:
    if not roof.dwelling:
        return _unknown(
            "Not sized: no figure is held for a larger building with a normal ceiling "
            "under an underlay of low resistance."
        )
    remark = "" if roof.covering is Covering.AIR_OPEN else _BATTENS
    low = figures.demand("lr_normal_eaves_mm", remark=remark)
    return Need(low, _high_unless_plain(roof, figures))


_BATTENS = "If no air passes between the tiles, the batten space must be ventilated too."


def _sealed_ceiling(roof: Roof, figures: _Figures) -> Need:
    if roof.covering is None:
        return _unknown("Not sized: state whether air passes between the tiles.")
    if roof.covering is Covering.AIR_TIGHT:
        return _unknown(
            "Not sized: no figure is held for a covering that no air passes over a well "
            f"sealed ceiling. {_BATTENS}"
        )
    low, high = figures.demand("lr_sealed_eaves_mm"), _high_unless_plain(roof, figures)
    if high.slot_mm != 0.0:
        return Need(low, high)
    return Need(low, figures.demand("lr_sealed_high_mm"), either=True)


def _high_unless_plain(roof: Roof, figures: _Figures) -> Demand:
    """Return nothing for a plain roof; do not guess for one that is steep, wide or single.

    The pages read give high-level openings under the heading of high resistance only.
    """
    high = _high(roof, figures)
    if high.slot_mm == 0.0 or (high.slot_mm is None):
        return high
    return Demand(
        None,
        high.keys,
        "Not sized: the figures held give high-level openings for an underlay of high "
        f"resistance only; their {high.slot_mm:g} mm are the safe side. {high.remark}",
    )


def _with_nhbc(need: Need, roof: Roof, figures: _Figures) -> Need:
    """Add what NHBC asks of a vapour-permeable underlay that holds air back."""
    open_underlay = roof.underlay is UnderlayClass.AIR_OPEN
    if figures.regulation is not Regulation.NHBC or open_underlay:
        return need
    remark = (
        "Asked of every vapour-permeable underlay that is not air open; one page asks it "
        "only where there is no ventilation from eaves to eaves."
    )
    return Need(need.low, figures.demand("lr_high_mm", remark=remark))
