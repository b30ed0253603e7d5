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
    tabled_flow_l_s,
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
        sentence=f"{name}: the gutter cannot be judged: {what}.",
    )


def _by_formula(case: _Case) -> Verdict:
    """Judge by the design capacity."""
    full = capacity_l_s(case.drainage.gutter, case.rules)
    return _tightest(case, full, FORMULA_KEYS)


def _by_table(case: _Case, size_mm: float) -> Verdict:
    """Judge by the table."""
    verdict = _tightest(case, tabled_flow_l_s(size_mm, case.rules), TABLE_KEYS)
    least = case.rules.number(SMALL_KEY)
    if case.area_mm2.high > least * MM2_PER_M2:
        return verdict
    small = f"The table asks no gutter for up to {least:g} m2."
    return replace(verdict, sentence=joined((verdict.sentence, small)))


def _tightest(case: _Case, full: float | None, keys: tuple[str, ...]) -> Verdict:
    """Compare flow and capacity on the stretch that comes closest to overflowing."""
    loads = [
        (case.flow(stretch.length_mm), case.left(full, stretch), stretch)
        for stretch in stretches(case.drainage.run)
    ]
    flow, capacity, stretch = max(loads, key=lambda load: _use(load[0], load[1]))
    gutter, length_m = case.drainage.gutter.name, stretch.length_mm / 1000.0
    clause = case.rules.text(keys[0])
    grounds = case.grounds(keys)
    if full is None:
        found = f"{case.name}: the capacity of {gutter} is not known: state it in l/s."
    elif capacity is None:
        found = (
            f"{case.name}: {length_m:.2f} m of {gutter} to one outlet is longer than any "
            "published factor covers: add an outlet."
        )
    else:
        found = _comparison(f"{case.name}: {gutter}, {clause},", flow, capacity, _MORE)
    drained = f"{length_m:.2f} m drains one way."
    return Verdict(
        subject=f"gutter, {case.name}",
        passed=None if capacity is None else _carries(capacity, flow),
        required=flow.value,
        provided=capacity,
        unit=UNIT,
        clause=clause,
        source=grounds.source,
        sentence=joined((found, drained, case.storm, grounds.hedge)),
    )


_MORE = "take a larger one, more outlets, or the outlet in the middle"


def _use(flow: Measured, capacity: float | None) -> float:
    return flow.high / capacity if capacity else float("inf")


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
    capacity, passed, found = _outlet_finding(case, f"outlet {index + 1}", flow)
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
        sentence=joined((f"{case.name}: {found}", case.storm, grounds.hedge)),
    )


def _outlet_finding(
    case: _Case, what: str, flow: Measured
) -> tuple[float | None, bool | None, str]:
    bore, stated = case.drainage.outlet_mm, case.drainage.outlet_l_s
    if stated is not None:
        remedy = "take a larger one or another outlet"
        return stated, _carries(stated, flow), _comparison(what, flow, stated, remedy)
    if bore is None:
        return None, None, f"{what} cannot be judged: state its bore."
    shown = tabled_outlet_l_s(bore, case.size_mm, case.rules)
    if shown is None:
        return None, None, f"{what} of {bore:g} mm cannot be judged: the table has none."
    if _carries(shown, flow):
        return shown, True, _comparison(f"{what} of {bore:g} mm", flow, shown, "")
    return (
        shown,
        None,
        f"{what} of {bore:g} mm: {flow.high:.2f} l/s come and the table shows no more than "
        f"{shown:.2f} l/s through it here: ask its maker, or add an outlet.",
    )
