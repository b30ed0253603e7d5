"""The take-off of a measured job: every part in the order of the work."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from photomeasure.cautions import ALWAYS, about_photos
from photomeasure.job.takeoff import TakeoffSpec
from photomeasure.results import MeasuredElevation, MeasuredJob
from photomeasure.takeoff import asbestos
from photomeasure.takeoff.boards import DOUBT, Boards
from photomeasure.takeoff.build import Built, build_house
from photomeasure.takeoff.cutting import Limits
from photomeasure.takeoff.fixings import fixings
from photomeasure.takeoff.model import Quantity, Section, Takeoff
from photomeasure.takeoff.movement.part import verdicts_and_quantities as movement
from photomeasure.takeoff.orders import orders
from photomeasure.takeoff.parts import Part, PartBuilder, Work, together
from photomeasure.takeoff.pieces import board_pieces
from photomeasure.takeoff.plan import Planned, plan_boards
from photomeasure.takeoff.rainwater.part import verdicts_and_quantities as rainwater
from photomeasure.takeoff.rules import Rulebook, Value, load_rules
from photomeasure.takeoff.runs import BoardRun, RunMaker
from photomeasure.takeoff.shortage import Verdicts, judge
from photomeasure.takeoff.shortage.report import DRAWS
from photomeasure.takeoff.site import access, labour, strip_out, verge
from photomeasure.takeoff.tally import merged
from photomeasure.takeoff.trims import trims
from photomeasure.takeoff.ventilation.part import verdicts_and_quantities as ventilation

PARTS: Final[tuple[PartBuilder, ...]] = (
    access,
    strip_out,
    trims,
    fixings,
    verge,
    ventilation,
    rainwater,
    movement,
    labour,
)
"""Every part that follows from the house and its pieces. A new part is one line here;
quantities are put in the order of the work afterwards."""

_SECTIONS: Final = tuple(Section)

SHEET: Final = "papers.sheet"


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Taken:
    """A take-off with what it was made from, for planning anew.

    Attributes
    ----------
    takeoff : Takeoff
    work : Work
    planned : Planned or None
    rules : Rulebook
    """

    takeoff: Takeoff
    work: Work
    planned: Planned | None
    rules: Rulebook


def take_off(
    job: MeasuredJob,
    spec: TakeoffSpec,
    *,
    draws: int = DRAWS,
    generator: np.random.Generator | None = None,
    limits: Limits | None = None,
) -> Taken:
    """Take off a measured job.

    Parameters
    ----------
    job : MeasuredJob
    spec : TakeoffSpec
        The job's ``takeoff`` block.
    draws : int
        Draws of the joint distribution of lengths; 0 leaves the order at the plan.
    generator : numpy.random.Generator or None
        Of the draws; None for the usual seed.
    limits : Limits or None
        Time for cutting.

    Returns
    -------
    Taken
        What cannot be taken off is named in ``takeoff.stops``.

    Raises
    ------
    InputError
        If the job states what cannot be: a rule, a line, a board, a price.
    """
    rules = rules_of(spec)
    built = build_house(job, spec, rules)
    boards = Boards(spec, rules)
    maker = RunMaker(built.house, boards, rules)
    runs, box_ends = maker.runs(), maker.box_ends()
    planned = plan_boards(runs, box_ends, boards, rules, limits)
    work = Work(
        house=built.house,
        pieces=board_pieces(runs, planned.plan.boards) if planned else (),
        shapes=tuple(box.shape for box in box_ends),
        problem=planned.problem if planned else None,
        plan=planned.plan if planned else None,
        runs=runs,
        box_ends=box_ends,
    )
    none = Verdicts(shortages=(), extra=(), deciding=None, undecided=0)
    share = rules.number("order.short_share")
    verdicts = judge(planned, runs, share, draws, generator) if planned and draws else none
    found = quantities(work, rules, verdicts)
    return Taken(
        takeoff=_takeoff(job, built, work, found, verdicts, boards),
        work=work,
        planned=planned,
        rules=rules,
    )


def quantities(work: Work, rules: Rulebook, verdicts: Verdicts) -> Part:
    """Return all quantities of the pieces that were planned.

    Parameters
    ----------
    work : Work
    rules : Rulebook
    verdicts : Verdicts
        How many boards to order.

    Returns
    -------
    Part
        Nothing if no line could be taken off.
    """
    if not work.runs:
        return Part()
    return together((orders(work, verdicts), *(part(work, rules) for part in PARTS)))


def rules_of(spec: TakeoffSpec) -> Rulebook:
    """Return the rules of the job's country with what the job states instead.

    Parameters
    ----------
    spec : TakeoffSpec

    Returns
    -------
    Rulebook

    Raises
    ------
    InputError
        If there is no such country or rule, or its value cannot be.
    """
    stated: Mapping[str, Value] = {k: _as_value(v) for k, v in spec.rules.items()}
    return load_rules(spec.country).overridden(stated, "takeoff.rules")


def _as_value(value: Any) -> Value:  # noqa: ANN401 - JSON
    """Return a JSON value as a rule's value; what fits none is text that fits none."""
    if isinstance(value, list):
        return tuple(_as_value(entry) for entry in value)  # type: ignore[return-value]
    return value if isinstance(value, bool | int | float | str) else str(value)


