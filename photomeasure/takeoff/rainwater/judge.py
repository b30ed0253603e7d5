"""Verdicts: whether a gutter and its outlets carry the rain."""

from dataclasses import dataclass

from photomeasure.takeoff.grounds import Grounds, Judgement, joined
from photomeasure.takeoff.measured import SAME, Measured
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
from photomeasure.takeoff.rules import Rulebook

UNIT = "l/s"
RAIN_KEY = "rainwater.design_rain_l_s_m2"
TABLE_KEY = "rainwater.gutter_table"


@dataclass(frozen=True, slots=True, kw_only=True)
class Rain:
    """Intensity of the storm that a gutter has to carry.

    Attributes
    ----------
    l_s_m2 : float
    source : str
    keys : tuple of str
        Rule it comes from, if any.
    """

    l_s_m2: float
    source: str
    keys: tuple[str, ...] = ()


def design_rain(stated_l_s_m2: float | None, rules: Rulebook) -> Rain | None:
    """Return the stated intensity, else the country's; None where it has none.

    Parameters
    ----------
    stated_l_s_m2 : float or None
    rules : Rulebook

    Returns
    -------
    Rain or None
    """
    if stated_l_s_m2 is not None:
        return Rain(l_s_m2=stated_l_s_m2, source="stated in the job")
    if not rules.has(RAIN_KEY):
        return None
    source = rules.source(RAIN_KEY)
    return Rain(l_s_m2=rules.number(RAIN_KEY), source=source, keys=(RAIN_KEY,))


@dataclass(frozen=True, slots=True, kw_only=True)
class Eaves:
    """An eaves with all that decides whether its gutter is enough.

    Attributes
    ----------
    catchment : Catchment
    run : GutterRun
    gutter : Gutter
    outlet_mm : float or None
        Bore of each outlet; None if nobody said.
    """

    catchment: Catchment
    run: GutterRun
    gutter: Gutter
    outlet_mm: float | None = None


@dataclass(frozen=True, slots=True)
class _Case:
    """One eaves in one storm by one country's rules."""

    eaves: Eaves
    rain: Rain
    rules: Rulebook

    @property
    def name(self) -> str:
        return self.eaves.run.name

    @property
    def area_mm2(self) -> Measured:
        return effective_area_mm2(self.eaves.catchment)

    def flow(self, length_mm: float) -> Measured:
        """Flow off so much of the eaves: rain falls evenly along it."""
        whole = flow_l_s(self.area_mm2, self.rain.l_s_m2)
        share = length_mm / self.eaves.run.length_mm
        return Measured(whole.value * share, whole.u * share)

    def reduced(self, capacity: float, stretch: Stretch) -> float | None:
        """Capacity left by length and angles; None if the stretch is beyond the table."""
        factor = length_factor(stretch.length_mm, self.eaves.gutter.depth_mm, self.rules)
        if factor is None:
            return None
        return capacity * factor * corner_factor(stretch.corners_mm, self.rules)

    def grounds(self, *keys: str) -> Grounds:
        return Grounds(self.rules, (*self.rain.keys, *keys))

    @property
    def storm(self) -> str:
        """Area and intensity for a sentence."""
        area = self.area_mm2.value / MM2_PER_M2
        return f"{area:.1f} m2 effective at {self.rain.l_s_m2:g} l/s on a m2"


def judge_eaves(eaves: Eaves, stated_l_s_m2: float | None, rules: Rulebook) -> Judgement:
    """Judge the gutter and the outlets of one eaves.

    Parameters
    ----------
    eaves : Eaves
    stated_l_s_m2 : float or None
        Intensity that the job states; None for the country's.
    rules : Rulebook

    Returns
    -------
    Judgement
        The gutter by the formula, by the table if it is half-round, and each outlet.
    """
    rain = design_rain(stated_l_s_m2, rules)
    if rain is None or not rules.has(TABLE_KEY):
        return Judgement((_unjudged(eaves, rain, rules),))
    case = _Case(eaves, rain, rules)
    verdicts = [_by_formula(case)]
    if eaves.gutter.half_round_mm is not None:
        verdicts.append(_by_table(case, eaves.gutter.half_round_mm))
    verdicts += (_outlet(case, index) for index in range(len(eaves.run.outlets_mm)))
    return Judgement(tuple(verdicts), (*rain.keys, *FORMULA_KEYS, *TABLE_KEYS))


def _unjudged(eaves: Eaves, rain: Rain | None, rules: Rulebook) -> Verdict:
    what = (
        "state the rainfall of the place"
        if rain is None
        else f"the rules of {rules.country} hold no gutter figures"
    )
    return Verdict(
        subject=f"gutter, {eaves.run.name}",
        passed=None,
        required=None,
        provided=None,
        unit=UNIT,
        clause="none",
        source="no rule was used",
        sentence=f"{eaves.run.name}: the gutter cannot be judged: {what}.",
    )


