"""A take-off written by hand for the sample house, its cutting plan solved.

Eaves 7659 mm and two rakes of 4621 and 4606 mm at 37.9 degrees, as measured from the
sample pictures; everything else is invented.
"""

from dataclasses import replace
from decimal import Decimal
from functools import cache
from math import radians, tan
from typing import Final

from photomeasure.cautions import ALWAYS
from photomeasure.takeoff.cutting import (
    CuttingPlan,
    Material,
    Piece,
    Problem,
    Run,
    Saw,
    Stock,
    Supports,
    solve,
)
from photomeasure.takeoff.model import (
    BoardPiece,
    Deciding,
    End,
    Hand,
    Item,
    Quantity,
    Section,
    Shape,
    Shortage,
    Stop,
    Takeoff,
    Unit,
    UsedRule,
    Verdict,
)

FASCIA: Final = Material("fascia 18", 225, "white")
SOFFIT: Final = Material("soffit 9", 300, "white")
BARGE: Final = Material("barge 18", 250, "white")

PITCH: Final = radians(37.9)
EAVES, FRONT_RAKE, BACK_RAKE = "front: front eaves", "gable: front rake", "gable: back rake"
EAVES_U, RAKE_U = 20.4, 35.7
PRACTICE: Final = "common practice, no source"


def sample_plan() -> CuttingPlan:
    """Return the proven plan of the sample house."""
    return solve(_problem())


@cache
def _problem() -> Problem:
    rafters = Supports(600, 300)
    fascia, soffit = (
        Run(id=f"{letter}1", length_mm=7659, material=material, supports=rafters)
        for letter, material in (("F", FASCIA), ("S", SOFFIT))
    )
    pieces = (
        Piece("B1", 4621, BARGE),
        Piece("B2", 4606, BARGE),
        Piece("X1 box end", 520, BARGE),
    )
    stocks = [Stock(material=m, length_mm=5000) for m in (FASCIA, SOFFIT, BARGE)]
    stocks.append(Stock(material=FASCIA, length_mm=2900, count=1, in_hand=True))
    return Problem(
        stocks=tuple(stocks),
        pieces=pieces,
        runs=(fascia, replace(soffit, avoid_mm=(2700,), clearance_mm=600)),
        saw=Saw(kerf_mm=3, trim_mm=5),
    )


def level(name: str, material: Material, length_mm: int, note: str = "") -> BoardPiece:
    return BoardPiece(
        name=name,
        line=EAVES,
        material=material,
        long_point_mm=length_mm,
        short_point_mm=length_mm,
        start=End.SQUARE,
        end=End.SQUARE,
        start_angle_rad=0.0,
        end_angle_rad=0.0,
        hand=Hand.NONE,
        u_mm=EAVES_U,
        note=note,
    )


def _barge(part: str, line: str, length_mm: int, hand: Hand) -> BoardPiece:
    return BoardPiece(
        name=f"{line} barge",
        line=line,
        material=BARGE,
        long_point_mm=length_mm,
        short_point_mm=round(length_mm - 250 * tan(PITCH)),
        start=End.SQUARE,
        end=End.PLUMB,
        start_angle_rad=0.0,
        end_angle_rad=PITCH,
        hand=hand,
        u_mm=RAKE_U,
        note="apex under the saddle",
        part=part,
    )


def _pieces(plan: CuttingPlan) -> tuple[BoardPiece, ...]:
    """Return the finished pieces: runs as the plan divides them."""
    found: list[BoardPiece] = []
    for run, word, material in (("F1", "fascia", FASCIA), ("S1", "soffit", SOFFIT)):
        cuts = [cut for board in plan.boards for cut in board.cuts if cut.part == run]
        ordered = sorted(cuts, key=lambda cut: cut.along_mm)
        found += [
            replace(
                level(f"{EAVES} {word} {n}", material, cut.length_mm, "10 mm gap"),
                part=run,
                along_mm=cut.along_mm,
            )
            for n, cut in enumerate(ordered, start=1)
        ]
    return (
        *found,
        _barge("B1", FRONT_RAKE, 4621, Hand.LEFT),
        _barge("B2", BACK_RAKE, 4606, Hand.RIGHT),
    )


