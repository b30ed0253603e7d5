"""The expansion gaps of a whole take-off."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

from photomeasure.job.takeoff import BoardKind, RunEnd
from photomeasure.takeoff.cutting import Material
from photomeasure.takeoff.house import Eaves
from photomeasure.takeoff.model import BoardPiece
from photomeasure.takeoff.movement.judge import (
    Gap,
    Substance,
    Tone,
    judge_gap,
    judge_unfitted,
)
from photomeasure.takeoff.parts import Part, Work
from photomeasure.takeoff.rules import Rulebook

END_KEY, FIXED_KEY = "gaps.board_end_mm", "gaps.fixed_end_mm"
FIXED: Final = (RunEnd.ABUTMENT, RunEnd.INTERNAL)
"""Ends that meet a wall, or a board across them."""

SUBSTANCE_KEY, LIGHT_KEY = "movement.substance", "movement.light_colours"


def verdicts_and_quantities(work: Work, rules: Rulebook) -> Part:
    """Judge the gaps of each material by the longest boards that meet.

    Parameters
    ----------
    work : Work
    rules : Rulebook

    Returns
    -------
    Part
        One verdict a material for each kind of gap it has: at fixed ends, at joints and
        at an apex; a single one if nobody states the temperature at fitting.
    """
    fitting_c = work.house.spec.fitting_temperature_c
    gaps = tuple(_gaps(work, fitting_c, rules))
    if gaps and fitting_c is None:
        found = [judge_unfitted(gaps, rules)]
    else:
        found = [judge_gap(gap, rules) for gap in gaps]
    return Part(
        verdicts=tuple(verdict for one in found for verdict in one.verdicts),
        rules=tuple(dict.fromkeys((LIGHT_KEY, *(k for one in found for k in one.keys)))),
    )


def _gaps(work: Work, fitting_c: float | None, rules: Rulebook) -> Iterator[Gap]:
    substance = Substance(rules.text(SUBSTANCE_KEY))
    end_mm, fixed_mm = rules.number(END_KEY), rules.number(FIXED_KEY)
    for material in sorted({piece.material for piece in work.pieces}):
        mine = [piece for piece in work.pieces if piece.material == material]
        plain = Gap(
            name=f"{material.label} against a fixed end",
            boards_mm=(max(float(piece.long_point_mm) for piece in mine),),
            usual_mm=fixed_mm,
            keys=(FIXED_KEY, SUBSTANCE_KEY),
            substance=substance,
            tone=_tone(material.colour, rules),
            fitting_c=fitting_c,
        )
        if _has_fixed_end(work, material):
            yield plain
        meetings = (
            ("at a joint", _longest_pair(mine)),
            ("at an apex", _apex(work, material)),
        )
        for where, meeting in meetings:
            if meeting:
                yield replace(
                    plain,
                    name=f"{material.label} {where}",
                    boards_mm=meeting,
                    usual_mm=2.0 * end_mm,
                    keys=(END_KEY, SUBSTANCE_KEY),
                )


def _has_fixed_end(work: Work, material: Material) -> bool:
    """Whether any board ends where nothing gives way; without runs it may."""
    ends = (
        end
        for run in work.runs
        if run.material == material and isinstance(run.source, Eaves)
        for end in run.source.ends
    )
    return not work.runs or any(end in FIXED for end in ends)


def _apex(work: Work, material: Material) -> tuple[float, ...]:
    """Return the two longest boards that meet at an apex."""
    tops = {
        run.source.name: float(work.pieces_of(run)[-1].long_point_mm)
        for run in work.runs_of(BoardKind.BARGE)
        if run.material == material and work.pieces_of(run)
    }
    pairs = [
        (tops[rake.name], tops[rake.partner])
        for rake in work.house.rakes
        if rake.name in tops and rake.partner in tops
    ]
    return max(pairs, key=sum, default=())


def _longest_pair(pieces: Sequence[BoardPiece]) -> tuple[float, ...]:
    """Return the two longest boards of one line, of the line where they are longest."""
    pairs: list[tuple[float, ...]] = [()]
    for line in {piece.line for piece in pieces}:
        lengths = (float(p.long_point_mm) for p in pieces if p.line == line)
        pair = tuple(sorted(lengths, reverse=True)[:2])
        pairs += [pair] if len(pair) == 2 else []
    return max(pairs, key=sum)


def _tone(colour: str, rules: Rulebook) -> Tone:
    light = {str(row[0]).lower() for row in rules.table(LIGHT_KEY)}
    return Tone.LIGHT if colour.lower() in light else Tone.DARK
