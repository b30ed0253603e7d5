"""Rainwater of a whole take-off: verdicts, and what is bought or refitted."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Final

from calibration.errors import InputError
from photomeasure.job.rainwater import (
    GutterLine,
    GutterSpec,
    GutterWork,
    RainwaterSpec,
    Spot,
)
from photomeasure.job.takeoff import RunEnd
from photomeasure.takeoff.grounds import Judgement
from photomeasure.takeoff.house import Eaves, House
from photomeasure.takeoff.measured import Measured
from photomeasure.takeoff.model import Item, Quantity, Section, Unit
from photomeasure.takeoff.parts import Part, Work
from photomeasure.takeoff.rainwater.catchment import Catchment, rain_from_mm_h
from photomeasure.takeoff.rainwater.fittings import (
    GutterParts,
    GutterRules,
    PipeParts,
    gutter_parts,
    pipe_parts,
)
from photomeasure.takeoff.rainwater.gutter import Gutter, GutterRun, half_round
from photomeasure.takeoff.rainwater.judge import Drainage, judge_drainage
from photomeasure.takeoff.roof_size import pitch_of, span_of
from photomeasure.takeoff.rules import Rulebook
from photomeasure.takeoff.tally import metres

STOCK_KEY = "rainwater.gutter_length_mm"
BRACKET_KEY, SNOW_KEY = "rainwater.bracket_centres_mm", "rainwater.bracket_centres_snow_mm"
BESIDE_KEY = "rainwater.bracket_from_fitting_mm"
PIPE_KEYS: Final = ("rainwater.pipe_length_mm", "rainwater.clip_centres_mm")

CORNERS: Final = (RunEnd.EXTERNAL, RunEnd.INTERNAL, RunEnd.HIP)
"""Ends at which the gutter goes on round the corner."""


def verdicts_and_quantities(work: Work, rules: Rulebook) -> Part:
    """Judge the gutters of a house and count what they take.

    Parameters
    ----------
    work : Work
    rules : Rulebook

    Returns
    -------
    Part
        Empty if the job says nothing of gutters.
    """
    spec, house = work.house.spec.rainwater, work.house
    if spec is None or not house.eaves:
        return Part()
    runs = tuple(_runs(spec, house))
    judged = [judge_drainage(d, rules) for d in _drainages(spec, house, runs)]
    return Part(
        quantities=tuple(_quantities(spec, runs, rules)),
        verdicts=tuple(verdict for one in judged for verdict in one.verdicts),
        cautions=tuple(_cautions(spec, house, runs)),
        rules=_keys(judged),
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Run:
    """An eaves with what the job says of its gutter."""

    eaves: Eaves
    line: GutterLine
    run: GutterRun

    @property
    def closed_ends(self) -> int:
        return sum(end not in CORNERS for end in self.eaves.ends)


def _runs(spec: RainwaterSpec, house: House) -> Iterator[_Run]:
    lines = {line.name: line for line in spec.lines}
    if len(lines) < len(spec.lines):
        names = [line.name for line in spec.lines]
        twice = next(name for name in names if names.count(name) > 1)
        raise InputError(
            "takeoff.rainwater.lines",
            f"{twice!r} is there twice",
            "state all outlets and angles of a line together",
        )
    for eaves in house.eaves:
        line = lines.get(eaves.name)
        if line is not None:
            length_mm = float(eaves.length_mm)
            run = GutterRun(
                name=eaves.name,
                length_mm=length_mm,
                outlets_mm=_places_mm(line.outlets, length_mm),
                corners_mm=_places_mm(line.angles, length_mm),
            )
            yield _Run(eaves, line, run)


def _places_mm(places: Sequence[Spot | float], length_mm: float) -> tuple[float, ...]:
    return tuple(sorted(_place_mm(place, length_mm) for place in places))


def _place_mm(place: Spot | float, length_mm: float) -> float:
    if isinstance(place, Spot):
        return _SHARE[place] * length_mm
    return place


_SHARE: Final = {Spot.LEFT: 0.0, Spot.MIDDLE: 0.5, Spot.RIGHT: 1.0}


def _keys(judged: list[Judgement]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(key for one in judged for key in one.keys))


def _drainages(
    spec: RainwaterSpec, house: House, runs: tuple[_Run, ...]
) -> Iterator[Drainage]:
    pitch = pitch_of(house)
    if spec.gutter is None or pitch is None:
        return
    gutter = _gutter(spec.gutter)
    for one in runs:
        width = _width(one.line, house)
        if width is not None:
            yield Drainage(
                catchment=Catchment(
                    name=one.run.name,
                    length_mm=Measured(one.run.length_mm, one.eaves.u_mm),
                    width_mm=width,
                    pitch_rad=pitch,
                    wall_mm2=one.line.wall_mm2,
                ),
                run=one.run,
                gutter=gutter,
                outlet_mm=spec.outlet_mm,
                outlet_l_s=spec.outlet_l_s,
                rain_l_s_m2=spec.rain_mm_h and rain_from_mm_h(spec.rain_mm_h),
            )


def _gutter(spec: GutterSpec) -> Gutter:
    if spec.half_round_mm is None:
        return Gutter(
            name=spec.name or "gutter",
            depth_mm=spec.depth_mm or 0.0,
            capacity_l_s=spec.capacity_l_s,
        )
    plain = half_round(spec.half_round_mm)
    if spec.capacity_l_s is None:
        return plain
    return replace(plain, capacity_l_s=spec.capacity_l_s)


def _width(line: GutterLine, house: House) -> Measured | None:
    """Plan width of the slope: stated, or half the span."""
    if line.plan_width_mm is not None:
        return Measured(line.plan_width_mm)
    span = span_of(house)
    return span and Measured(span.value / 2.0, span.u / 2.0)


def _cautions(spec: RainwaterSpec, house: House, runs: tuple[_Run, ...]) -> Iterator[str]:
    """Say which gutters are left out or not judged, and what would mend it."""
    yield from _about_names(spec, house, runs)
    for one in runs:
        if spec.downpipes and one.eaves.height_mm is None:
            yield f"{one.eaves.name}: downpipes left out: its height is not known."
    if spec.gutter is None:
        yield "No gutter was judged: say which gutter it is."
    if house.pitch_rad is None:
        yield "No gutter was judged: the pitch of the roof is not known."
    if any(_width(one.line, house) is None for one in runs):
        yield "Some gutters were not judged: state the span, or their plan width."


def _about_names(
    spec: RainwaterSpec, house: House, runs: tuple[_Run, ...]
) -> Iterator[str]:
    with_gutter = {one.eaves.name for one in runs}
    measured = {eaves.name for eaves in house.eaves}
    for eaves in house.eaves:
        if eaves.name not in with_gutter:
            yield f"{eaves.name}: gutter left out: say where its outlets are."
    for line in spec.lines:
        if line.name not in measured:
            yield f"{line.name}: no eaves of that name was measured, so it has no gutter."


def _quantities(
    spec: RainwaterSpec, runs: tuple[_Run, ...], rules: Rulebook
) -> Iterator[Quantity]:
    name = _gutter(spec.gutter).name if spec.gutter else "gutter"
    for one in runs:
        if spec.work is GutterWork.REFIT:
            yield _refitted(one)
        else:
            yield from _new_gutter(one, name, spec, rules)
        if spec.downpipes:
            yield from _downpipes(one, rules)
    if spec.work is GutterWork.RENEW:
        yield from _angles(runs, name)


def _refitted(one: _Run) -> Quantity:
    return Quantity(
        item=_item("gutter taken down and refitted", "", Unit.METRE),
        amount=metres(one.eaves.length_mm),
        lines=(one.eaves.line,),
        rules=(),
        working=f"{one.eaves.line}: along {one.eaves.length_mm} mm",
    )


def _new_gutter(
    one: _Run, name: str, spec: RainwaterSpec, rules: Rulebook
) -> Iterator[Quantity]:
    centres_key = SNOW_KEY if spec.snow else BRACKET_KEY
    stock_mm = rules.number(STOCK_KEY)
    parts = gutter_parts(
        one.run,
        GutterRules(
            stock_mm=stock_mm,
            bracket_centres_mm=rules.number(centres_key),
            bracket_from_fitting_mm=rules.number(BESIDE_KEY),
        ),
        one.closed_ends,
    )
    lengths = " + ".join(f"{piece:.0f}" for piece in parts.pieces_mm)
    sums: tuple[tuple[str, int, tuple[str, ...], str], ...] = (
        ("length", parts.stock, (STOCK_KEY,), f"{lengths} mm from {stock_mm:g} mm lengths"),
        ("union", len(parts.unions_mm), (STOCK_KEY,), "where two lengths meet"),
        ("bracket", len(parts.brackets_mm), (centres_key, BESIDE_KEY), _at(parts)),
        ("outlet", parts.outlets, (), "as the job places them"),
        ("stop end", parts.stop_ends, (), "one at each end that no corner takes on"),
    )
    for what, count, keys, working in sums:
        if count:
            yield Quantity(
                item=_item(f"gutter {what}", name, Unit.EACH),
                amount=Decimal(count),
                lines=(one.eaves.line,),
                rules=keys,
                working=f"{one.eaves.line}: {working}: {count}",
            )


def _at(parts: GutterParts) -> str:
    places = ", ".join(f"{place:.0f}" for place in parts.brackets_mm)
    return f"at {places} mm"


def _angles(runs: tuple[_Run, ...], name: str) -> Iterator[Quantity]:
    """Count corners of the house, each an end of two eaves, and angles on the way."""
    corners = [one for one in runs for end in one.eaves.ends if end in CORNERS]
    turning = [one for one in runs for _ in one.run.corners_mm]
    count = math.ceil(len(corners) / 2) + len(turning)
    sums = [f"{len(corners)} ends at corners, two to an angle"] if corners else []
    sums += [f"{len(turning)} on the way"] if turning else []
    if count:
        yield Quantity(
            item=_item("gutter angle", name, Unit.EACH),
            amount=Decimal(count),
            lines=tuple(dict.fromkeys(one.eaves.line for one in (*corners, *turning))),
            rules=(),
            working=f"{', and '.join(sums)}: {count}",
        )


def _downpipes(one: _Run, rules: Rulebook) -> Iterator[Quantity]:
    height_mm = one.eaves.height_mm
    if height_mm is None:
        return
    overhang = one.eaves.overhang
    overhang_mm = overhang.value_mm if overhang else 0.0
    stock_mm, clips_mm = map(rules.number, PIPE_KEYS)
    pipe = pipe_parts(height_mm, overhang_mm, stock_mm, clips_mm)
    yield from _pipe_quantities(one, pipe, f"{height_mm:.0f} + {overhang_mm:.0f} mm")


def _pipe_quantities(one: _Run, pipe: PipeParts, reach: str) -> Iterator[Quantity]:
    pipes = len(one.run.outlets_mm)
    for what, each in (
        ("length", pipe.stock),
        ("socket", pipe.sockets),
        ("clip", pipe.clips),
        ("offset bend", pipe.offsets),
        ("shoe", 1),
    ):
        if each:
            yield Quantity(
                item=_item(f"downpipe {what}", "", Unit.EACH),
                amount=Decimal(pipes * each),
                lines=(one.eaves.line,),
                rules=PIPE_KEYS,
                working=f"{one.eaves.line}: {pipes} pipes of {reach}, {each} each",
            )


def _item(what: str, size: str, unit: Unit) -> Item:
    words = (what, size) if size else (what,)
    return Item(
        code="/".join(word.replace(" ", "-") for word in words).lower(),
        description=", ".join(words)[:1].upper() + ", ".join(words)[1:],
        unit=unit,
        section=Section.RAINWATER,
    )