def _shapes() -> tuple[Shape, ...]:
    corners = ((0.0, 0.0), (300.0, 0.0), (300.0, 225.0), (0.0, 458.5))
    mirrored = ((0.0, 0.0), (300.0, 0.0), (300.0, 458.5), (0.0, 225.0))
    return (
        Shape(
            name="X1 box end",
            line=FRONT_RAKE,
            material=BARGE,
            corners_mm=corners,
            hand=Hand.LEFT,
            note="one of two from a 520 mm length",
        ),
        Shape(
            name="X2 box end",
            line=BACK_RAKE,
            material=BARGE,
            corners_mm=mirrored,
            hand=Hand.RIGHT,
        ),
    )


def quantity(
    code: str,
    description: str,
    amount: str,
    section: Section,
    *,
    unit: Unit = Unit.EACH,
    lines: tuple[str, ...] = (EAVES,),
    rules: tuple[str, ...] = (),
    working: str = "counted",
) -> Quantity:
    """Make a quantity."""
    item = Item(code=code, description=description, unit=unit, section=section)
    return Quantity(
        item=item, amount=Decimal(amount), lines=lines, rules=rules, working=working
    )


def _quantities() -> tuple[Quantity, ...]:
    """Return what is needed, in the order of the work."""
    rakes = (FRONT_RAKE, BACK_RAKE)
    found = (
        quantity(
            "access/tower",
            "Mobile tower, each position",
            "2",
            Section.ACCESS,
            lines=(),
            rules=("access.positions_per_elevation",),
            working="2 elevations x 1 position",
        ),
        quantity(
            "strip-out/bag",
            "Bulk bag 0.7 m3",
            "1",
            Section.STRIP_OUT,
            lines=(EAVES, *rakes),
            working="0.31 m3 of old boards / 0.7 = 0.44, so 1",
        ),
        quantity(
            "board/fascia-board/225/white/5000",
            "Fascia board 18 x 225 mm, white, 5.0 m",
            "1",
            Section.BOARDS,
            rules=("boards.fascia.widths_mm",),
            working="cutting plan: 1 board of 5000 mm and one offcut of 2900 mm in hand",
        ),
        quantity(
            "board/soffit-board/300/white/5000",
            "Soffit board 9 x 300 mm, white, 5.0 m",
            "2",
            Section.BOARDS,
            rules=("boards.soffit.widths_mm",),
            working="cutting plan: 2 boards of 5000 mm",
        ),
        quantity(
            "board/barge-board/250/white/5000",
            "Barge board 18 x 250 mm, white, 5.0 m",
            "3",
            Section.BOARDS,
            lines=rakes,
            working="cutting plan: 3 boards of 5000 mm",
        ),
        quantity(
            "trim/board-joint/225/white",
            "Fascia joint trim, white",
            "1",
            Section.TRIMS,
            rules=("trims.joint.per_joint",),
            working="1 joint x 1",
        ),
        quantity(
            "trim/apex/250/white",
            "Apex trim, white",
            "1",
            Section.TRIMS,
            lines=rakes,
            working="1 apex x 1",
        ),
        quantity(
            "fixing/nail/65/white",
            "Nail 65 mm, stainless, white head",
            "28",
            Section.FIXINGS,
            rules=("fixings.fascia.centres_mm", "fixings.fascia.per_centre"),
            working="7659 / 600 = 12.8, so 13 + 1 centres x 2 = 28",
        ),
        quantity(
            "fixing/nail/65/white",
            "Nail 65 mm, stainless, white head",
            "36",
            Section.FIXINGS,
            lines=rakes,
            rules=("fixings.fascia.centres_mm", "fixings.fascia.per_centre"),
            working="(4621 / 600 so 8 + 1, 4606 / 600 so 8 + 1) centres x 2 = 36",
        ),
        quantity(
            "sealant/cartridge",
            "Sealant, 310 ml, white",
            "0.4",
            Section.FIXINGS,
            lines=(),
            working="3 joints / 8 a cartridge = 0.4",
        ),
        quantity(
            "verge/dry-unit",
            "Dry verge unit",
            "29",
            Section.VERGE,
            lines=rakes,
            working="4621 / 330 so 15, 4606 / 330 so 14",
        ),
        quantity(
            "timber/treated/38x38",
            "Treated softwood 38 x 38 mm",
            "4.58",
            Section.TIMBER,
            unit=Unit.METRE,
            rules=("ventilation.eaves_slot_mm",),
            working="14 bearers x 0.327 m",
        ),
        quantity(
            "labour/fascia",
            "Fit fascia",
            "1.15",
            Section.LABOUR,
            unit=Unit.HOUR,
            working="7659 mm at 0.15 h a metre",
        ),
    )
    order = list(Section)
    return tuple(sorted(found, key=lambda q: order.index(q.item.section)))


