"""The check finds every kind of fault a plan could have."""

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal

import pytest

from photomeasure.takeoff.cutting import (
    Board,
    CuttingPlan,
    Goal,
    Joint,
    JointKind,
    Problem,
    Run,
    Saw,
    Supports,
    assembly,
    faults_of,
    solve,
)
from photomeasure.takeoff.cutting.assembly import lay_out
from photomeasure.takeoff.cutting.errors import UnsoundPlan
from tests.photomeasure.takeoff.cutting.jobs import (
    GREY,
    WHITE,
    board,
    in_hand,
    pieces,
)

RUN = Run(
    id="front",
    length_mm=9000,
    material=WHITE,
    supports=Supports(600, 300),
    avoid_mm=(3900,),
    clearance_mm=100,
    min_piece_mm=500,
)
PROBLEM = Problem(
    stocks=(board(5000), in_hand(2200)),
    pieces=pieces([2100, 1000]),
    runs=(RUN,),
    saw=Saw(3, 5),
)
SOUND = solve(PROBLEM)


def with_boards(plan: CuttingPlan, boards: tuple[Board, ...]) -> CuttingPlan:
    """Replace the boards of a plan in one material."""
    return CuttingPlan((replace(plan.materials[0], boards=boards),))


def with_first(plan: CuttingPlan, change: Callable[[Board], Board]) -> CuttingPlan:
    """Change the first board."""
    return with_boards(plan, (change(plan.boards[0]), *plan.boards[1:]))


def with_run_joint(at_mm: int) -> CuttingPlan:
    """Move the joint of the run, and the cuts with it."""
    (old,) = SOUND.joints_of("front")
    boards = tuple(
        replace(
            b,
            cuts=tuple(
                c
                if c.part != "front"
                else replace(c, length_mm=at_mm)
                if c.along_mm == 0
                else replace(c, along_mm=at_mm, length_mm=c.length_mm + old - at_mm)
                for c in b.cuts
            ),
        )
        for b in SOUND.boards
    )
    division = replace(SOUND.divisions[0], joints=(Joint(at_mm, JointKind.IN_LINE),))
    return CuttingPlan((replace(SOUND.materials[0], boards=boards, divisions=(division,)),))


def shift(cut_board: Board) -> Board:
    """Start the first cut a millimetre late."""
    first = replace(cut_board.cuts[0], start_mm=cut_board.cuts[0].start_mm + 1)
    return replace(cut_board, cuts=(first, *cut_board.cuts[1:]))


def lengthen(cut_board: Board) -> Board:
    """Cut the last piece 3 m longer."""
    last = cut_board.cuts[-1]
    longer = replace(last, length_mm=last.length_mm + 3000)
    return replace(cut_board, cuts=(*cut_board.cuts[:-1], longer))


def with_goals(**goals) -> CuttingPlan:
    """Change what the plan says of itself."""
    return CuttingPlan((replace(SOUND.materials[0], **goals),))


GREY_STOCK = replace(board(5000), material=GREY)

TAMPERED = {
    "a cut in the wrong place": (with_first(SOUND, shift), "starts at"),
    "a piece beyond the board": (with_first(SOUND, lengthen), "its cuts end at"),
    "a piece of the wrong length": (with_first(SOUND, lengthen), "is cut as"),
    "a wrong offcut": (
        with_first(SOUND, lambda b: replace(b, offcut_mm=b.offcut_mm + 1)),
        "the offcut is",
    ),
    "an empty board": (
        with_boards(SOUND, (*SOUND.boards, Board(board(5000), (), 4995))),
        "nothing is cut",
    ),
    "a board left out": (with_boards(SOUND, SOUND.boards[1:]), "is cut as []"),
    "a board cut twice": (
        with_boards(SOUND, (SOUND.boards[0], *SOUND.boards)),
        "boards of 2200 mm used, 1 there",
    ),
    "a board nobody has": (
        with_first(SOUND, lambda b: replace(b, stock=board(4900))),
        "there is no 4900 mm board",
    ),
    "a board of another colour": (
        with_first(SOUND, lambda b: replace(b, stock=GREY_STOCK)),
        "another material",
    ),
    "a part nobody asked for": (
        with_first(SOUND, lambda b: replace(b, cuts=(replace(b.cuts[0], part="x"),))),
        "nobody asked",
    ),
    "a joint off the supports": (with_run_joint(4200), "4200 mm is not allowed"),
    "a joint in line with another": (with_run_joint(3900), "3900 mm is not allowed"),
    "a short piece": (with_run_joint(300), "0 to 300 mm is too short"),
    "no division": (with_goals(divisions=()), "does not mention"),
    "a wrong cost": (
        with_goals(cost=Goal(Decimal(1), Decimal(1))),
        "the boards cost",
    ),
    "a bound above the cost": (
        with_goals(cost=Goal(SOUND.materials[0].cost.value, Decimal(10**6))),
        "below its bound",
    ),
    "a wrong number of joints": (with_goals(joints=Goal(5, 5)), "miscounted"),
    "a wrong longest offcut": (with_goals(offcut=Goal(1, 1)), "longest offcut"),
}


def test_a_sound_plan_has_no_faults():
    """What the solver made passes."""
    assert faults_of(SOUND, PROBLEM) == ()


@pytest.mark.parametrize(("plan", "says"), TAMPERED.values(), ids=TAMPERED.keys())
def test_a_fault_is_found_and_named(plan: CuttingPlan, says: str):
    """Each tampering is told in its own words."""
    assert any(says in fault for fault in faults_of(plan, PROBLEM))


def test_a_gap_in_a_run_is_found():
    """Pieces that do not meet leave the wall bare."""
    cuts = [c for b in SOUND.boards for c in b.cuts if c.part == "front"]
    gone = cuts[0]
    boards = tuple(
        replace(b, cuts=tuple(c for c in b.cuts if c != gone)) for b in SOUND.boards
    )

    assert any("do not cover" in f for f in faults_of(with_boards(SOUND, boards), PROBLEM))


def test_an_apex_without_a_joint_is_found():
    """A plan made for a straight eaves does not serve a gable."""
    straight = Problem(stocks=(board(5000),), runs=(replace(RUN, length_mm=4000),))
    gable = replace(straight, runs=(replace(straight.runs[0], apexes_mm=(2000,)),))

    assert any("no joint at the apex" in f for f in faults_of(solve(straight), gable))


def test_the_solver_hands_out_no_unsound_plan(monkeypatch: pytest.MonkeyPatch):
    """Boards laid out without their kerf are refused, in so many words."""

    def careless(stock, parts, saw):
        return lay_out(stock, parts, replace(saw, kerf_mm=0))

    monkeypatch.setattr(assembly, "lay_out", careless)
    twice = Problem(stocks=(board(5000),), pieces=pieces([900, 800]), saw=Saw(3, 0))

    with pytest.raises(UnsoundPlan, match="p0001 starts at 900, not at 903 mm"):
        solve(twice)


def test_totals_add_up():
    """Boards are pieces, offcuts, kerfs and near trims."""
    (plan,) = SOUND.materials
    cuts = sum(len(b.cuts) for b in plan.boards)
    lost = 3 * cuts + 5 * len(plan.boards)

    assert plan.board_mm == plan.pieces_mm + plan.offcuts_mm + lost
    assert plan.pieces_mm == 2100 + 1000 + 9000
    assert plan.joints.gap == plan.cost.gap == 0.0
