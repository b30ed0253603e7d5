"""Net free area of a vented attic by IRC R806.2, in its older and its newer wording."""

from dataclasses import dataclass

from photomeasure.job.ventilation import Regulation, Retarder
from photomeasure.takeoff.grounds import Grounds, Judgement, joined
from photomeasure.takeoff.measured import (
    SAME,
    Measured,
    Side,
    check_not_negative,
    check_positive,
)
from photomeasure.takeoff.model import Verdict
from photomeasure.takeoff.rules import Rulebook
from photomeasure.takeoff.ventilation.roof import SECTIONS

UNIT = "mm2"
MM2_PER_IN2 = 645.16
MM2_PER_FT2 = 144 * MM2_PER_IN2


_WITHIN_ONE_PERM = (Retarder.CLASS_I, Retarder.CLASS_II)
"""Class II ends at 1.0 perm (IRC definitions, from memory)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Attic:
    """One vented space, as far as anybody stated it.

    Attributes
    ----------
    name : str
    area_mm2 : Measured or None
        Of the space ventilated, in plan.
    low_mm2, high_mm2 : float or None
        Net free area of all openings at the eaves, and in the upper part.
    retarder : Retarder or None
    climate_zone : int or None
        1 to 8; asked by the newer wording.
    high_above_eaves_mm : Measured or None
        Upper openings above the eaves openings; asked by the older wording.
    high_below_top_mm : Measured or None
        Upper openings below the highest point; asked by the newer wording.
    """

    name: str
    area_mm2: Measured | None = None
    low_mm2: float | None = None
    high_mm2: float | None = None
    retarder: Retarder | None = None
    climate_zone: int | None = None
    high_above_eaves_mm: Measured | None = None
    high_below_top_mm: Measured | None = None

    def __post_init__(self) -> None:
        if self.area_mm2 is not None:
            check_positive(self.name, "area in mm2", self.area_mm2.value)
        for given in (self.low_mm2, self.high_mm2):
            check_not_negative(self.name, "free area in mm2", given or 0.0)

    @property
    def high_share(self) -> float | None:
        """Share of the given area that lies high."""
        if self.low_mm2 is None or self.high_mm2 is None:
            return None
        given = self.low_mm2 + self.high_mm2
        return self.high_mm2 / given if given else 0.0


@dataclass(frozen=True, slots=True)
class _Ratio:
    """Share of the attic's area that must be open, and why."""

    share: float
    keys: tuple[str, ...]
    remark: str


def judge_attic(attic: Attic, edition: Regulation | None, rules: Rulebook) -> Judgement:
    """Judge the net free area of one attic.

    Parameters
    ----------
    attic : Attic
    edition : Regulation or None
        None if nobody stated it.
    rules : Rulebook

    Returns
    -------
    Judgement
        One verdict.

    Notes
    -----
    The reduced ratio is granted only where everything that it asks was stated. The share
    in the upper part is taken of what is given, so that a larger opening below is not
    punished for the one above; the area must be enough at the upper end of its interval.
    """
    if edition is None or not rules.has(f"{SECTIONS[edition]}.reduced_part"):
        return Judgement((_unsized(attic, "state an edition that the rules hold"),))
    area = attic.area_mm2
    if area is None:
        return Judgement((_unsized(attic, "state the area of the attic in plan"),))
    if attic.low_mm2 is None or attic.high_mm2 is None:
        return Judgement((_unsized(attic, "state the free area at the eaves and high up"),))
    ratio = _ratio(attic, edition, rules)
    clause_key = f"{SECTIONS[edition]}.clause"
    keys = (clause_key, *ratio.keys)
    given = attic.low_mm2 + attic.high_mm2
    verdict = _judged(attic.name, area, given, ratio, Grounds(rules, keys))
    return Judgement((verdict,), keys)


