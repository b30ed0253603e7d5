"""What comes off, how it is reached, the verge, and the hours."""

from collections.abc import Iterable, Sequence
from math import ceil, cos, sin
from typing import Final

from photomeasure.job.takeoff import VergeWork, WorkKind
from photomeasure.takeoff.house import Eaves, Rake
from photomeasure.takeoff.model import Quantity, Section, Unit
from photomeasure.takeoff.parts import Part, Work
from photomeasure.takeoff.rules import Rulebook
from photomeasure.takeoff.tally import Tally, item, metres, rounded

_FASCIA_T: Final = "strip_out.fascia_thickness_mm"
_SOFFIT_T: Final = "strip_out.soffit_thickness_mm"
_DENSITY: Final = "strip_out.density_kg_m3"
_BULKING: Final = "strip_out.bulking"
_BAG: Final = "strip_out.bag_m3"
_BAGS: Final = "strip_out.bags_at_most"
_SKIPS: Final = "strip_out.skips_m3"
_BELOW, _LIFT, _BEYOND, _TOWER = (
    f"access.{word}"
    for word in ("platform_below_mm", "lift_mm", "beyond_end_mm", "tower_length_mm")
)


def strip_out(work: Work, rules: Rulebook) -> Part:
    """Return volume and weight of the old boards, and bags or a skip for them.

    Parameters
    ----------
    work : Work
    rules : Rulebook

    Returns
    -------
    Part
        Nothing if the old boards stay under cover boards.
    """
    if work.house.spec.work is WorkKind.COVER:
        return Part(
            cautions=(
                "Cover boards go over old timber: probe every board first, and replace "
                "what is soft; a cover board carries neither gutter nor tiles by itself.",
            )
        )
    solid_m3 = [(line, words, mm3 / 1e9) for line, words, mm3 in _old_boards(work, rules)]
    total = sum(volume for _, _, volume in solid_m3)
    weight = Tally(
        item(
            "strip-out/weight", "old boards to carry away", Unit.KILOGRAM, Section.STRIP_OUT
        ),
        (_FASCIA_T, _SOFFIT_T, _DENSITY),
    )
    density = rules.number(_DENSITY)
    for line, words, volume in solid_m3:
        weight.add(rounded(volume * density), line, f"{words} x {density:g} kg/m3")
    return Part(quantities=(*weight.quantities(), *_container(total, rules)))


def _old_boards(work: Work, rules: Rulebook) -> Iterable[tuple[str, str, float]]:
    """Yield line, sum in words and solid volume in mm3."""
    fascia, soffit = rules.number(_FASCIA_T), rules.number(_SOFFIT_T)
    for eaves in work.house.eaves:
        deep = round(eaves.fascia_depth.value_mm)
        wide = round(eaves.overhang.value_mm) if eaves.overhang else 0
        section = deep * fascia + wide * soffit
        words = f"{eaves.length_mm} mm x ({deep} x {fascia:g} + {wide} x {soffit:g}) mm2"
        yield eaves.line, words, eaves.length_mm * section
    for rake in work.house.rakes:
        deep = round(rake.depth.value_mm)
        wide = round(rake.overhang.value_mm) if rake.overhang else 0
        section = deep * fascia + wide * soffit
        words = f"{rake.length_mm} mm x ({deep} x {fascia:g} + {wide} x {soffit:g}) mm2"
        yield rake.line, words, rake.length_mm * section


def _container(solid_m3: float, rules: Rulebook) -> tuple[Quantity, ...]:
    """Return bags for a little, else the smallest skips that hold it."""
    bulk, bag = solid_m3 * rules.number(_BULKING), rules.number(_BAG)
    keys = (_FASCIA_T, _SOFFIT_T, _BULKING, _BAG, _BAGS, _SKIPS)
    words = f"{solid_m3:.3f} m3 solid x {rules.number(_BULKING):g} = {bulk:.2f} m3 loose"
    bags = ceil(bulk / bag - 1e-9)
    if bags <= rules.number(_BAGS):
        label = item("strip-out/bag", f"bulk bag {bag:g} m3", Unit.EACH, Section.STRIP_OUT)
        tally = Tally(label, keys)
        tally.add(bags, "", f"{words}, {bag:g} m3 a bag, rounded up")
        return tally.quantities()
    sizes = sorted(rules.numbers(_SKIPS))
    size = next((s for s in sizes if s >= bulk), sizes[-1])
    label = item(
        f"strip-out/skip/{size:g}", f"skip {size:g} m3", Unit.EACH, Section.STRIP_OUT
    )
    tally = Tally(label, keys)
    tally.add(ceil(bulk / size - 1e-9), "", f"{words}, the smallest skip that holds it")
    return tally.quantities()


