"""The fitter's cut list: one page an elevation, then the cutting plan drawn to scale."""

from dataclasses import replace

from photomeasure.papers import texts
from photomeasure.papers.content import (
    Alert,
    Block,
    Boards,
    Column,
    Kind,
    Mark,
    Paper,
    Part,
    Row,
    Shapes,
    Table,
    Text,
)
from photomeasure.papers.dossier import Dossier
from photomeasure.papers.wording import cut_of, half_mm
from photomeasure.takeoff.cutting import Board, Cut, CuttingPlan, Division, MaterialPlan
from photomeasure.takeoff.model import BoardPiece, Takeoff
from photomeasure.takeoff.proof import unproven

Place = tuple[str, int]
"""A part of the cutting problem, and where on it a piece starts."""


def cut_list(dossier: Dossier) -> Paper:
    """Return the cut list.

    Parameters
    ----------
    dossier : Dossier

    Returns
    -------
    Paper
    """
    takeoff = dossier.takeoff
    lines = [piece.line for piece in takeoff.pieces]
    lines += [shape.line for shape in takeoff.shapes]
    elevations = dict.fromkeys(dossier.elevation_of(line) for line in lines)
    failed = [v for v in takeoff.verdicts if v.passed is False]
    blocks: list[Block] = []
    if failed:
        why = tuple(f"{verdict.subject}: {verdict.sentence}" for verdict in failed)
        blocks.append(Alert(texts.FAILED, why))
    if elevations:
        blocks.append(Text("", (texts.TAPE_NOTE,)))
    marks = _marks(takeoff)
    for name in elevations:
        blocks += _elevation(dossier, name, marks)
    blocks += _plan(takeoff.plan, marks)
    # What to know before starting fills the first page; every elevation has its own.
    paper = dossier.paper("cut-list", texts.CUT_LIST, blocks)
    return replace(paper, cautions_first=True)


def _marks(takeoff: Takeoff) -> dict[Place, Mark]:
    """Give each piece and shape the letters that the fitter pencils on it."""
    parts = [
        ((p.part or p.name, p.along_mm), own_name(p.name, p.line)) for p in takeoff.pieces
    ]
    parts += [((s.name, 0), own_name(s.name, s.line)) for s in takeoff.shapes]
    return {
        place: Mark(letters(number), name) for number, (place, name) in enumerate(parts)
    }


def own_name(name: str, line: str) -> str:
    """Return the name of a piece without the line that it belongs to.

    Examples
    --------
    >>> own_name("front: left eaves fascia 1", "front: left eaves")
    'fascia 1'
    """
    return name.removeprefix(f"{line} ")


def letters(number: int) -> str:
    """Return a number from 0 as letters, as spreadsheets count columns.

    Examples
    --------
    >>> letters(0), letters(25), letters(26), letters(702)
    ('A', 'Z', 'AA', 'AAA')
    """
    text = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        text = chr(ord("A") + rest) + text
    return text


def _elevation(dossier: Dossier, name: str, marks: dict[Place, Mark]) -> tuple[Block, ...]:
    takeoff = dossier.takeoff
    pieces = [p for p in takeoff.pieces if dossier.elevation_of(p.line) == name]
    shapes = [s for s in takeoff.shapes if dossier.elevation_of(s.line) == name]
    blocks: list[Block] = [Part(name)]
    if name in dossier.pictures:
        blocks.append(dossier.pictures[name])
    if pieces:
        blocks.append(_pieces(pieces, name, marks, _cut_lengths(takeoff.plan)))
    if shapes:
        own = tuple((marks[shape.name, 0], shape) for shape in shapes)
        blocks.append(Shapes(texts.CUT_SHAPES, own))
    return tuple(blocks)


def _cut_lengths(plan: CuttingPlan | None) -> dict[Place, int]:
    boards = plan.boards if plan else ()
    return {(c.part, c.along_mm): c.length_mm for board in boards for c in board.cuts}


