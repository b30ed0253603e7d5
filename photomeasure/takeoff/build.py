"""From a measured job and stated facts to the house, or the reason why a line has none."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from calibration.errors import InputError
from photomeasure.job.schema import Role
from photomeasure.job.takeoff import FootCut, RunEnd, SoffitForm, TakeoffSpec
from photomeasure.results import Gable, MeasuredElevation, MeasuredJob, MeasuredSoffit
from photomeasure.takeoff import sizes
from photomeasure.takeoff.asbestos import suspect
from photomeasure.takeoff.house import Eaves, House, Rake, Size
from photomeasure.takeoff.lines import RealLine, Slope, real_lines, slopes, unmeasured
from photomeasure.takeoff.model import End, Stop
from photomeasure.takeoff.rules import Rulebook

PITCH_APART_RAD: Final = float(np.radians(2.0))
"""Stated and measured pitch further apart are worth a second look. No source."""

USUAL_END: Final = RunEnd.GABLE
"""Assumed where nobody says what an eaves run meets: square, nothing to go round."""

_FOOT: Final = {
    FootCut.PLUMB: End.PLUMB,
    FootCut.LEVEL: End.LEVEL,
    FootCut.SQUARE: End.SQUARE,
}


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Built:
    """A house and the lines that could not be taken off."""

    house: House
    stops: tuple[Stop, ...]


class NotKnown(InputError):
    """A size that nobody measured or stated and that cannot be assumed."""

    def __init__(self, label: str, what: str, measure: str, field: str) -> None:
        super().__init__(label, f"the {what} is not known", f"{measure}, or state {field}")


def build_house(job: MeasuredJob, spec: TakeoffSpec, rules: Rulebook) -> Built:
    """Put the house together.

    Parameters
    ----------
    job : MeasuredJob
    spec : TakeoffSpec
    rules : Rulebook

    Returns
    -------
    Built
        Lines that cannot be taken off are stops; they cost no other line.

    Raises
    ------
    InputError
        If the job states facts of a line that is not there.
    """
    return _Builder(job, spec, rules).built()


class _Builder:
    """Holds what all lines of one job share while its house is put together."""

    def __init__(self, job: MeasuredJob, spec: TakeoffSpec, rules: Rulebook) -> None:
        self.job, self.spec, self.rules = job, spec, rules
        self.lines = real_lines(job, spec)
        self.said: list[str] = []
        self.stops: list[Stop] = list(unmeasured(job, spec))
        self.pitch_rad = self._pitch()

    def built(self) -> Built:
        eaves = tuple(e for line in self._eaves_lines() for e in self._try_eaves(line))
        rake_lines = [e for e in self.lines if e.line.role in (Role.RAKE, Role.VERGE)]
        rakes = tuple(
            rake
            for line in rake_lines
            for slope in slopes(line)
            for rake in self._try_rake(line, slope, eaves)
        )
        self._check_corners(eaves)
        self._check_pairs(rakes)
        house = House(
            title=self.job.title,
            spec=self.spec,
            eaves=eaves,
            rakes=rakes,
            pitch_rad=self.pitch_rad,
            span_mm=self._span(),
            pitch_u_rad=self._pitch_u(),
            span_u_mm=self._span_u(),
            cautions=tuple(dict.fromkeys(self.said)),
        )
        return Built(house=house, stops=_each_once(self.stops))

    def _eaves_lines(self) -> list[RealLine]:
        """Take fascia lines only of photos without an eaves line: they are one edge."""
        with_eaves = {e.elevation.name for e in self.lines if e.line.role is Role.EAVES}
        chosen = []
        for entry in self.lines:
            if entry.line.role is Role.FASCIA and entry.elevation.name in with_eaves:
                self.said.append(
                    f"{entry.label} is taken for the same edge as the eaves of its photo "
                    "and not counted again: give it the role eaves if it is another."
                )
            elif entry.line.role in (Role.EAVES, Role.FASCIA):
                chosen.append(entry)
        return chosen

    def _try_eaves(self, entry: RealLine) -> Iterable[Eaves]:
        stop = suspect(entry.label, entry.facts, self.spec, self.rules)
        if stop is not None:
            self.stops.append(stop)
            return ()
        try:
            return (self._eaves(entry),)
        except NotKnown as error:
            self.stops.append(Stop(lines=(entry.label,), reason=str(error)))
            return ()

    def _eaves(self, entry: RealLine) -> Eaves:
        soffit = _soffit_of(entry)
        start, end = (self._end(entry, side) for side in ("start", "end"))
        eaves = Eaves(
            line=entry.label,
            name=entry.line.name,
            length=entry.length,
            start=start,
            end=end,
            fascia_depth=self._fascia_depth(entry),
            overhang=self._overhang(entry, soffit),
            height_mm=self._height(entry, soffit),
            pitch_rad=self.pitch_rad,
            taped=entry.taped,
        )
        boxed = RunEnd.BOX_END in eaves.ends and eaves.overhang is not None
        if boxed and self.pitch_rad is None:
            raise NotKnown(
                entry.label, "pitch of its box end", "measure a gable", "roof.pitch_deg"
            )
        return eaves

    def _end(self, entry: RealLine, side: str) -> RunEnd:
        stated: RunEnd | None = getattr(entry.facts, side)
        if stated is not None:
            return stated
        self.said.append(
            f"{entry.label}: assumed that its {'left' if side == 'start' else 'right'} end "
            f"meets nothing ({USUAL_END}): state takeoff.lines[].{side}."
        )
        return USUAL_END

    def _fascia_depth(self, entry: RealLine) -> Size:
        if entry.facts.fascia_depth_mm is not None:
            return sizes.stated(entry.facts.fascia_depth_mm)
        traced = sizes.widest(_depths(entry.elevation))
        if traced is not None:
            return traced
        if self.spec.roof.fascia_depth_mm is not None:
            return sizes.stated(self.spec.roof.fascia_depth_mm)
        raise NotKnown(
            entry.label,
            "depth of its fascia",
            "trace a fascia_depth line in its photo",
            "takeoff.roof.fascia_depth_mm",
        )

    def _overhang(self, entry: RealLine, soffit: MeasuredSoffit | None) -> Size | None:
        if self.spec.roof.soffit_form is SoffitForm.NONE:
            return None
        if entry.facts.soffit_width_mm is not None:
            return sizes.stated(entry.facts.soffit_width_mm)
        if soffit is not None:
            return sizes.measured(soffit.overhang)
        if self.spec.roof.soffit_width_mm is not None:
            return sizes.stated(self.spec.roof.soffit_width_mm)
        raise NotKnown(
            entry.label,
            "width of its soffit",
            "trace the soffit in its photo",
            'takeoff.roof.soffit_width_mm, or takeoff.roof.soffit_form "none"',
        )

    def _height(self, entry: RealLine, soffit: MeasuredSoffit | None) -> float | None:
        if entry.facts.height_mm is not None:
            return entry.facts.height_mm
        if soffit is not None and soffit.height_above == "ground":
            return float(soffit.height.values[0])
        return self.spec.roof.eaves_height_mm

    def _try_rake(
        self, entry: RealLine, slope: Slope, eaves: Sequence[Eaves]
    ) -> Iterable[Rake]:
        stop = suspect(entry.label, entry.facts, self.spec, self.rules)
        if stop is not None:
            self.stops.append(stop)
            return ()
        try:
            return (self._rake(entry, slope, eaves),)
        except NotKnown as error:
            self.stops.append(Stop(lines=(entry.label,), reason=str(error)))
            return ()

    def _rake(self, entry: RealLine, slope: Slope, eaves: Sequence[Eaves]) -> Rake:
        foot = entry.facts.foot or FootCut(self.rules.text("boards.barge.foot_cut"))
        stated = self.spec.roof.pitch_deg
        width = entry.facts.soffit_width_mm
        return Rake(
            line=f"{entry.elevation.name}: {slope.name}",
            name=slope.name,
            length=slope.length,
            pitch_rad=slope.pitch_rad if stated is None else float(np.radians(stated)),
            hand=slope.hand,
            foot=_FOOT[foot],
            partner=slope.partner,
            depth=self._barge_depth(entry, eaves),
            overhang=None if width is None else sizes.stated(width),
            height_mm=entry.facts.height_mm or self._eaves_height(eaves),
            verge=entry.facts.verge or self.spec.verge,
            taped=entry.taped,
        )

    def _barge_depth(self, entry: RealLine, eaves: Sequence[Eaves]) -> Size:
        if entry.facts.fascia_depth_mm is not None:
            return sizes.stated(entry.facts.fascia_depth_mm)
        if self.spec.roof.barge_depth_mm is not None:
            return sizes.stated(self.spec.roof.barge_depth_mm)
        traced = sizes.widest(_depths(entry.elevation))
        if traced is not None:
            return traced
        depths = [sizes.stated(d) for d in [self.spec.roof.fascia_depth_mm] if d]
        fascia = sizes.widest([*depths, *(e.fascia_depth for e in eaves)])
        if fascia is None:
            raise NotKnown(
                entry.label,
                "depth of its barge board",
                "trace a fascia_depth line in its photo",
                "takeoff.roof.barge_depth_mm",
            )
        self.said.append(
            f"{entry.label}: assumed that the barge board is as deep as the fascia "
            f"({fascia.value_mm:.0f} mm): state takeoff.roof.barge_depth_mm."
        )
        return Size(fascia.value_mm, fascia.u_mm, "assumed")

    def _eaves_height(self, eaves: Sequence[Eaves]) -> float | None:
        known = [e.height_mm for e in eaves if e.height_mm is not None]
        return max(known, default=self.spec.roof.eaves_height_mm)

    def _pitch(self) -> float | None:
        stated = self.spec.roof.pitch_deg
        found = [slope for line in self.lines for slope in _rake_slopes(line)]
        measured = float(np.mean([s.pitch_rad for s in found])) if found else None
        if stated is None:
            return measured
        said = float(np.radians(stated))
        if measured is not None and abs(said - measured) > PITCH_APART_RAD:
            self.said.append(
                f"The job states a pitch of {stated:.1f}° and the photos show "
                f"{np.degrees(measured):.1f}°: the stated one was used, check it."
            )
        return said

    def _span(self) -> float | None:
        if self.spec.roof.span_mm is not None:
            return self.spec.roof.span_mm
        spans = [float(gable.span.values[0]) for gable in self._gables()]
        return max(spans, default=None)

    def _gables(self) -> tuple[Gable, ...]:
        return tuple(
            gable
            for entry in self.job.elevations
            if isinstance(entry, MeasuredElevation)
            for gable in entry.gables
        )

    def _pitch_u(self) -> float | None:
        """Widest of the gables, and half of what the slopes differ by; 0 if stated."""
        if self.spec.roof.pitch_deg is not None:
            return 0.0
        own = max((float(gable.pitch.u[0]) for gable in self._gables()), default=None)
        found = [s.pitch_rad for line in self.lines for s in _rake_slopes(line)]
        return None if own is None else max(own, float(np.ptp(found or [0.0])) / 2.0)

    def _span_u(self) -> float | None:
        if self.spec.roof.span_mm is not None:
            return 0.0
        return max((float(gable.span.u[0]) for gable in self._gables()), default=None)

    def _check_corners(self, eaves: Sequence[Eaves]) -> None:
        """Say so where an odd number of ends meets at corners, which join two each."""
        for kinds in ((RunEnd.EXTERNAL, RunEnd.HIP), (RunEnd.INTERNAL,)):
            count = sum(end in kinds for e in eaves for end in e.ends)
            if count % 2:
                self.said.append(
                    f"{count} run end{'s' if count > 1 else ''} at an "
                    f"{' or '.join(kinds)}: a corner joins two, so one run is missing or "
                    "an end is wrong."
                )

    def _check_pairs(self, rakes: Sequence[Rake]) -> None:
        self.said += [
            f"{rake.line}: the other side of its gable was not measured and is not in "
            "this take-off."
            for rake in rakes
            if rake.partner is None
        ]


def _each_once(stops: Iterable[Stop]) -> tuple[Stop, ...]:
    """Say each reason once, with all the lines that it stops."""
    found: dict[str, dict[str, None]] = {}
    for stop in stops:
        for line in stop.lines:
            found.setdefault(stop.reason.removeprefix(f"{line}: "), {})[line] = None
    return tuple(
        Stop(lines=tuple(lines), reason=f"{', '.join(lines)}: {reason}")
        for reason, lines in found.items()
    )


def _rake_slopes(entry: RealLine) -> tuple[Slope, ...]:
    return slopes(entry) if entry.line.role in (Role.RAKE, Role.VERGE) else ()


def _depths(elevation: MeasuredElevation) -> list[Size]:
    return [
        sizes.measured(line.length)
        for line in elevation.measured
        if line.role is Role.FASCIA_DEPTH
    ]


def _soffit_of(entry: RealLine) -> MeasuredSoffit | None:
    """Return the traced soffit that a line hangs at, or the only one of its photo."""
    hanging = entry.line.trace.hanging.soffit
    for soffit in entry.elevation.soffits:
        # The adjustment calls a soffit otherwise if a reference has its name.
        if hanging in (soffit.name, f"soffit {soffit.name}"):
            return soffit
    return entry.elevation.soffits[0] if len(entry.elevation.soffits) == 1 else None
