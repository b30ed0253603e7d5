"""Ventilation of a whole take-off: verdicts, and what is bought for it."""

from collections.abc import Iterator, Sequence
from decimal import Decimal
from typing import Final

from photomeasure.job.ventilation import (
    MeansKind,
    MeansSpec,
    Regulation,
    VentilationSpec,
)
from photomeasure.takeoff.house import Eaves, House
from photomeasure.takeoff.measured import Measured
from photomeasure.takeoff.model import Item, Quantity, Section, Unit
from photomeasure.takeoff.parts import Part, Work
from photomeasure.takeoff.roof_size import pitch_of, span_of
from photomeasure.takeoff.rules import Rulebook
from photomeasure.takeoff.ventilation.attic import Attic, judge_attic
from photomeasure.takeoff.ventilation.counting import pieces_along, spaced_along
from photomeasure.takeoff.ventilation.judge import judge
from photomeasure.takeoff.ventilation.openings import (
    MM_PER_M,
    Continuous,
    Means,
    Run,
    Spaced,
)
from photomeasure.takeoff.ventilation.roof import Roof

_IRC: Final = (Regulation.IRC_OLDER, Regulation.IRC_2018)

_LENGTH_KEYS: Final = {
    MeansKind.OVER_FASCIA: "ventilation.strip_length_mm",
    MeansKind.SOFFIT_STRIP: "ventilation.soffit_strip_length_mm",
    MeansKind.RIDGE: "ventilation.ridge_length_mm",
}
"""Continuous means that are bought in lengths; a vented soffit is bought as a board."""

LOCAL: Final = (
    "Roof ventilation is judged by reported figures, not by the standards themselves: "
    "building control where the house stands decides."
)
"""Said with every judgement of ventilation."""

TRAY_KEYS: Final = ("ventilation.tray_length_mm", "ventilation.tray_lap_mm")


def verdicts_and_quantities(work: Work, rules: Rulebook) -> Part:
    """Judge the ventilation of a house and count what it takes.

    Parameters
    ----------
    work : Work
    rules : Rulebook

    Returns
    -------
    Part
        Empty if the job says nothing of ventilation.
    """
    spec, house = work.house.spec.ventilation, work.house
    if spec is None or not house.eaves:
        return Part()
    if spec.regulation in _IRC:
        found = judge_attic(_attic(spec, house), spec.regulation, rules)
    else:
        roof, eaves = _roof(spec, house), _eaves(spec, house)
        high = None if spec.high is None else _high(spec, house)
        found = judge(roof, spec.regulation, rules, eaves, high)
    return Part(
        quantities=tuple(_quantities(spec, house, rules)),
        verdicts=found.verdicts,
        cautions=(LOCAL,),
        rules=found.keys,
    )


def _roof(spec: VentilationSpec, house: House) -> Roof:
    return Roof(
        form=spec.form,
        ceiling=house.spec.roof.ceiling,
        underlay=house.spec.roof.underlay,
        covering=spec.covering,
        dwelling=spec.dwelling,
        pitch_rad=pitch_of(house),
        span_mm=span_of(house),
    )


def means_of(spec: MeansSpec) -> Means:
    """Return one chosen means as the calculation knows it."""
    if spec.free_mm2_per_m is not None:
        return Continuous(name=spec.kind, free_mm2_per_m=spec.free_mm2_per_m)
    return Spaced(
        name=spec.kind,
        free_mm2_each=spec.free_mm2_each or 0.0,
        spacing_mm=spec.spacing_mm or 0.0,
    )


def _chosen(specs: Sequence[MeansSpec] | None) -> tuple[Means, ...] | None:
    return None if specs is None else tuple(map(means_of, specs))


def _eaves(spec: VentilationSpec, house: House) -> tuple[Run, ...]:
    means = _chosen(spec.eaves)
    return tuple(
        Run(name=e.name, length_mm=Measured(float(e.length_mm), e.u_mm), means=means)
        for e in house.eaves
    )


