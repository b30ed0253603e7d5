"""Verdicts: what a roof needs against what the chosen means give."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from photomeasure.takeoff.grounds import Grounds, joined
from photomeasure.takeoff.measured import SAME, in_metres
from photomeasure.takeoff.model import Verdict
from photomeasure.takeoff.rules import Rulebook
from photomeasure.takeoff.ventilation.need import Demand, Need, need_of
from photomeasure.takeoff.ventilation.openings import MM_PER_M, Run, Spaced
from photomeasure.takeoff.ventilation.roof import Regulation, Roof

UNIT = "mm2/m"


@dataclass(frozen=True, slots=True)
class _Basis:
    """The rules and the clause that all verdicts of one roof rest on."""

    rules: Rulebook
    regulation: Regulation | None

    @property
    def clause(self) -> str:
        key = f"ventilation.{self.regulation}.clause"
        return self.rules.text(key) if self.rules.has(key) else "no regulation stated"

    def grounds(self, demand: Demand) -> Grounds:
        return Grounds(self.rules, demand.keys)


def judge(
    roof: Roof,
    regulation: Regulation | None,
    rules: Rulebook,
    eaves: Sequence[Run],
    high: Sequence[Run] | None,
) -> tuple[Verdict, ...]:
    """Judge the ventilation of a roof, one verdict a run.

    Parameters
    ----------
    roof : Roof
    regulation : Regulation or None
    rules : Rulebook
    eaves : sequence of Run
        Each eaves with its means.
    high : sequence of Run or None
        Ridges or top edges; empty if there is nothing at high level, None if nobody
        said.

    Returns
    -------
    tuple of Verdict
        One for each eaves, then for each high run or for high level as a whole.
    """
    need = need_of(roof, regulation, rules)
    basis = _Basis(rules, regulation)
    lows = tuple(_run(run, need.low, basis, "eaves ventilation") for run in eaves)
    highs = _high(need, high, basis)
    return _either(lows, highs) if need.either else (*lows, *highs)


def _high(need: Need, high: Sequence[Run] | None, basis: _Basis) -> tuple[Verdict, ...]:
    if high:
        runs = (_run(run, need.high, basis, "high-level ventilation") for run in high)
        return tuple(runs)
    demand = need.high
    given = None if high is None else 0.0
    return (_verdict("high-level ventilation", demand, given, basis, "high level"),)


def _run(run: Run, demand: Demand, basis: _Basis, what: str) -> Verdict:
    given = run.rate_mm2_per_m
    verdict = _verdict(f"{what}, {run.name}", demand, given, basis, run.name)
    if verdict.required is None or not verdict.required:
        return verdict
    total = verdict.required * run.length_mm.value / MM_PER_M
    extra = f"That is {total:,.0f} mm2 on {in_metres(run.length_mm)}."
    if given is not None:
        extra += f" Given: {given * run.length_mm.value / MM_PER_M:,.0f} mm2."
    if verdict.passed is False:
        extra = joined((extra, _spacings(run, demand)))
    return replace(verdict, sentence=joined((verdict.sentence, extra)))


def _spacings(run: Run, demand: Demand) -> str:
    """Say at which spacing single openings alone would do."""
    slot = demand.slot_mm
    spaced = [means for means in run.means or () if isinstance(means, Spaced)]
    if slot is None or len(run.means or ()) != 1 or not spaced:
        return ""
    widest = spaced[0].spacing_for_mm(slot)
    return f"{spaced[0].name} would do at {widest:.0f} mm centres or closer."


def _verdict(
    subject: str, demand: Demand, given: float | None, basis: _Basis, place: str
) -> Verdict:
    grounds = basis.grounds(demand)
    slot = demand.slot_mm
    required = None if slot is None else slot * MM_PER_M
    passed = _passes(required, given)
    finding = _finding(place, required, given, basis.clause)
    return Verdict(
        subject=subject,
        passed=passed,
        required=required,
        provided=given,
        unit=UNIT,
        clause=basis.clause,
        source=grounds.source or "no rule was used",
        sentence=joined((finding, demand.remark)) + grounds.hedge,
    )


def _passes(required: float | None, given: float | None) -> bool | None:
    if required == 0.0:
        return True
    if required is None or given is None:
        return None
    return given >= required * (1.0 - SAME)


def _finding(place: str, required: float | None, given: float | None, clause: str) -> str:
    if required is None:
        return f"{place}: ventilation cannot be judged."
    if required == 0.0:
        return f"{place}: nothing is called for by {clause}."
    asked = f"{place}: {required:,.0f} mm2/m are called for by {clause}"
    if given is None:
        return f"{asked}; nobody said what is there, so it cannot be judged."
    if _passes(required, given):
        return f"{asked}; {given:,.0f} mm2/m are given: enough."
    return f"{asked}; only {given:,.0f} mm2/m are given: add {required - given:,.0f} mm2/m."


def _either(
    lows: tuple[Verdict, ...], highs: tuple[Verdict, ...]
) -> tuple[Verdict, ...]:
    """Excuse one level where the other is enough all along."""
    if lows and all(low.passed for low in lows):
        return (*lows, *(_excused(v, "the eaves are enough by themselves") for v in highs))
    if all(high.passed for high in highs):
        return (*(_excused(v, "high level is enough by itself") for v in lows), *highs)
    other = "One of the two, eaves or high level, is enough."
    return tuple(
        replace(v, sentence=joined((v.sentence, other))) for v in (*lows, *highs)
    )


def _excused(verdict: Verdict, why: str) -> Verdict:
    return replace(
        verdict,
        passed=True,
        required=0.0,
        sentence=f"{verdict.subject}: nothing is called for by {verdict.clause}, "
        f"since {why}.",
    )