def _rules() -> tuple[UsedRule, ...]:
    rows = (
        ("access.positions_per_elevation", "1", "each", PRACTICE, False),
        ("boards.fascia.widths_mm", "150, 175, 200, 225, 250", "mm", PRACTICE, False),
        ("boards.soffit.widths_mm", "100, 150, 200, 300, 405", "mm", PRACTICE, False),
        ("trims.joint.per_joint", "1", "each", PRACTICE, False),
        ("fixings.fascia.centres_mm", "600", "mm", "makers' fixing sheets", False),
        ("fixings.fascia.per_centre", "2", "each", "makers' fixing sheets", False),
        ("ventilation.eaves_slot_mm", "10", "mm", "BS 5250, as reported", True),
    )
    return tuple(
        UsedRule(key=key, value=value, unit=unit, source=source, overridden=own)
        for key, value, unit, source, own in rows
    )


def _verdicts() -> tuple[Verdict, ...]:
    return (
        Verdict(
            subject="eaves ventilation, front eaves",
            passed=True,
            required=10_000.0,
            provided=10_000.0,
            unit="mm2/m",
            clause="BS 5250, annex H",
            source="as reported by a guidance sheet",
            sentence="The strip gives 10,000 mm2/m and the roof needs 10,000 mm2/m.",
        ),
        Verdict(
            subject="high-level ventilation",
            passed=False,
            required=5_000.0,
            provided=0.0,
            unit="mm2/m",
            clause="BS 5250, annex H",
            source="as reported by a guidance sheet",
            sentence="The pitch is 37.9 degrees, beyond 35: add 5,000 mm2/m at the ridge.",
        ),
        Verdict(
            subject="thermal movement, fascia",
            passed=None,
            required=None,
            provided=None,
            unit="mm",
            clause="gap at joints",
            source=PRACTICE,
            sentence="The temperature at fitting is not stated, so it cannot be judged.",
        ),
    )


def sample_takeoff() -> Takeoff:
    """Return the take-off of the sample house."""
    plan = sample_plan()
    return Takeoff(
        title="Invented demo house",
        country="uk",
        quantities=_quantities(),
        pieces=_pieces(plan),
        shapes=_shapes(),
        plan=plan,
        verdicts=_verdicts(),
        shortages=(
            _short(2, 0.41),
            _short(3, 0.03),
            _short(4, 0.0004),
        ),
        deciding=Deciding(line=FRONT_RAKE, chance_now=0.03, chance_taped=0.002),
        stops=(),
        cautions=(*ALWAYS, "front eaves: rafter centres of 600 mm were assumed."),
        rules=_rules(),
    )


def _short(boards: int, chance: float) -> Shortage:
    return Shortage(
        material=BARGE,
        stock_length_mm=5000,
        boards=boards,
        chance=chance,
        at_least=chance,
    )


STOP: Final = Stop(
    lines=("rear: rear soffit",),
    reason="rear: rear soffit: it may hold asbestos; state the result of a survey.",
)
