"""Runs are joined where they may be, as seldom as possible."""

from dataclasses import replace
from decimal import Decimal

import pytest

from calibration.errors import UnknownName
from photomeasure.takeoff.cutting import (
    JointKind,
    Problem,
    Run,
    Saw,
    Supports,
    faults_of,
    solve,
)
from photomeasure.takeoff.cutting.errors import NoJointAllowed
from tests.photomeasure.takeoff.cutting.jobs import WHITE, board, pieces

RAFTERS = Supports(spacing_mm=600, offset_mm=300)


def run(length_mm: int, **rules) -> Run:
    """Make a run called front."""
    return Run(id="front", length_mm=length_mm, material=WHITE, **rules)


def joints_on(boards_mm: tuple[int, ...], *runs: Run, **job) -> tuple[int, ...]:
    """Joints of the run called front in a plan that is proven and sound."""
    problem = Problem(stocks=tuple(map(board, boards_mm)), runs=runs, **job)
    plan = solve(problem)
    assert plan.proven
    assert faults_of(plan, problem) == ()
    return plan.joints_of("front")


def test_a_run_that_one_board_reaches_is_not_joined():
    """Five metres from a five metre board have no joint."""
    assert joints_on((5000,), run(5000)) == ()


def test_joints_lie_on_the_rafters():
    """A run of nine metres is joined once, on a rafter both pieces reach."""
    (joint,) = joints_on((5000,), run(9000, supports=RAFTERS))

    assert (joint - 300) % 600 == 0
    assert 4000 <= joint <= 5000


def test_joint_lies_where_the_offcuts_serve_the_other_pieces():
    """Only a joint at 4200 leaves 800 mm on one board and 200 on the other."""
    wanted = pieces([800, 200])
    run_9000 = run(9000, supports=(4200, 4500))

    assert joints_on((5000,), run_9000, pieces=wanted) == (4200,)


def test_joints_keep_off_those_of_the_board_beside():
    """Where the soffit is joined the fascia moves on to another rafter."""
    fascia = run(9000, supports=Supports(400))
    free = joints_on((5000,), fascia)
    moved = fascia.clear_of(free, clearance_mm=300)

    (joint,) = joints_on((5000,), moved)

    assert abs(joint - free[0]) >= 300


def test_a_joint_at_the_apex_is_always_there():
    """A gable of eight metres is joined at its apex and nowhere else."""
    problem = Problem(stocks=(board(5000),), runs=(run(8000, apexes_mm=(4000,)),))
    (division,) = solve(problem).divisions

    assert [(j.position_mm, j.kind) for j in division.joints] == [(4000, JointKind.APEX)]


def test_no_piece_shorter_than_allowed_beside_a_joint():
    """10.2 m on 5 m boards: two joints, and no piece under 1.5 m."""
    first, second = joints_on((5000,), run(10_200, min_piece_mm=1500))

    assert min(first, second - first, 10_200 - second) >= 1500


def test_fewest_joints_where_only_one_position_will_do():
    """Two full boards leave a single millimetre that no raster would hit."""
    assert joints_on((4999,), run(9998), joint_step_mm=100) == (4999,)


def test_fewest_joints_squeezed_between_forbidden_zones():
    """The only clear joint is a millimetre between two forbidden zones."""
    rules = {"avoid_mm": (4600, 4940), "clearance_mm": 170}

    # Clear of 4431..4769 and 4771..5109; one board reaches from 4770 to 9771.
    assert joints_on((5001,), run(9771, **rules), joint_step_mm=997) == (4770,)


def test_fewest_joints_come_before_cost():
    """Cheap short boards do not tempt it into another joint."""
    problem = Problem(stocks=(board(5000, "100"), board(2500, "1")), runs=(run(9000),))
    plan = solve(problem).materials[0]

    assert plan.joints.value == 1
    assert plan.cost.value == Decimal(200)


def test_kerf_and_trim_shorten_what_a_board_gives():
    """With 10 mm trims a 5 m board gives 4.98 m."""
    (joint,) = joints_on((5000,), run(9960), saw=Saw(3, 10))

    assert joint == 4980


def test_equal_runs_may_be_divided_differently():
    """A terrace: three runs of 7 m fill boards of 5 m as 21 m allow."""
    terrace = tuple(
        Run(id=f"house {i}", length_mm=7000, material=WHITE, supports=Supports(500))
        for i in range(3)
    )
    problem = Problem(stocks=(board(5000),), runs=terrace)
    plan = solve(problem).materials[0]

    assert plan.joints.value == 3
    assert len(plan.boards) == 5
    assert plan.proven


@pytest.mark.parametrize(
    "rules",
    [
        {"supports": ()},
        {"supports": (1000, 8000)},
        {"min_piece_mm": 4800},
        {"avoid_mm": (1500, 4500, 7500), "clearance_mm": 1600},
    ],
    ids=["no support", "supports too far apart", "short of 9 m", "all too near"],
)
def test_impossible_joint_rules_are_named(rules):
    """The run and the stretch that cannot be divided are in the message."""
    with pytest.raises(NoJointAllowed, match=r"front: no allowed joints.*0 to 9000"):
        solve(Problem(stocks=(board(5000),), runs=(run(9000, **rules),)))


def test_joints_of_an_unknown_run_are_refused():
    """The message lists the runs there are."""
    plan = solve(Problem(stocks=(board(5000),), runs=(run(4000),)))

    with pytest.raises(UnknownName, match="'back' is not known; use one of front"):
        plan.joints_of("back")


def test_a_gap_shortens_every_piece_and_no_place():
    """Twelve metres on rafters with 10 mm of room: places sum up, pieces are shorter."""
    run = Run(
        id="front", length_mm=12_000, material=WHITE, supports=Supports(600), gap_mm=10
    )
    plan = solve(Problem(stocks=(board(4810),), runs=(run,)))
    cuts = sorted(cut.along_mm + cut.length_mm for b in plan.boards for cut in b.cuts)

    assert [end % 600 for end in cuts] == [590] * len(cuts)
    assert sum(c.length_mm for b in plan.boards for c in b.cuts) == 12_000 - 10 * len(cuts)


def test_a_gap_can_save_a_joint():
    """5,000 mm of place need but 4,990 mm of board."""
    run = Run(id="front", length_mm=5000, material=WHITE, gap_mm=10)
    problem = Problem(stocks=(board(5000),), runs=(run,), saw=Saw(3, 5))

    assert solve(problem).joints_of("front") == ()


@pytest.mark.parametrize(
    ("eaves", "gables"),
    [
        ((7418, 6713), (5157, 5161)),
        ((7417, 6708), (5169, 5171)),
        ((7408, 6713), (5186, 5188)),
    ],
)
def test_gables_joined_anywhere_are_packed_as_well_as_their_sum_allows(eaves, gables):
    """Thousands of equally good patterns hide the answer of five boards."""
    runs = [run(length, supports=Supports(600)) for length in eaves]
    runs += [run(length) for length in gables]
    named = tuple(
        replace(each, id=f"run {i}", min_piece_mm=600, gap_mm=10)
        for i, each in enumerate(runs)
    )
    plan = solve(Problem(stocks=(board(5000),), runs=named, saw=Saw(3, 5), keep_mm=500))

    assert len(plan.boards) == 5
    assert plan.materials[0].cost.proven