def _by_formula(case: _Case) -> Verdict:
    """Judge each stretch by the design capacity and report the tightest."""
    full = capacity_l_s(case.eaves.gutter, case.rules)
    clause = case.rules.text("rainwater.gutter_clause")
    subject = f"gutter by {clause}, {case.name}"
    return _tightest(case, subject, full, case.grounds(*FORMULA_KEYS), clause)


def _by_table(case: _Case, size_mm: float) -> Verdict:
    """Judge each stretch by the row of the largest tabled size not above the gutter's."""
    rows = [row for row in gutter_table(case.rules) if row.size_mm <= size_mm * (1 + SAME)]
    clause = case.rules.text("rainwater.table_clause")
    full = max((row.flow_l_s for row in rows), default=None)
    verdict = _tightest(
        case, f"gutter by {clause}, {case.name}", full, case.grounds(*TABLE_KEYS), clause
    )
    least = case.rules.number("rainwater.no_gutter_m2")
    if case.area_mm2.high > least * MM2_PER_M2:
        return verdict
    small = f"Up to {least:g} m2 the table asks no gutter at all."
    return replace(verdict, sentence=joined((verdict.sentence, small)))


def _tightest(
    case: _Case, subject: str, full: float | None, grounds: Grounds, clause: str
) -> Verdict:
    """Compare flow and capacity on the stretch that comes closest to overflowing."""
    name, gutter = case.name, case.eaves.gutter.name
    loads = [
        (case.flow(stretch.length_mm), full and case.reduced(full, stretch), stretch)
        for stretch in stretches(case.eaves.run)
    ]
    flow, capacity, stretch = max(loads, key=lambda load: _use(load[0], load[1]))
    if full is None:
        found = f"{name}: the capacity of {gutter} is not known: state it in l/s."
    elif capacity is None:
        found = (
            f"{name}: {stretch.length_mm / 1000.0:.2f} m of {gutter} to one outlet is "
            "longer than any factor published covers: add an outlet."
        )
    else:
        found = _comparison(f"{name}: {gutter}", flow, capacity)
    return Verdict(
        subject=subject,
        passed=None if capacity is None else _carries(capacity, flow),
        required=flow.value,
        provided=capacity,
        unit=UNIT,
        clause=clause,
        source=joined_sources(case, grounds),
        sentence=f"{found} {case.storm}; {stretch.length_mm / 1000.0:.2f} m drains one way."
        + grounds.hedge,
    )


def _use(flow: Measured, capacity: float | None) -> float:
    return flow.high / capacity if capacity else float("inf")


def _carries(capacity: float, flow: Measured) -> bool:
    return capacity >= flow.high * (1.0 - SAME)


def _comparison(what: str, flow: Measured, capacity: float) -> str:
    if _carries(capacity, flow):
        return f"{what} carries {capacity:.2f} l/s, {flow.value:.2f} l/s come: enough."
    doubt = ""
    if capacity >= flow.value:
        doubt = (
            f" It is enough for the measured sizes, not for the upper end of their "
            f"interval ({flow.high:.2f} l/s), which counts."
        )
    return (
        f"{what} carries {capacity:.2f} l/s, {flow.value:.2f} l/s come: too little; take a "
        f"larger one, more outlets or one in the middle.{doubt}"
    )


def _outlet(case: _Case, index: int) -> Verdict:
    """Judge one outlet by the largest flow that the table gives for its bore."""
    drained = sum(s.length_mm for s in stretches(case.eaves.run) if s.outlet == index)
    flow, bore = case.flow(drained), case.eaves.outlet_mm
    place = f"{case.name}: outlet {index + 1}"
    rows = [
        row
        for row in gutter_table(case.rules)
        if bore is not None and row.outlet_mm <= bore * (1 + SAME)
    ]
    capacity = max((row.flow_l_s for row in rows), default=None)
    grounds = case.grounds(*TABLE_KEYS)
    if capacity is None:
        missing = "state its bore" if bore is None else f"{bore:g} mm is below the table"
        found = f"{place} cannot be judged: {missing}."
    else:
        found = _comparison(f"{place} of {bore:g} mm", flow, capacity)
    return Verdict(
        subject=f"outlet {index + 1}, {case.name}",
        passed=None if capacity is None else _outlet_passes(case, capacity, flow),
        required=flow.value,
        provided=capacity,
        unit=UNIT,
        clause=case.rules.text("rainwater.table_clause"),
        source=joined_sources(case, grounds),
        sentence=found + grounds.hedge,
    )
