"""Verdicts: whether a gutter and its outlets carry the rain."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from photomeasure.takeoff.grounds import Grounds, Judgement, joined
from photomeasure.takeoff.measured import SAME, Measured, check_positive
from photomeasure.takeoff.model import Verdict
from photomeasure.takeoff.rainwater.catchment import (
    MM2_PER_M2,
    Catchment,
    effective_area_mm2,
    flow_l_s,
)
from photomeasure.takeoff.rainwater.gutter import (
    CAPACITY_KEYS,
    REDUCTION_KEYS,
    Gutter,
    GutterRun,
    Stretch,
    capacity_l_s,
    corner_factor,
    length_factor,
    stretches,
)
from photomeasure.takeoff.rainwater.table import (
    TABLE_KEY,
    tabled_flows_l_s,
    tabled_outlet_l_s,
)
from photomeasure.takeoff.rules import Rulebook

UNIT = "l/s"
RAIN_KEY = "rainwater.design_rain_l_s_m2"
FORMULA_KEYS = ("rainwater.gutter_clause", *CAPACITY_KEYS, *REDUCTION_KEYS)
TABLE_KEYS = ("rainwater.table_clause", TABLE_KEY, *REDUCTION_KEYS)
OUTLET_KEYS = ("rainwater.table_clause", TABLE_KEY)
SMALL_KEY = "rainwater.no_gutter_m2"


@dataclass(frozen=True, slots=True, kw_only=True)
class Drainage:
    """An eaves with all that decides whether its gutter is enough.

    Attributes
    ----------
    catchment : Catchment
    run : GutterRun
    gutter : Gutter
    outlet_mm : float or None
        Bore of each outlet; None if nobody said.
    outlet_l_s : float or None
        Capacity of each outlet if its maker states it.
    rain_l_s_m2 : float or None
        Intensity that the job states; None for the country's.
    """

    catchment: Catchment
    run: GutterRun
    gutter: Gutter
    outlet_mm: float | None = None
    outlet_l_s: float | None = None
    rain_l_s_m2: float | None = None

    def __post_init__(self) -> None:
        for number in (self.outlet_mm, self.outlet_l_s, self.rain_l_s_m2):
            if number is not None:
                check_positive(self.run.name, "a figure of the outlets or rain", number)


@dataclass(frozen=True, slots=True)
class _Case:
    """One eaves in one storm by one country's rules."""

    drainage: Drainage
    rain_l_s_m2: float
    rules: Rulebook

    @property
    def name(self) -> str:
        return self.drainage.run.name

    @property
    def size_mm(self) -> float | None:
        return self.drainage.gutter.half_round_mm

    @property
    def area_mm2(self) -> Measured:
        return effective_area_mm2(self.drainage.catchment)

    def flow(self, length_mm: float) -> Measured:
        """Flow off so much of the eaves: rain falls evenly along it."""
        whole = flow_l_s(self.area_mm2, self.rain_l_s_m2)
        share = length_mm / self.drainage.run.length_mm
        return Measured(whole.value * share, whole.u * share)

    def left(self, capacity: float | None, stretch: Stretch) -> float | None:
        """Capacity left by length and angles; None if that cannot be said."""
        depth_mm = self.drainage.gutter.depth_mm
        factor = length_factor(stretch.length_mm, depth_mm, self.rules)
        if capacity is None or factor is None:
            return None
        return capacity * factor * corner_factor(stretch.corners_mm, self.rules)

    def grounds(self, keys: tuple[str, ...]) -> Grounds:
        own = self.drainage.rain_l_s_m2 is None
        return Grounds(self.rules, (RAIN_KEY, *keys) if own else keys)

    @property
    def storm(self) -> str:
        """Area and intensity as a sentence."""
        area = self.area_mm2.value / MM2_PER_M2
        stated = self.drainage.rain_l_s_m2 is not None
        whose = "as stated" if stated else "the usual figure: the place's own decides"
        return f"Rain: {self.rain_l_s_m2:g} l/s on each of {area:.1f} m2 ({whose})."


def judge_drainage(drainage: Drainage, rules: Rulebook) -> Judgement:
    """Judge the gutter and the outlets of one eaves.

    Parameters
    ----------
    drainage : Drainage
    rules : Rulebook

    Returns
    -------
    Judgement
        The gutter by the formula, by the table if it is half-round, and each outlet. The
        rain counts at the upper end of its 95 % interval.
    """
    rain = drainage.rain_l_s_m2
    if rain is None and rules.has(RAIN_KEY):
        rain = rules.number(RAIN_KEY)
    if rain is None:
        return Judgement((_unjudged(drainage, "state the rainfall of the place"),))
    if not rules.has(TABLE_KEY):
        what = f"the rules of {rules.country} hold no figures for gutters"
        return Judgement((_unjudged(drainage, what),))
    case = _Case(drainage, rain, rules)
    verdicts = [_by_formula(case)]
    if case.size_mm is not None:
        verdicts.append(_by_table(case, case.size_mm))
    verdicts += (_outlet(case, index) for index in range(len(drainage.run.outlets_mm)))
    keys = case.grounds((*FORMULA_KEYS, *TABLE_KEYS, SMALL_KEY)).keys
    return Judgement(tuple(verdicts), tuple(dict.fromkeys(keys)))


def _unjudged(drainage: Drainage, what: str) -> Verdict:
    name = drainage.run.name
    return Verdict(
        subject=f"gutter, {name}",
        passed=None,
        required=None,
        provided=None,
        unit=UNIT,
        clause="none",
        source="no rule was used",
        sentence=f"It cannot be judged: {what}.",
    )


