"""Screws, pins, packers and the timber behind the boards."""

from math import ceil
from typing import Final

from photomeasure.job.takeoff import BoardKind, WorkKind
from photomeasure.takeoff.house import Eaves
from photomeasure.takeoff.model import BoardPiece, Quantity, Section, Unit
from photomeasure.takeoff.parts import Part, Work
from photomeasure.takeoff.rules import Rulebook
from photomeasure.takeoff.runs import BoardRun
from photomeasure.takeoff.tally import Tally, item, metres, slug

UPRIGHT: Final = (BoardKind.FASCIA, BoardKind.BARGE)
_EDGE: Final = "fixings.edge_mm"
_CENTRES: Final = "fixings.fascia.centres_mm"
_PACKERS: Final = "fixings.packers_per_centre"
_BEARERS: Final = "timber.box_end_bearer_count"


def rows(length_mm: float, edge_mm: float, centres_mm: float) -> int:
    """Return how many rows of fixings a piece needs, one near each end.

    Parameters
    ----------
    length_mm : float
        Of the piece.
    edge_mm : float
        From each end to its row.
    centres_mm : float
        Greatest distance between rows.

    Returns
    -------
    int
        Two at least.

    Examples
    --------
    >>> rows(4980.0, 50.0, 600.0), rows(90.0, 50.0, 600.0)
    (10, 2)
    """
    return max(2, ceil((length_mm - 2 * edge_mm) / centres_mm - 1e-9) + 1)


def fixings(work: Work, rules: Rulebook) -> Part:
    """Count fixings of all boards, packers, bearers and noggings.

    Parameters
    ----------
    work : Work
    rules : Rulebook

    Returns
    -------
    Part
    """
    return Part(
        quantities=(
            *_timber(work, rules),
            *_upright(work, rules),
            *_packers(work, rules),
            *_soffits(work, rules),
            *_box_ends(work, rules),
        )
    )


def _rows_of(work: Work, run: BoardRun, rules: Rulebook, centres: str) -> tuple[int, str]:
    """Return the rows of all pieces of a run and their sum in words."""
    counts = [_rows(piece, rules, centres) for piece in work.pieces_of(run)]
    return sum(counts), " + ".join(map(str, counts))


def _rows(piece: BoardPiece, rules: Rulebook, centres: str) -> int:
    return rows(piece.long_point_mm, rules.number(_EDGE), rules.number(centres))


def _upright(work: Work, rules: Rulebook) -> tuple[Quantity, ...]:
    """Count what holds fascia and barge boards: screws, or pins for cover boards."""
    covers = work.house.spec.work is WorkKind.COVER
    length_rule = "fixings.cover.length_mm" if covers else "fixings.fascia.length_mm"
    kind = "pin" if covers else "screw"
    long = rules.whole(length_rule)
    deep_from = rules.number("fixings.fascia.deep_from_mm")
    found: dict[str, Tally] = {}
    for run in work.runs_of(*UPRIGHT):
        deep = run.material.width_mm > deep_from
        per_rule = f"fixings.fascia.per_centre{'_deep' if deep else ''}"
        per = rules.whole(per_rule)
        colour = run.material.colour
        label = item(
            f"fixing/{kind}/{long}/{slug(colour)}",
            f"stainless {kind} {long} mm, {colour} head",
            Unit.EACH,
            Section.FIXINGS,
        )
        keys = (_CENTRES, _EDGE, per_rule, length_rule)
        tally = found.setdefault(label.code, Tally(label))
        tally.rules = tuple(dict.fromkeys((*tally.rules, *keys)))
        count, sum_ = _rows_of(work, run, rules, _CENTRES)
        tally.add(count * per, run.source.line, f"{run.kind} ({sum_}) rows of {per}")
    return tuple(q for tally in found.values() for q in tally.quantities())


def _packers(work: Work, rules: Rulebook) -> tuple[Quantity, ...]:
    """Count packers; a cover board lies on the old one and needs none."""
    label = item("fixing/packer", "packer", Unit.EACH, Section.FIXINGS)
    tally = Tally(label, (_CENTRES, _EDGE, _PACKERS))
    per = rules.whole(_PACKERS)
    for run in work.runs_of(BoardKind.FASCIA):
        if work.house.spec.work is WorkKind.REPLACE:
            count, sum_ = _rows_of(work, run, rules, _CENTRES)
            tally.add(count * per, run.source.line, f"({sum_}) rows of {per}")
    return tally.quantities()


def _soffits(work: Work, rules: Rulebook) -> tuple[Quantity, ...]:
    long, per = (
        rules.whole("fixings.soffit.length_mm"),
        rules.whole("fixings.soffit.per_centre"),
    )
    centres = "fixings.soffit.centres_mm"
    found: dict[str, Tally] = {}
    for run in work.runs_of(BoardKind.SOFFIT):
        tally = _pins(found, run.material.colour, long)
        tally.rules = (
            centres,
            _EDGE,
            "fixings.soffit.per_centre",
            "fixings.soffit.length_mm",
        )
        count, sum_ = _rows_of(work, run, rules, centres)
        tally.add(count * per, run.source.line, f"soffit ({sum_}) rows of {per}")
    return tuple(q for tally in found.values() for q in tally.quantities())


def _box_ends(work: Work, rules: Rulebook) -> tuple[Quantity, ...]:
    long, pins = (
        rules.whole("fixings.soffit.length_mm"),
        rules.whole("fixings.box_end.pins"),
    )
    found: dict[str, Tally] = {}
    for box in work.box_ends:
        tally = _pins(found, box.shape.material.colour, long)
        tally.rules = ("fixings.box_end.pins", "fixings.soffit.length_mm")
        tally.add(pins, box.shape.line, f"box end, {pins} pins")
    return tuple(q for tally in found.values() for q in tally.quantities())


def _pins(found: dict[str, Tally], colour: str, long: int) -> Tally:
    label = item(
        f"fixing/pin/{long}/{slug(colour)}",
        f"stainless pin {long} mm, {colour} head",
        Unit.EACH,
        Section.FIXINGS,
    )
    return found.setdefault(label.code, Tally(label))


def _timber(work: Work, rules: Rulebook) -> tuple[Quantity, ...]:
    """Sum up noggings across wide soffits and bearers of box ends."""
    section = rules.text("timber.section")
    label = item(
        f"timber/treated/{slug(section)}",
        f"treated softwood {section} mm",
        Unit.METRE,
        Section.TIMBER,
    )
    over, centres = "timber.nogging.over_width_mm", "timber.nogging.centres_mm"
    tally = Tally(label, ("timber.section", over, centres, _BEARERS))
    for line, width, length in _soffit_sizes(work):
        if width > rules.number(over):
            count = rows(length, 0.0, rules.number(centres))
            tally.add(metres(count * width), line, f"{count} noggings of {width:.0f} mm")
    bearers = rules.whole(_BEARERS)
    for box in work.box_ends:
        width = box.shape.corners_mm[1][0]
        words = f"{bearers} bearers of {width:.0f} mm for a box end"
        tally.add(metres(bearers * width), box.shape.line, words)
    return tally.quantities()


def _soffit_sizes(work: Work) -> list[tuple[str, float, int]]:
    """Return line, width and length of each soffit, all its strips together."""
    found = {
        run.source.line: (run.source.line, run.clear_mm, run.source.length_mm)
        for run in work.runs_of(BoardKind.SOFFIT)
        if isinstance(run.source, Eaves)
    }
    return list(found.values())
