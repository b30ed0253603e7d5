"""Trims over joints, corners, apexes and ends, and what holds and seals them."""

from collections.abc import Iterable
from decimal import Decimal
from math import ceil, hypot
from typing import Final

from photomeasure.job.takeoff import BoardKind, RunEnd
from photomeasure.takeoff.house import Eaves
from photomeasure.takeoff.model import Quantity, Section, Unit
from photomeasure.takeoff.parts import Part, Work
from photomeasure.takeoff.rules import Rulebook
from photomeasure.takeoff.runs import BoardRun
from photomeasure.takeoff.tally import Tally, item, metres, slug

UPRIGHT: Final = (BoardKind.FASCIA, BoardKind.BARGE)
OUTSIDE: Final = (RunEnd.EXTERNAL, RunEnd.HIP)
INSIDE: Final = (RunEnd.INTERNAL,)
_TUBE: Final = "adhesive.trims_per_tube"
_BEAD: Final = "sealant.metres_per_cartridge"


def trims(work: Work, rules: Rulebook) -> Part:
    """Count the trims, then adhesive for them and sealant along the wall.

    Parameters
    ----------
    work : Work
    rules : Rulebook

    Returns
    -------
    Part
    """
    single = [
        *_joints(work, rules),
        *_corners(work, rules, OUTSIDE, "external"),
        *_corners(work, rules, INSIDE, "internal"),
        *_apexes(work, rules),
        *_end_caps(work, rules),
    ]
    return Part(
        quantities=(
            *single,
            *_soffit_joints(work, rules),
            *_channel(work, rules),
            *_adhesive(single, rules),
            *_sealant(work, rules),
        )
    )


def _each(kind: str, words: str, run: BoardRun, rule: str) -> Tally:
    """Begin to count a trim that comes in the width and colour of a board."""
    width, colour = run.material.width_mm, run.material.colour
    code = f"trim/{kind}/{width}/{slug(colour)}"
    what = f"{words}, {width} mm, {colour}"
    return Tally(item(code, what, Unit.EACH, Section.TRIMS), (rule,))


def _counted(tallies: Iterable[Tally]) -> tuple[Quantity, ...]:
    return tuple(quantity for tally in tallies for quantity in tally.quantities())


def _joints(work: Work, rules: Rulebook) -> tuple[Quantity, ...]:
    if not rules.yes("trims.joint"):
        return ()
    found: dict[str, Tally] = {}
    for run in work.runs_of(*UPRIGHT):
        boards = len(work.pieces_of(run))
        tally = _each("board-joint", "joint trim", run, "trims.joint")
        found.setdefault(tally.item.code, tally).add(
            boards - 1, run.source.line, f"{boards} boards in {run.kind}, less one"
        )
    return _counted(found.values())


def _corners(
    work: Work, rules: Rulebook, kinds: tuple[RunEnd, ...], word: str
) -> tuple[Quantity, ...]:
    """Count one trim a corner, as deep as its deeper board."""
    ends = [
        run
        for run in work.runs_of(BoardKind.FASCIA)
        if isinstance(run.source, Eaves)
        for end in run.source.ends
        if end in kinds
    ]
    if not ends or not rules.yes("trims.corner"):
        return ()
    deepest = max(ends, key=lambda run: run.material.width_mm)
    tally = _each(f"{word}-corner", f"{word} corner trim", deepest, "trims.corner")
    count = ceil(len(ends) / 2)
    lines = dict.fromkeys(run.source.line for run in ends)
    tally.add(count, tuple(lines), f"{len(ends)} run ends at {word} corners, two each")
    return _counted([tally])


def _apexes(work: Work, rules: Rulebook) -> tuple[Quantity, ...]:
    if not rules.yes("trims.apex"):
        return ()
    found: dict[str, Tally] = {}
    seen: set[frozenset[str]] = set()
    for run in work.runs_of(BoardKind.BARGE):
        rake = run.source
        partner = None if isinstance(rake, Eaves) else rake.partner
        gable = frozenset(name for name in (rake.name, partner) if name)
        if gable not in seen:
            seen.add(gable)
            tally = _each("apex", "apex trim", run, "trims.apex")
            found.setdefault(tally.item.code, tally).add(1, rake.line, "one a gable")
    return _counted(found.values())