def verge(work: Work, rules: Rulebook) -> Part:
    """Return mortar or dry verge pieces for verge tiles that come up.

    Parameters
    ----------
    work : Work
    rules : Rulebook

    Returns
    -------
    Part
    """
    mortar = Tally(
        item(
            "verge/mortar-mix", "dry mortar mix for the verge", Unit.KILOGRAM, Section.VERGE
        ),
        ("verge.mortar.kg_per_m",),
    )
    units = Tally(
        item("verge/dry-unit", "dry verge unit", Unit.EACH, Section.VERGE),
        ("verge.dry.gauge_mm",),
    )
    ends = Tally(item("verge/dry-end", "dry verge end at a foot", Unit.EACH, Section.VERGE))
    tops = Tally(item("verge/dry-ridge", "dry verge ridge end", Unit.EACH, Section.VERGE))
    seen: set[frozenset[str]] = set()
    for rake in work.house.rakes:
        if rake.verge is VergeWork.MORTAR:
            per = rules.number("verge.mortar.kg_per_m")
            amount = rounded(rake.length_mm / 1000 * per)
            mortar.add(amount, rake.line, f"{rake.length_mm} mm at {per:g} kg a metre")
        elif rake.verge is VergeWork.DRY:
            gauge = rules.number("verge.dry.gauge_mm")
            courses = ceil(rake.length_mm / gauge - 1e-9)
            units.add(courses, rake.line, f"{rake.length_mm} mm at {gauge:g} mm gauge")
            ends.add(1, rake.line, "one a foot")
            gable = frozenset(name for name in (rake.name, rake.partner) if name)
            if gable not in seen:
                tops.add(1, rake.line, "one a gable")
            seen.add(gable)
    tallies = (mortar, units, ends, tops)
    return Part(quantities=tuple(q for tally in tallies for q in tally.quantities()))


def access(work: Work, rules: Rulebook) -> Part:
    """Return tower or scaffold for each run.

    Parameters
    ----------
    work : Work
    rules : Rulebook

    Returns
    -------
    Part
        Scaffold in metres of run times lifts; the law decides, not this list.
    """
    tower = Tally(
        item("access/tower", "mobile tower, each position", Unit.EACH, Section.ACCESS),
        (_TOWER, _BEYOND, _BELOW, _LIFT),
    )
    scaffold = Tally(
        item(
            "access/scaffold-lift",
            "scaffold with guard rails, metre of run a lift",
            Unit.METRE,
            Section.ACCESS,
        ),
        (_TOWER, _BEYOND, _BELOW, _LIFT),
    )
    unknown: list[str] = []
    runs: tuple[Eaves | Rake, ...] = (*work.house.eaves, *work.house.rakes)
    for run in runs:
        if run.height_mm is None:
            unknown.append(run.line)
            continue
        reach, top = _reach(run)
        platform = max(0.0, top - rules.number(_BELOW))
        lifts = max(1, ceil(platform / rules.number(_LIFT) - 1e-9))
        length = reach + 2 * rules.number(_BEYOND)
        words = (
            f"eaves run of {reach:.0f} mm"
            if isinstance(run, Eaves)
            else (f"gable half of {reach:.0f} mm, to the apex")
        )
        words += f" at {top / 1000:.1f} m, platform at {platform / 1000:.1f} m"
        if reach <= rules.number(_TOWER):
            tower.add(1, run.line, words)
        else:
            amount = metres(length * lifts)
            scaffold.add(amount, run.line, f"{words}: {length:.0f} mm x {lifts} lifts")
    return Part(
        quantities=(*tower.quantities(), *scaffold.quantities()),
        cautions=(*_unknown_heights(unknown), _height_caution(rules)),
        rules=("access.law",),
    )


def _reach(run: Eaves | Rake) -> tuple[float, float]:
    """Return the length in plan and the greatest height of a run, millimetres."""
    height = run.height_mm or 0.0
    if isinstance(run, Eaves):
        return float(run.length_mm), height
    across = run.length_mm * cos(run.pitch_rad)
    return across, height + run.length_mm * sin(run.pitch_rad)


def _unknown_heights(lines: list[str]) -> tuple[str, ...]:
    if not lines:
        return ()
    return (
        f"No access was counted for {', '.join(lines)}: the height above ground is not "
        "known; pick the ground below the soffit or state takeoff.roof.eaves_height_mm.",
    )


def _height_caution(rules: Rulebook) -> str:
    return (
        "Tower and scaffold lengths are for asking prices only. Whoever is competent for "
        f"access decides on site ({rules.text('access.law')}): ground, overhead lines, "
        "ties, edge protection and weather come first, and local rules prevail."
    )


def labour(work: Work, rules: Rulebook) -> Part:
    """Return the hours of one person for each operation.

    Parameters
    ----------
    work : Work
    rules : Rulebook

    Returns
    -------
    Part
    """
    soffits = [e for e in work.house.eaves if e.overhang is not None]
    lifted = [r for r in work.house.rakes if r.verge is not VergeWork.LEFT]
    along: dict[str, tuple[str, Sequence[Eaves | Rake]]] = {
        "fascia": ("fit fascia", work.house.eaves),
        "soffit": ("fit soffit", soffits),
        "barge": ("fit barge board", work.house.rakes),
        "verge": ("lift and bed verge tiles", lifted),
    }
    if work.house.spec.work is WorkKind.REPLACE:
        every: tuple[Eaves | Rake, ...] = (*work.house.eaves, *work.house.rakes)
        along = {"strip": ("strip old boards", every), **along}
    tallies = []
    for word, (what, runs) in along.items():
        key = f"labour.{word}_h_per_m"
        label = item(f"labour/{word}", what, Unit.HOUR, Section.LABOUR)
        tally = Tally(label, (key,))
        for run in runs:
            hours = rounded(run.length_mm / 1000 * rules.number(key))
            words = f"{run.length_mm} mm at {rules.number(key):g} h a metre"
            tally.add(hours, run.line, words)
        tallies.append(tally)
    key = "labour.box_end_h"
    boxes = Tally(item("labour/box-end", "fit box end", Unit.HOUR, Section.LABOUR), (key,))
    for box in work.box_ends:
        boxes.add(rounded(rules.number(key)), box.shape.line, "one box end")
    tallies.append(boxes)
    return Part(quantities=tuple(q for tally in tallies for q in tally.quantities()))