def _takeoff(
    job: MeasuredJob,
    built: Built,
    work: Work,
    found: Part,
    verdicts: Verdicts,
    boards: Boards,
) -> Takeoff:
    rules = boards.rules
    keys = {key for quantity in found.quantities for key in quantity.rules}
    keys |= {*found.rules, asbestos.YEAR, asbestos.LAW, SHEET}
    if work.runs:
        kinds = {run.kind for run in work.runs}
        keys |= {key for kind in kinds for key in boards[kind].rules} | {DOUBT}
    said = (
        *ALWAYS,
        *asbestos.cautions(built.house.spec, rules),
        *built.house.cautions,
        *_about_widths(work.runs),
        *_about_joints(work, rules),
        *found.cautions,
        *_about_measuring(job),
    )
    return Takeoff(
        title=job.title,
        country=rules.country,
        quantities=_in_order(found.quantities),
        pieces=work.pieces,
        shapes=work.shapes,
        plan=work.plan,
        verdicts=found.verdicts,
        shortages=verdicts.shortages,
        deciding=verdicts.deciding,
        stops=built.stops,
        cautions=tuple(dict.fromkeys(said)),
        rules=rules.used(keys),
        sheet=rules.text(SHEET),
    )


def _in_order(found: Iterable[Quantity]) -> tuple[Quantity, ...]:
    """Put quantities in the order of the work; within a section as they come."""
    return tuple(sorted(merged(found), key=lambda q: _SECTIONS.index(q.item.section)))


def _about_widths(runs: Iterable[BoardRun]) -> tuple[str, ...]:
    return tuple(
        f"{run.source.line}: {run.kind} of {run.width.doubt}."
        for run in runs
        if run.width.doubt
    )


def _about_joints(work: Work, rules: Rulebook) -> tuple[str, ...]:
    stated = work.house.spec.roof.rafter_centres_mm
    if not work.house.eaves:
        return ()
    centres = stated or rules.whole("joints.rafter_centres_mm")
    assumed = "" if stated else "assumed to lie "
    return (
        f"Joints are planned on rafters {assumed}{centres} mm apart from the left end of "
        "each run: find the rafters before you cut, and move joints to them.",
    )


def _about_measuring(job: MeasuredJob) -> tuple[str, ...]:
    own = (
        f"{entry.name}: {text}"
        for entry in job.elevations
        if isinstance(entry, MeasuredElevation)
        for text in entry.cautions
    )
    return (*about_photos(job.combined), *own)