def _unsized(attic: Attic, what: str) -> Verdict:
    return Verdict(
        subject=f"attic ventilation, {attic.name}",
        passed=None,
        required=None,
        provided=None,
        unit=UNIT,
        clause="IRC R806.2",
        source="no rule was used",
        sentence=f"It cannot be judged: {what}.",
    )


def _judged(
    name: str, area_mm2: Measured, given: float, ratio: _Ratio, grounds: Grounds
) -> Verdict:
    clause = grounds.rules.text(grounds.keys[0])
    required = ratio.share * area_mm2.high
    passed = given >= required * (1.0 - SAME)
    doubt = ""
    if not passed and given >= ratio.share * area_mm2.value:
        doubt = "Enough for the area as measured, not for the upper end of its interval."
    finding = (
        f"1/{1.0 / ratio.share:.0f} of the area, {required:,.0f} mm2 "
        f"({required / MM2_PER_IN2:,.0f} sq in), is called for; "
        f"{given:,.0f} mm2 are given: "
        + ("enough." if passed else f"add {required - given:,.0f} mm2.")
    )
    return Verdict(
        subject=f"attic ventilation, {name}",
        passed=passed,
        required=required,
        provided=given,
        unit=UNIT,
        clause=clause,
        source=grounds.source,
        rules=grounds.once,
        sentence=joined((finding, doubt, ratio.remark, _LOCAL, grounds.hedge)),
    )


_LOCAL = "The code as adopted locally decides."


def _ratio(attic: Attic, edition: Regulation, rules: Rulebook) -> _Ratio:
    section = SECTIONS[edition]
    older = edition is Regulation.IRC_OLDER
    refusal = _older(attic, section, rules) if older else _newer(attic, section, rules)
    asked = ("clear_mm", "high_share_least", "high_share_most", "height_mm")
    part = "reduced_part" if refusal is None else "part"
    keys = tuple(f"{section}.{name}" for name in (*asked, part))
    why = f"Not reduced, since {refusal}." if refusal else "The reduced ratio applies."
    clear = f"Keep {rules.number(keys[0]):g} mm clear above insulation at the eaves."
    return _Ratio(1.0 / rules.number(keys[-1]), keys, joined((why, clear)))


def _older(attic: Attic, section: str, rules: Rulebook) -> str | None:
    """Say why the reduced ratio is not granted: neither retarder nor high openings."""
    if attic.retarder in _WITHIN_ONE_PERM:
        return None
    wrong = _share_wrong(attic, section, rules)
    if wrong:
        return f"no retarder within 1 perm is stated and {wrong}"
    height = rules.number(f"{section}.height_mm")
    above = attic.high_above_eaves_mm
    if above is None or above.side_of(height) not in (Side.AT, Side.ABOVE):
        return f"the upper openings are not known to be {height:g} mm above the eaves'"
    return None


def _newer(attic: Attic, section: str, rules: Rulebook) -> str | None:
    """Say why the reduced ratio is not granted: both conditions must hold."""
    wrong = _share_wrong(attic, section, rules)
    if wrong:
        return wrong
    height = rules.number(f"{section}.height_mm")
    below = attic.high_below_top_mm
    if below is None or below.side_of(height) not in (Side.AT, Side.BELOW):
        return f"the upper openings are not known to be within {height:g} mm of the top"
    if attic.climate_zone is None:
        return "the climate zone is not stated"
    cold = attic.climate_zone >= rules.whole(f"{section}.cold_zone")
    if cold and attic.retarder not in _WITHIN_ONE_PERM:
        return f"climate zone {attic.climate_zone} asks a class I or II vapour retarder"
    return None


def _share_wrong(attic: Attic, section: str, rules: Rulebook) -> str | None:
    low = rules.number(f"{section}.high_share_least")
    high = rules.number(f"{section}.high_share_most")
    share = attic.high_share or 0.0
    if low - SAME <= share <= high + SAME:
        return None
    return f"{share:.0%} of the openings lie high, not {low:.0%} to {high:.0%}"