def _high(spec: VentilationSpec, house: House) -> tuple[Run, ...]:
    """One run as long as the ridge; nothing if nothing is chosen there."""
    if not spec.high:
        return ()
    return (Run(name="ridge", length_mm=_ridge_mm(spec, house), means=_chosen(spec.high)),)


def _ridge_mm(spec: VentilationSpec, house: House) -> Measured:
    if spec.high_length_mm is not None:
        return Measured(spec.high_length_mm)
    longest = max(house.eaves, key=lambda e: e.length_mm)
    return Measured(float(longest.length_mm), longest.u_mm)


def _attic(spec: VentilationSpec, house: House) -> Attic:
    return Attic(
        name="attic",
        area_mm2=_stated(spec.attic_area_mm2),
        low_mm2=_given_mm2(_eaves(spec, house)),
        high_mm2=None if spec.high is None else _given_mm2(_high(spec, house)),
        retarder=spec.retarder,
        climate_zone=spec.climate_zone,
        high_above_eaves_mm=_stated(spec.high_above_eaves_mm),
        high_below_top_mm=_stated(spec.high_below_top_mm),
    )


def _stated(number: float | None) -> Measured | None:
    return None if number is None else Measured(number)


def _given_mm2(runs: Sequence[Run]) -> float | None:
    rates = [(run.rate_mm2_per_m, run.length_mm.value) for run in runs]
    if any(rate is None for rate, _ in rates):
        return None
    return sum((rate or 0.0) * length / MM_PER_M for rate, length in rates)


def _quantities(spec: VentilationSpec, house: House, rules: Rulebook) -> Iterator[Quantity]:
    for eaves in house.eaves:
        for means in spec.eaves or ():
            yield from _bought(means, float(eaves.length_mm), (eaves.line,), rules)
        if spec.trays:
            yield _trays(eaves, rules)
    for means in spec.high or ():
        yield from _bought(means, _ridge_mm(spec, house).value, (), rules)


def _bought(
    means: MeansSpec, length_mm: float, lines: tuple[str, ...], rules: Rulebook
) -> Iterator[Quantity]:
    if means.there_already or means.kind is MeansKind.VENTED_SOFFIT:
        return
    chosen = means_of(means)
    if isinstance(chosen, Spaced):
        count = spaced_along(length_mm, chosen.spacing_mm)
        keys: tuple[str, ...] = ()
        working = f"{length_mm:.0f} mm at {chosen.spacing_mm:g} mm = {count}"
        size = f"{chosen.free_mm2_each:g} mm2 each"
    elif means.kind in _LENGTH_KEYS:
        keys = (_LENGTH_KEYS[means.kind],)
        piece_mm = rules.number(keys[0])
        count = pieces_along(length_mm, piece_mm)
        working = f"{length_mm:.0f} mm in lengths of {piece_mm:g} mm = {count}"
        size = f"{chosen.free_mm2_per_m:g} mm2/m"
    else:
        return
    yield Quantity(
        item=_item(str(means.kind), size),
        amount=Decimal(count),
        lines=lines,
        rules=keys,
        working=": ".join((*lines, working)),
    )


def _trays(eaves: Eaves, rules: Rulebook) -> Quantity:
    tray_mm, lap_mm = map(rules.number, TRAY_KEYS)
    count = pieces_along(float(eaves.length_mm), tray_mm, lap_mm)
    return Quantity(
        item=_item("underlay support tray", f"{tray_mm:g} mm"),
        amount=Decimal(count),
        lines=(eaves.line,),
        rules=TRAY_KEYS,
        working=f"{eaves.line}: {eaves.length_mm} mm in trays of {tray_mm:g} mm "
        f"that lap {lap_mm:g} mm = {count}",
    )


def _item(name: str, size: str) -> Item:
    code = "/".join(word.replace(" ", "-") for word in (name, size.removesuffix("/m")))
    return Item(
        code=code.lower(),
        description=f"{name[:1].upper()}{name[1:]}, {size}",
        unit=Unit.EACH,
        section=Section.VENTILATION,
    )
