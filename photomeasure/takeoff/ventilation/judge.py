"""Verdicts: what a roof needs against what the chosen means give."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from photomeasure.job.ventilation import Regulation
from photomeasure.takeoff.grounds import Grounds, Judgement, joined
from photomeasure.takeoff.measured import SAME, in_metres
from photomeasure.takeoff.model import Verdict
from photomeasure.takeoff.rules import Rulebook
from photomeasure.takeoff.ventilation.need import Demand, Need, need_of
from photomeasure.takeoff.ventilation.openings import MM_PER_M, Run, Spaced
from photomeasure.takeoff.ventilation.roof import SECTIONS, Roof

UNIT = "mm2/m"


@dataclass(frozen=True, slots=True)
class _Basis:
    """The rules and the clause that all verdicts of one roof rest on."""

    rules: Rulebook
    regulation: Regulation | None

    @property
    def clause_keys(self) -> tuple[str, ...]:
        if self.regulation is None:
            return ()
        key = f"{SECTIONS[self.regulation]}.clause"
        return (key,) if self.rules.has(key) else ()

    @property
    def clause(self) -> str:
        keys = self.clause_keys
        return self.rules.text(keys[0]) if keys else str(self.regulation or "none stated")

    def grounds(self, demand: Demand) -> Grounds:
        return Grounds(self.rules, demand.keys)


def judge(
    roof: Roof,
    regulation: Regulation | None,
    rules: Rulebook,
    eaves: Sequence[Run],
    high: Sequence[Run] | None,
) -> Judgement:
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
    Judgement
        One verdict for each eaves, then for each high run or high level as a whole.
    """
    need = need_of(roof, regulation, rules)
    basis = _Basis(rules, regulation)
    lows = tuple(_run(run, need.low, basis, "eaves ventilation") for run in eaves)
    highs = _high(need, high, basis)
    verdicts = _either(lows, highs) if need.either else (*lows, *highs)
    keys = dict.fromkeys((*basis.clause_keys, *need.low.keys, *need.high.keys))
    return Judgement(verdicts, tuple(keys))


def _high(need: Need, high: Sequence[Run] | None, basis: _Basis) -> tuple[Verdict, ...]:
    if high:
        runs = (_run(run, need.high, basis, "high-level ventilation") for run in high)
        return tuple(runs)
    demand = need.high
    given = None if high is None else 0.0
    return (_verdict("high-level ventilation", demand, given, basis),)


def _run(run: Run, demand: Demand, basis: _Basis, what: str) -> Verdict:
    given = run.rate_mm2_per_m
    subject = f"{what}, {run.name}"
    return _verdict(subject, demand, given, basis, joined(_on_run(run, demand, given)))


def _on_run(run: Run, demand: Demand, given: float | None) -> tuple[str, ...]:
    """Say what it comes to on the whole run."""
    if not demand.slot_mm:
        return ()
    metres = run.length_mm.value / MM_PER_M
    asked = demand.slot_mm * MM_PER_M
    total = f"On {in_metres(run.length_mm)} that is {asked * metres:,.0f} mm2"
    if given is None:
        return (f"{total}.",)
    total += f", and {given * metres:,.0f} mm2 are given."
    return (total, "" if _passes(asked, given) else _spacings(run, demand))


def _spacings(run: Run, demand: Demand) -> str:
    """Say at which spacing single openings alone would do."""
    slot = demand.slot_mm
    spaced = [means for means in run.means or () if isinstance(means, Spaced)]
    if slot is None or len(run.means or ()) != 1 or not spaced:
        return ""
    widest = spaced[0].spacing_for_mm(slot)
    return f"{spaced[0].name} would do at {widest:.0f} mm centres or closer."


def _verdict(
    subject: str, demand: Demand, given: float | None, basis: _Basis, extra: str = ""
) -> Verdict:
    grounds = basis.grounds(demand)
    required = None if demand.slot_mm is None else demand.slot_mm * MM_PER_M
    finding = _finding(required, given)
    return Verdict(
        subject=subject,
        passed=_passes(required, given),
        required=required,
        provided=given,
        unit=UNIT,
        clause=basis.clause,
        source=grounds.source,
        rules=grounds.once,
        sentence=joined((finding, extra, demand.remark, grounds.hedge)),
    )


def _passes(required: float | None, given: float | None) -> bool | None:
    if required == 0.0:
        return True
    if required is None or given is None:
        return None
    return given >= required * (1.0 - SAME)


def _finding(required: float | None, given: float | None) -> str:
    if required is None:
        return "It cannot be judged."
    if required == 0.0:
        return "Nothing is called for."
    asked = f"{required:,.0f} mm2/m are called for"
    if given is None:
        return f"{asked}; nobody said what is there, so it cannot be judged."
    if _passes(required, given):
        return f"{asked}; {given:,.0f} mm2/m are given: enough."
    return f"{asked}; only {given:,.0f} mm2/m are given: add {required - given:,.0f} mm2/m."


def _either(lows: tuple[Verdict, ...], highs: tuple[Verdict, ...]) -> tuple[Verdict, ...]:
    """Excuse one level where the other is enough all along."""
    if lows and all(low.passed for low in lows):
        return (*lows, *(_excused(v, "the eaves are enough by themselves") for v in highs))
    if all(high.passed for high in highs):
        return (*(_excused(v, "high level is enough by itself") for v in lows), *highs)
    other = "One of the two, eaves or high level, is enough."
    return tuple(replace(v, sentence=joined((v.sentence, other))) for v in (*lows, *highs))


def _excused(verdict: Verdict, why: str) -> Verdict:
    return replace(
        verdict,
        passed=True,
        required=0.0,
        sentence=f"Nothing is called for, since {why}.",
    )