def _pieces(
    pieces: list[BoardPiece],
    elevation: str,
    marks: dict[Place, Mark],
    cut_mm: dict[Place, int],
) -> Table:
    columns = (
        Column("mark", texts.CUT_MARK, 0.065),
        Column("piece", texts.CUT_NAME, 0.225, Kind.NOTE),
        Column("long_mm", texts.CUT_LONG, 0.085, Kind.NUMBER),
        Column("short_mm", texts.CUT_SHORT, 0.085, Kind.NUMBER),
        Column("half_interval_mm", texts.CUT_HALF, 0.06, Kind.NUMBER),
        Column("start", texts.CUT_START, 0.1, Kind.DATA),
        Column("sketch", texts.CUT_SKETCH, 0.21, Kind.SKETCH),
        Column("end", texts.CUT_END, 0.1, Kind.DATA),
        Column("hand", texts.CUT_HAND, 0.08),
        Column("board_mm", texts.CUT_USED, 0.085, Kind.NUMBER),
        Column("taped", texts.CUT_TAPED, 0.105, Kind.PEN),
    )
    title = texts.CUT_PIECES.format(elevation=elevation)
    rows: list[Row] = []
    for group in dict.fromkeys((piece.line, piece.material) for piece in pieces):
        own = [piece for piece in pieces if (piece.line, piece.material) == group]
        heading = f"{group[0].removeprefix(f'{elevation}: ')}: {group[1].label}"
        rows.append(Row((heading, *[None] * (len(columns) - 1)), strong=True))
        for piece in own:
            place = (piece.part or piece.name, piece.along_mm)
            rows.append(_piece(piece, marks[place], cut_mm.get(place)))
    return Table("pieces", title, columns, tuple(rows), large=True)


def _piece(piece: BoardPiece, mark: Mark, cut_mm: int | None) -> Row:
    name = f"{mark.name}: {piece.note}" if piece.note else mark.name
    return Row(
        (
            mark.letters,
            name,
            piece.long_point_mm,
            piece.short_point_mm,
            half_mm(piece.u_mm) or None,
            cut_of(texts.ENDS[piece.start], piece.start_angle_rad),
            None,
            cut_of(texts.ENDS[piece.end], piece.end_angle_rad),
            texts.HANDS[piece.hand],
            cut_mm,
            None,
        ),
        piece=piece,
    )


def _plan(plan: CuttingPlan | None, marks: dict[Place, Mark]) -> tuple[Block, ...]:
    if plan is None or not plan.boards:
        return (Text("", (texts.CUT_NO_PLAN,)),)
    return (
        Part(texts.CUT_PLAN),
        Text("", tuple(_proofs(plan))),
        Boards(texts.CUT_PLAN, plan.materials, marks),
        *_joints(plan.divisions),
        _cuts(plan, marks),
    )


def _proofs(plan: CuttingPlan) -> list[str]:
    if plan.proven:
        return [texts.CUT_PROVEN]
    return [_unproven(material) for material in plan.materials if not material.proven]


def _unproven(plan: MaterialPlan) -> str:
    why = "; ".join(unproven(plan))
    return texts.CUT_UNPROVEN.format(material=plan.material.label, why=why)


def _joints(divisions: tuple[Division, ...]) -> tuple[Block, ...]:
    said = []
    for division in divisions:
        places = ", ".join(
            texts.CUT_JOINT_AT.format(
                position=joint.position_mm, kind=texts.JOINTS[joint.kind]
            )
            for joint in division.joints
        )
        if places:
            said.append(f"{texts.CUT_JOINTS.format(run=division.run)}: {places}.")
    return (Text("", tuple(said)),) if said else ()


def _cuts(plan: CuttingPlan, marks: dict[Place, Mark]) -> Table:
    columns = (
        Column("number", texts.CUT_NUMBER, 0.07, Kind.NUMBER),
        Column("board", texts.CUT_MATERIAL, 0.22, Kind.NOTE),
        Column("mark", texts.CUT_MARK, 0.08),
        Column("piece", texts.CUT_NAME, 0.32, Kind.NOTE),
        Column("from_mm", texts.CUT_FROM, 0.11, Kind.NUMBER),
        Column("length_mm", texts.CUT_LENGTH, 0.10, Kind.NUMBER),
        Column("rest_mm", texts.CUT_REST, 0.10, Kind.NUMBER),
    )
    rows: list[Row] = []
    for number, board in enumerate(plan.boards, start=1):
        rows += [
            Row(
                (
                    number,
                    board_title(board),
                    _mark(marks, cut),
                    _place(cut),
                    cut.start_mm,
                    cut.length_mm,
                    board.offcut_mm if cut is board.cuts[-1] else None,
                )
            )
            for cut in board.cuts
        ]
    return Table("cuts", texts.CUT_CUTS, columns, tuple(rows))


def _mark(marks: dict[Place, Mark], cut: Cut) -> str | None:
    mark = marks.get((cut.part, cut.along_mm))
    return mark.letters if mark else None


def _place(cut: Cut) -> str:
    """Return what a cut is for: its part, and where on it."""
    return (
        texts.CUT_PLACE.format(part=cut.part, along=cut.along_mm)
        if cut.along_mm
        else cut.part
    )


def board_title(board: Board) -> str:
    """Return a board with its length, and whether it is there already."""
    title = f"{board.stock.material.label}, {board.stock.length_mm} mm"
    return f"{title}, {texts.CUT_IN_HAND}" if board.stock.in_hand else title
