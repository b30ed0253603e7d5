"""A take-off as text for somebody who has been on a roof all day."""

from collections.abc import Iterator, Mapping
from itertools import groupby
from math import degrees

from calibration.errors import printable
from photomeasure.layout import WIDTH, heading, in_columns, marked
from photomeasure.results import COVERAGE_FACTOR
from photomeasure.takeoff.cutting import Board
from photomeasure.takeoff.model import (
    BoardPiece,
    End,
    Hand,
    Quantity,
    Shape,
    Takeoff,
    Verdict,
)
from photomeasure.takeoff.proof import unproven
from photomeasure.takeoff.tally import in_percent, in_range
from photomeasure.terminal import folded

_PASSED = {True: "enough: ", False: "NOT ENOUGH: ", None: "not judged: "}


def takeoff_table(takeoff: Takeoff) -> str:
    """Return a take-off as text, what stops the work first.

    Parameters
    ----------
    takeoff : Takeoff

    Returns
    -------
    str
    """
    title = f"{takeoff.title} - take-off" if takeoff.title else "take-off"
    blocks = [
        [*folded(printable(title), WIDTH), f"rules: {takeoff.country}"],
        [text for stop in takeoff.stops for text in marked("STOP  ", stop.reason)],
        *_quantities(takeoff.quantities),
        list(_order(takeoff)),
        list(_pieces(takeoff.pieces)),
        list(_shapes(takeoff.shapes)),
        list(_plan(takeoff)),
        list(_verdicts(takeoff.verdicts)),
        [text for caution in takeoff.cautions for text in marked("! ", caution)],
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _quantities(quantities: tuple[Quantity, ...]) -> Iterator[list[str]]:
    for section, group in groupby(quantities, key=lambda q: q.item.section):
        rows = [(q.item.description, f"{q.amount:f}", q.item.unit) for q in group]
        shown = [(printable(name), amount, str(unit)) for name, amount, unit in rows]
        yield [*heading(section), *in_columns(shown, "<><")]


def _order(takeoff: Takeoff) -> Iterator[str]:
    """Say how safe the number of boards is, and what to tape."""
    if not takeoff.shortages:
        return
    yield from heading("will the boards do?")
    for (material, length), group in groupby(
        takeoff.shortages, key=lambda s: (s.material, s.stock_length_mm)
    ):
        chances = ", ".join(f"{s.boards}: {in_range(s.at_least, s.chance)}" for s in group)
        text = f"{material.label}, {length} mm: chance of running short with {chances}"
        yield from marked("", text)
    yield from marked("", "Lengths only: depths and widths are taken as measured.")
    if takeoff.deciding:
        told = takeoff.deciding
        yield from marked(
            "Tape first: ",
            f"{told.line} (doubt about the boards now {in_percent(told.chance_now)}, then "
            f"{in_percent(told.chance_taped)})",
        )


def _pieces(pieces: tuple[BoardPiece, ...]) -> Iterator[str]:
    if not pieces:
        return
    yield from heading("pieces, longer edge / shorter edge, mm")
    rows = [("", "long", "short", "+- 95 %", "")]
    rows += [
        (
            printable(piece.name),
            str(piece.long_point_mm),
            str(piece.short_point_mm),
            f"{COVERAGE_FACTOR * piece.u_mm:.0f}" if piece.u_mm else "",
            _cuts(piece),
        )
        for piece in pieces
    ]
    yield from in_columns(rows, "<>>><")
    notes = {piece.name: piece.note for piece in pieces if piece.note}
    for name, note in notes.items():
        yield from marked("  ", f"{name}: {note}")


def _cuts(piece: BoardPiece) -> str:
    if piece.start is piece.end is End.SQUARE:
        return "square"
    ends = ((piece.start, piece.start_angle_rad), (piece.end, piece.end_angle_rad))
    words = [_cut(end, angle) for end, angle in ends]
    hand = "" if piece.hand is Hand.NONE else f", {piece.hand}"
    return " / ".join(words) + hand


def _cut(end: End, angle_rad: float) -> str:
    word = end.removesuffix(" cut")
    return word if end is End.SQUARE else f"{word} {degrees(angle_rad):.1f}°"


def _shapes(shapes: tuple[Shape, ...]) -> Iterator[str]:
    if not shapes:
        return
    yield from heading("box ends, corners from the lower left, mm")
    for shape in shapes:
        corners = " ".join(f"({x:g}, {y:g})" for x, y in shape.corners_mm)
        yield from marked("", f"{shape.name}: {corners}; {shape.note}")


def _plan(takeoff: Takeoff) -> Iterator[str]:
    if takeoff.plan is None:
        return
    names = {(piece.part, piece.along_mm): piece.name for piece in takeoff.pieces}
    yield from heading("what to cut from which board")
    for number, board in enumerate(takeoff.plan.boards, 1):
        yield from marked(f"{number:3}  ", _board(board, names))
    if takeoff.plan.proven:
        yield from marked(
            "",
            "Proven: no other plan has fewer joints, or as few at less cost, or leaves a "
            "longer offcut at the same cost.",
        )
    for part in takeoff.plan.materials:
        if not part.proven:
            yield from marked(
                "! ",
                f"{part.material.label}: the best plan found, but not proven: "
                + "; ".join(unproven(part)),
            )


def _board(board: Board, names: Mapping[tuple[str, int], str]) -> str:
    origin = "in hand" if board.stock.in_hand else "new"
    cuts = " + ".join(
        f"{cut.length_mm} {names.get((cut.part, cut.along_mm), cut.part)}"
        for cut in board.cuts
    )
    stock = f"{board.stock.material.label}, {board.stock.length_mm} mm, {origin}"
    return f"{stock}: {cuts}, {board.offcut_mm} left"


def _verdicts(verdicts: tuple[Verdict, ...]) -> Iterator[str]:
    if not verdicts:
        return
    yield from heading("is it enough?")
    for verdict in verdicts:
        said = verdict.sentence.rstrip(".")
        text = f"{verdict.subject}: {said} ({verdict.clause})."
        yield from marked(_PASSED[verdict.passed], text)
