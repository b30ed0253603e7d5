"""Verdicts: whether the usual expansion gap is enough."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from photomeasure.takeoff.grounds import Grounds, Judgement, joined
from photomeasure.takeoff.measured import SAME, check_not_negative, check_positive
from photomeasure.takeoff.model import Verdict
from photomeasure.takeoff.movement.expansion import (
    Climate,
    closing_length_mm,
    gap_needed_mm,
    growth_mm,
    warming_to_close_k,
)
from photomeasure.takeoff.rules import Rulebook

UNIT = "mm"
CLAUSE = "thermal expansion: coefficient x moving length x warming"


class Substance(StrEnum):
    """What a board is made of."""

    SOLID_PVCU = "solid PVC-U"
    CELLULAR_PVCU = "cellular PVC-U"
    GRP = "GRP"
    ABS = "ABS"
    HDPE = "HDPE"
    ALUMINIUM = "aluminium"
    TIMBER = "timber"


_KEYS: Final[Mapping[Substance, str]] = {
    Substance.SOLID_PVCU: "movement.solid_pvcu",
    Substance.CELLULAR_PVCU: "movement.cellular_pvcu",
    Substance.GRP: "movement.grp",
    Substance.ABS: "movement.abs",
    Substance.HDPE: "movement.hdpe",
    Substance.ALUMINIUM: "movement.aluminium",
    Substance.TIMBER: "movement.timber",
}


class Tone(StrEnum):
    """How much sun a board takes up."""

    LIGHT = "light"
    DARK = "dark"


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """A gap as it is usually left, with the boards that close it.

    Attributes
    ----------
    name : str
    boards_mm : tuple of float
        Full lengths of the boards that meet: two at a joint, one at a fixed end. Each is
        taken as held in the middle, so that half of it moves towards the gap.
    usual_mm : float
        >= 0.
    keys : tuple of str
        Rules that the usual gap comes from.
    substance : Substance or None
    tone : Tone or None
        None if nobody said: then it counts as dark.
    fitting_c : float or None
        Temperature of the board when it is fitted.
    extremes_c : (float, float) or None
        Coldest and hottest of its surface, if the job states them.
    """

    name: str
    boards_mm: tuple[float, ...]
    usual_mm: float
    keys: tuple[str, ...] = ()
    substance: Substance | None = None
    tone: Tone | None = None
    fitting_c: float | None = None
    extremes_c: tuple[float, float] | None = None

    def __post_init__(self) -> None:
        check_not_negative(self.name, "gap in mm", self.usual_mm)
        check_positive(self.name, "number of boards at the gap", len(self.boards_mm))
        for length_mm in self.boards_mm:
            check_positive(self.name, "length of a board in mm", length_mm)


def judge_gap(gap: Gap, rules: Rulebook) -> Judgement:
    """Judge whether a gap stays open on the hottest day.

    Parameters
    ----------
    gap : Gap
    rules : Rulebook

    Returns
    -------
    Judgement
        One verdict; it is sized by the larger coefficient published.
    """
    missing = _missing(gap)
    if gap.substance is None or gap.fitting_c is None:
        sentence = f"It cannot be judged: state {missing}."
        return Judgement((_verdict(gap, None, sentence, Grounds(rules, ())),))
    alpha_key, surface_key = keys_of(gap)
    stated = gap.extremes_c is not None
    keys = (alpha_key,) if stated else (alpha_key, surface_key)
    coldest, hottest = gap.extremes_c or rules.numbers(surface_key)
    climate = Climate(coldest_c=coldest, hottest_c=hottest, fitting_c=gap.fitting_c)
    per_k = max(rules.numbers(alpha_key)) * 1e-6
    verdict = _judged(gap, climate, per_k, Grounds(rules, (*gap.keys, *keys)))
    return Judgement((verdict,), (*gap.keys, *keys))


def judge_unfitted(gaps: Sequence[Gap], rules: Rulebook) -> Judgement:
    """Say from which temperature at fitting on the gaps are wide enough.

    Parameters
    ----------
    gaps : sequence of Gap
        Of known substance; nobody stated the temperature at fitting.
    rules : Rulebook

    Returns
    -------
    Judgement
        One verdict for all of them, not judged.
    """
    keys: dict[str, None] = {}
    enough: list[str] = []
    for gap in gaps:
        alpha_key, surface_key = keys_of(gap)
        keys |= dict.fromkeys((*gap.keys, alpha_key, surface_key))
        per_k = max(rules.numbers(alpha_key)) * 1e-6
        moving = closing_length_mm(gap.boards_mm)
        _, hottest = gap.extremes_c or rules.numbers(surface_key)
        least = hottest - warming_to_close_k(gap.usual_mm, moving, per_k)
        enough.append(f"{gap.name} {gap.usual_mm:g} mm from {math.ceil(least)} °C")
    grounds = Grounds(rules, tuple(keys))
    sentence = joined(
        (
            "State takeoff.fitting_temperature_c. The usual gaps are enough if the boards "
            f"are fitted no colder than this: {'; '.join(enough)}.",
            grounds.hedge,
        )
    )
    verdict = Verdict(
        subject="expansion gaps",
        passed=None,
        required=None,
        provided=None,
        unit=UNIT,
        clause=CLAUSE,
        source=grounds.source,
        rules=grounds.once,
        sentence=sentence,
    )
    return Judgement((verdict,), tuple(keys))


def keys_of(gap: Gap) -> tuple[str, str]:
    """Return the rules of a gap's expansion and of its surface's temperatures."""
    substance = gap.substance or Substance.CELLULAR_PVCU
    return _KEYS[substance], f"movement.surface.{gap.tone or Tone.DARK}"


def _missing(gap: Gap) -> str:
    asked = {
        "what the boards are made of": gap.substance,
        "the temperature at fitting": gap.fitting_c,
    }
    return " and ".join(what for what, said in asked.items() if said is None)


def _judged(gap: Gap, climate: Climate, per_k: float, grounds: Grounds) -> Verdict:
    moving = closing_length_mm(gap.boards_mm)
    needed, _ = gap_needed_mm(moving, per_k, climate)
    enough = gap.usual_mm >= needed * (1.0 - SAME)
    least = math.ceil(needed * (1.0 - SAME))
    left = gap.usual_mm if enough else float(least)
    widest = left + growth_mm(moving, per_k, climate.cooling_k)
    shut = warming_to_close_k(gap.usual_mm, moving, per_k)
    finding = f"Fitted at {climate.fitting_c:g} °C, {gap.usual_mm:g} mm " + (
        f"stay open up to {climate.hottest_c:g} °C, which take {needed:.1f} mm: enough."
        if enough
        else f"shut after {shut:.0f} K of warming: too small. Leave {least} mm, which the "
        f"boards take up at {climate.hottest_c:g} °C, or use shorter boards."
    )
    cold = (
        f"At {climate.coldest_c:g} °C it opens to {widest:.0f} mm: the trim must cover it."
    )
    tone = "" if gap.tone or gap.extremes_c else "The colour is not stated: taken as dark."
    wet = _MOISTURE if gap.substance is Substance.TIMBER else ""
    sentence = joined((finding, cold, tone, wet, grounds.hedge))
    return _verdict(gap, needed, sentence, grounds)


_MOISTURE = "Timber moves more by moisture, which is not counted here."


def _verdict(gap: Gap, needed: float | None, sentence: str, grounds: Grounds) -> Verdict:
    return Verdict(
        subject=f"expansion gap, {gap.name}",
        passed=None if needed is None else gap.usual_mm >= needed * (1.0 - SAME),
        required=needed,
        provided=gap.usual_mm,
        unit=UNIT,
        clause=CLAUSE,
        source=grounds.source,
        rules=grounds.once,
        sentence=sentence,
    )