def _by_formula(case: _Case) -> Verdict:
    """Judge by the design capacity."""
    tight = _tightest(case, capacity_l_s(case.drainage.gutter, case.rules))
    missing = f"The capacity of {case.drainage.gutter.name} is not known: state it in l/s."
    return _verdict(case, "gutter by formula", tight, FORMULA_KEYS, missing)


def _by_table(case: _Case, size_mm: float) -> Verdict:
    """Judge by the row below; what only the row above carries, or none, stays open."""
    below, above = tabled_flows_l_s(size_mm, case.rules)
    tight = _tightest(case, below)
    verdict = _verdict(
        case, "gutter by table", tight, TABLE_KEYS, "The table has none so small."
    )
    if verdict.passed is False and above != below:
        upper = _tightest(case, above)
        if upper.capacity is None or _carries(upper.capacity, upper.flow):
            found = (
                f"The table has no such gutter; the next smaller carries "
                f"{verdict.provided:.2f} l/s and {verdict.required:.2f} l/s come, so it "
                "cannot be judged by it."
            )
            sentence = _sentence(case, found, tight, TABLE_KEYS)
            verdict = replace(verdict, passed=None, sentence=sentence)
    least = case.rules.number(SMALL_KEY)
    if case.area_mm2.high > least * MM2_PER_M2:
        return verdict
    small = f"The table asks no gutter for up to {least:g} m2."
    return replace(verdict, sentence=joined((small, verdict.sentence)))


@dataclass(frozen=True, slots=True)
class _Load:
    """What one stretch brings and can carry; ``full`` is before any reduction."""

    length_mm: float
    flow: Measured
    full: float | None
    capacity: float | None

    @property
    def use(self) -> float:
        return self.flow.high / self.capacity if self.capacity else float("inf")


def _tightest(case: _Case, full: float | None) -> _Load:
    """Return the stretch that comes closest to overflowing."""
    loads = (
        _Load(part.length_mm, case.flow(part.length_mm), full, case.left(full, part))
        for part in stretches(case.drainage.run)
    )
    return max(loads, key=lambda load: load.use)


def _verdict(
    case: _Case, what: str, load: _Load, keys: tuple[str, ...], missing: str
) -> Verdict:
    gutter = case.drainage.gutter.name
    if load.full is None:
        found = missing
    elif load.capacity is None:
        found = (
            f"{load.length_mm / 1000.0:.2f} m of {gutter} to one outlet is longer than any "
            "published factor covers: add an outlet."
        )
    else:
        found = _comparison(gutter, load.flow, load.capacity, _MORE)
    return Verdict(
        subject=f"{what}, {case.name}",
        passed=None if load.capacity is None else _carries(load.capacity, load.flow),
        required=load.flow.value,
        provided=load.capacity,
        unit=UNIT,
        clause=case.rules.text(keys[0]),
        source=case.grounds(keys).source,
        rules=case.grounds(keys).once,
        sentence=_sentence(case, found, load, keys),
    )


def _sentence(case: _Case, found: str, load: _Load, keys: tuple[str, ...]) -> str:
    drained = f"{load.length_mm / 1000.0:.2f} m drains one way."
    return joined((found, drained, case.storm, case.grounds(keys).hedge))


_MORE = "take a larger one, more outlets, or the outlet in the middle"


def _carries(capacity: float, flow: Measured) -> bool:
    return capacity >= flow.high * (1.0 - SAME)


def _comparison(what: str, flow: Measured, capacity: float, remedy: str) -> str:
    text = f"{what} carries {capacity:.2f} l/s and {flow.value:.2f} l/s come"
    if _carries(capacity, flow):
        return f"{text}: enough."
    if capacity >= flow.value:
        return (
            f"{text}, but {flow.high:.2f} l/s at the upper end of the measured sizes: "
            f"the safe side is that it is too little; {remedy}."
        )
    return f"{text}: too little; {remedy}."


def _outlet(case: _Case, index: int) -> Verdict:
    """Judge one outlet: what its maker states, or else what the table shows of its bore.

    The table ends at what a gutter brings from one side, so more is not shown, not wrong.
    """
    parts: Sequence[Stretch] = stretches(case.drainage.run)
    flow = case.flow(sum(part.length_mm for part in parts if part.outlet == index))
    capacity, passed, found = _outlet_finding(case, flow)
    stated = case.drainage.outlet_l_s is not None
    grounds = case.grounds(() if stated else OUTLET_KEYS)
    return Verdict(
        subject=f"outlet {index + 1}, {case.name}",
        passed=passed,
        required=flow.value,
        provided=capacity,
        unit=UNIT,
        clause="capacity stated" if stated else case.rules.text(OUTLET_KEYS[0]),
        source="stated in the job" if stated else grounds.source,
        rules=grounds.once,
        sentence=joined((found, case.storm, grounds.hedge)),
    )


def _outlet_finding(case: _Case, flow: Measured) -> tuple[float | None, bool | None, str]:
    bore, stated = case.drainage.outlet_mm, case.drainage.outlet_l_s
    if stated is not None:
        remedy = "take a larger one or add another"
        return stated, _carries(stated, flow), _comparison("It", flow, stated, remedy)
    if bore is None:
        return None, None, "It cannot be judged: state its bore."
    shown = tabled_outlet_l_s(bore, case.size_mm, case.rules)
    if shown is None:
        return (
            None,
            None,
            f"It cannot be judged: the table has none of {bore:g} mm or less.",
        )
    if _carries(shown, flow):
        return shown, True, _comparison(f"A bore of {bore:g} mm", flow, shown, "")
    return (
        shown,
        None,
        f"{flow.high:.2f} l/s come and the table shows no more than {shown:.2f} l/s "
        f"through {bore:g} mm in this gutter: ask its maker, or add an outlet.",
    )
