"""A take-off as JSON, version 1 of its format."""

from dataclasses import asdict
from math import degrees
from typing import Any

from photomeasure.takeoff.contract import (
    BoardOut,
    CutOut,
    DecidingOut,
    GoalOut,
    MaterialOut,
    PieceOut,
    QuantityOut,
    RuleOut,
    ShapeOut,
    ShortageOut,
    StopOut,
    TakeoffOut,
    VerdictOut,
)
from photomeasure.takeoff.cutting import Board, CuttingPlan, Material
from photomeasure.takeoff.model import BoardPiece, Quantity, Shape, Takeoff


def takeoff_json(takeoff: Takeoff) -> dict[str, Any]:
    """Return a take-off as plain JSON data.

    Parameters
    ----------
    takeoff : Takeoff

    Returns
    -------
    dict
        As :class:`TakeoffOut` describes it.
    """
    deciding = takeoff.deciding
    written = TakeoffOut(
        photomeasure_takeoff=1,
        title=takeoff.title,
        country=takeoff.country,
        stops=[StopOut(**asdict(stop)) for stop in takeoff.stops],
        quantities=[_quantity(quantity) for quantity in takeoff.quantities],
        pieces=[_piece(piece) for piece in takeoff.pieces],
        shapes=[_shape(shape) for shape in takeoff.shapes],
        boards=_boards(takeoff.plan),
        goals=_goals(takeoff.plan),
        verdicts=[VerdictOut(**asdict(verdict)) for verdict in takeoff.verdicts],
        shortages=[
            ShortageOut(
                material=_material(short.material),
                stock_length_mm=short.stock_length_mm,
                boards=short.boards,
                chance=round(short.chance, 4),
                at_least=round(short.at_least, 4),
            )
            for short in takeoff.shortages
        ],
        deciding=DecidingOut(
            line=deciding.line,
            chance_now=round(deciding.chance_now, 4),
            chance_taped=round(deciding.chance_taped, 4),
        )
        if deciding
        else None,
        cautions=list(takeoff.cautions),
        rules=[RuleOut(**asdict(rule)) for rule in takeoff.rules],
    )
    return written.model_dump(mode="json")


def _material(material: Material) -> MaterialOut:
    return MaterialOut(**asdict(material))


def _quantity(quantity: Quantity) -> QuantityOut:
    return QuantityOut(
        code=quantity.item.code,
        description=quantity.item.description,
        section=quantity.item.section,
        unit=quantity.item.unit,
        amount=f"{quantity.amount:f}",
        lines=list(quantity.lines),
        rules=list(quantity.rules),
        working=quantity.working,
    )


def _piece(piece: BoardPiece) -> PieceOut:
    return PieceOut(
        name=piece.name,
        line=piece.line,
        material=_material(piece.material),
        long_point_mm=piece.long_point_mm,
        short_point_mm=piece.short_point_mm,
        start=piece.start,
        end=piece.end,
        # A tenth of a degree is finer than any saw's scale.
        start_angle_deg=round(degrees(piece.start_angle_rad), 1),
        end_angle_deg=round(degrees(piece.end_angle_rad), 1),
        hand=piece.hand,
        u_mm=round(piece.u_mm, 3),
        note=piece.note,
        part=piece.part,
        along_mm=piece.along_mm,
    )


def _shape(shape: Shape) -> ShapeOut:
    return ShapeOut(
        name=shape.name,
        line=shape.line,
        material=_material(shape.material),
        corners_mm=[(round(x, 1), round(y, 1)) for x, y in shape.corners_mm],
        hand=shape.hand,
        note=shape.note,
    )


def _boards(plan: CuttingPlan | None) -> list[BoardOut]:
    boards = plan.boards if plan else ()
    return [_board(number, board) for number, board in enumerate(boards, 1)]


def _board(number: int, board: Board) -> BoardOut:
    price = board.stock.price
    return BoardOut(
        number=number,
        material=_material(board.stock.material),
        length_mm=board.stock.length_mm,
        in_hand=board.stock.in_hand,
        price=None if price is None else f"{price:f}",
        cuts=[CutOut(**asdict(cut)) for cut in board.cuts],
        offcut_mm=board.offcut_mm,
    )


def _goals(plan: CuttingPlan | None) -> list[GoalOut]:
    return [
        GoalOut(
            material=_material(part.material),
            joints=part.joints.value,
            joints_bound=part.joints.bound,
            cost=f"{part.cost.value:f}",
            cost_bound=f"{part.cost.bound:f}",
            priced=part.priced,
            offcut_mm=part.offcut.value,
            offcut_bound_mm=part.offcut.bound,
            proven=part.proven,
            cut_short=part.cut_short,
        )
        for part in (plan.materials if plan else ())
    ]
