"""The fitter's cut list: one page an elevation, then the cutting plan drawn to scale."""

from photomeasure.papers import texts
from photomeasure.papers.content import (
    Alert,
    Block,
    Boards,
    Column,
    Kind,
    Paper,
    Part,
    Row,
    Shapes,
    Table,
    Text,
)
from photomeasure.papers.dossier import Dossier
from photomeasure.papers.wording import cut_of, half_mm
from photomeasure.takeoff.cutting import Board, CuttingPlan, Division, MaterialPlan
from photomeasure.takeoff.model import BoardPiece

Names = dict[tuple[str, int], str]
"""Name of the piece at a place of a part of the cutting problem."""


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
    failed = tuple(v.sentence for v in takeoff.verdicts if v.passed is False)
    blocks: list[Block] = [Alert(texts.FAILED, failed)] if failed else []
    for number, name in enumerate(elevations):
        blocks += _elevation(dossier, name, first=number == 0)
    blocks += _plan(takeoff.plan, _names(takeoff.pieces))
    return dossier.paper("cut-list", texts.CUT_LIST, blocks)


def _elevation(dossier: Dossier, name: str, *, first: bool) -> tuple[Block, ...]:
    pieces = [p for p in dossier.takeoff.pieces if dossier.elevation_of(p.line) == name]
    shapes = [s for s in dossier.takeoff.shapes if dossier.elevation_of(s.line) == name]
    blocks: list[Block] = [Part(name, own_page=not first)]
    if first:
        blocks.append(Text("", (texts.TAPE_NOTE,)))
    if name in dossier.pictures:
        blocks.append(dossier.pictures[name])
    if pieces:
        blocks.append(_pieces(pieces, name))
    if shapes:
        blocks.append(Shapes(texts.CUT_SHAPES, tuple(shapes)))
    return tuple(blocks)


def _pieces(pieces: list[BoardPiece], elevation: str) -> Table:
    columns = (
        Column("piece", texts.CUT_NAME, 0.09),
        Column("long_mm", texts.CUT_LONG, 0.095, Kind.NUMBER),
        Column("short_mm", texts.CUT_SHORT, 0.095, Kind.NUMBER),
        Column("half_interval_mm", texts.CUT_HALF, 0.065, Kind.NUMBER),
        Column("start", texts.CUT_START, 0.10),
        Column("sketch", texts.CUT_SKETCH, 0.155, Kind.SKETCH),
        Column("end", texts.CUT_END, 0.10),
        Column("hand", texts.CUT_HAND, 0.075),
        Column("note", texts.CUT_NOTE, 0.125, Kind.NOTE),
        Column("taped", texts.CUT_TAPED, 0.10, Kind.PEN),
    )
    title = texts.CUT_PIECES.format(elevation=elevation)
    rows: list[Row] = []
    for group in dict.fromkeys((piece.line, piece.material) for piece in pieces):
        own = [piece for piece in pieces if (piece.line, piece.material) == group]
        heading = f"{group[0].removeprefix(f'{elevation}: ')}: {group[1].label}"
        rows.append(Row((heading, *[None] * (len(columns) - 1)), strong=True))
        rows += [_piece(piece) for piece in own]
    return Table("pieces", title, columns, tuple(rows), large=True)


def _piece(piece: BoardPiece) -> Row:
    return Row(
        (
            piece.name,
            piece.long_point_mm,
            piece.short_point_mm,
            half_mm(piece.u_mm),
            cut_of(texts.ENDS[piece.start], piece.start_angle_rad),
            None,
            cut_of(texts.ENDS[piece.end], piece.end_angle_rad),
            texts.HANDS[piece.hand],
            piece.note or None,
            None,
        ),
        piece=piece,
    )


def _names(pieces: tuple[BoardPiece, ...]) -> Names:
    return {(piece.part or piece.name, piece.along_mm): piece.name for piece in pieces}


def _plan(plan: CuttingPlan | None, names: Names) -> tuple[Block, ...]:
    if plan is None or not plan.boards:
        return (Text("", (texts.CUT_NO_PLAN,)),)
    return (
        Part(texts.CUT_PLAN),
        Text("", tuple(_proofs(plan))),
        Boards(texts.CUT_PLAN, plan.materials, names),
        *_joints(plan.divisions),
        _cuts(plan, names),
    )


def _proofs(plan: CuttingPlan) -> list[str]:
    if plan.proven:
        return [texts.CUT_PROVEN]
    return [_unproven(material) for material in plan.materials if not material.proven]


def _unproven(plan: MaterialPlan) -> str:
    unit = "" if plan.priced else " mm"
    return texts.CUT_UNPROVEN.format(
        material=plan.material.label,
        joints=plan.joints.value,
        least_joints=plan.joints.bound,
        cost=f"{plan.cost.value:,f}{unit}",
        least_cost=f"{plan.cost.bound:,f}{unit}",
    )


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


def _cuts(plan: CuttingPlan, names: Names) -> Table:
    columns = (
        Column("number", texts.CUT_NUMBER, 0.08, Kind.NUMBER),
        Column("board", texts.CUT_MATERIAL, 0.36),
        Column("piece", texts.CUT_NAME, 0.20),
        Column("from_mm", texts.CUT_FROM, 0.12, Kind.NUMBER),
        Column("length_mm", texts.CUT_LENGTH, 0.12, Kind.NUMBER),
        Column("rest_mm", texts.CUT_REST, 0.12, Kind.NUMBER),
    )
    rows: list[Row] = []
    for number, board in enumerate(plan.boards, start=1):
        rows += [
            Row(
                (
                    number,
                    board_title(board),
                    names.get((cut.part, cut.along_mm), cut.part),
                    cut.start_mm,
                    cut.length_mm,
                    board.offcut_mm if cut is board.cuts[-1] else None,
                )
            )
            for cut in board.cuts
        ]
    return Table("cuts", texts.CUT_CUTS, columns, tuple(rows))


def board_title(board: Board) -> str:
    """Return a board with its length, and whether it is there already."""
    title = f"{board.stock.material.label}, {board.stock.length_mm} mm"
    return f"{title}, {texts.CUT_IN_HAND}" if board.stock.in_hand else title