def _end_caps(work: Work, rules: Rulebook) -> tuple[Quantity, ...]:
    if not rules.yes("trims.end_cap"):
        return ()
    found: dict[str, Tally] = {}
    for run in work.runs_of(BoardKind.FASCIA):
        if isinstance(run.source, Eaves):
            free = run.source.ends.count(RunEnd.GABLE)
            tally = _each("end-cap", "fascia end cap", run, "trims.end_cap")
            found.setdefault(tally.item.code, tally).add(
                free,
                run.source.line,
                f"{free} end{'s' if free > 1 else ''} that meet nothing",
            )
    return _counted(found.values())


def _soffit_joints(work: Work, rules: Rulebook) -> tuple[Quantity, ...]:
    """Sum up the trims where soffits butt: across, along and in mitres."""
    if not rules.yes("trims.soffit_joint"):
        return ()
    found: dict[str, Tally] = {}
    for run in work.runs_of(BoardKind.SOFFIT):
        line, across = run.source.line, run.width.across
        share = run.clear_mm / across
        colour = run.material.colour
        label = item(
            f"trim/soffit-joint/{slug(colour)}",
            f"soffit joint trim, {colour}",
            Unit.METRE,
            Section.TRIMS,
        )
        tally = found.setdefault(label.code, Tally(label, ("trims.soffit_joint",)))
        butts = len(work.pieces_of(run)) - 1
        tally.add(metres(butts * share), line, f"{butts} butts of {share:.0f} mm")
        for cut in (run.start, run.end):
            if cut.lean_mm:
                # Each of the two runs at a corner brings half of its one mitre trim.
                half = hypot(cut.lean_mm, share) / 2
                tally.add(metres(half), line, f"half a mitre of {2 * half:.0f} mm")
        if run.part.endswith(tuple(f" strip {n}" for n in range(2, across + 1))):
            tally.add(metres(run.run.length_mm), line, "along between two strips")
    return _counted(found.values())


def _channel(work: Work, rules: Rulebook) -> tuple[Quantity, ...]:
    if not rules.yes("trims.wall_channel"):
        return ()
    found: dict[str, Tally] = {}
    for line, colour, length in _wall_edges(work):
        label = item(
            f"trim/wall-channel/{slug(colour)}",
            f"channel along the wall for the soffit, {colour}",
            Unit.METRE,
            Section.TRIMS,
        )
        tally = found.setdefault(label.code, Tally(label, ("trims.wall_channel",)))
        tally.add(metres(length), line, f"{length} mm along the wall")
    return _counted(found.values())


def _wall_edges(work: Work) -> list[tuple[str, str, int]]:
    """Return line, colour and length of each soffit's edge along the wall."""
    found: dict[str, tuple[str, str, int]] = {}
    for run in work.runs_of(BoardKind.SOFFIT):
        outer = run.run.length_mm - round(run.start.behind_mm) - round(run.end.behind_mm)
        inner = outer - round(run.start.lean_mm) - round(run.end.lean_mm)
        # The last strip of a soffit is the one at the wall.
        found[run.source.line] = (run.source.line, run.material.colour, inner)
    return list(found.values())


def _adhesive(single: Iterable[Quantity], rules: Rulebook) -> tuple[Quantity, ...]:
    trims = sum((quantity.amount for quantity in single), Decimal(0))
    per_tube = rules.number(_TUBE)
    tubes = ceil(float(trims) / per_tube)
    label = item("adhesive/tube", "adhesive for trims, tube", Unit.EACH, Section.TRIMS)
    tally = Tally(label, (_TUBE,))
    tally.add(tubes, "", f"{trims} trims, {per_tube:g} a tube, rounded up")
    return _counted([tally])


def _sealant(work: Work, rules: Rulebook) -> tuple[Quantity, ...]:
    length = sum(length for _, _, length in _wall_edges(work))
    reach = rules.number(_BEAD)
    label = item("sealant/cartridge", "sealant, cartridge", Unit.EACH, Section.TRIMS)
    tally = Tally(label, (_BEAD,))
    tally.add(
        ceil(length / 1000 / reach),
        "",
        f"{metres(length)} m along walls, {reach:g} m a cartridge, rounded up",
    )
    return _counted([tally])
