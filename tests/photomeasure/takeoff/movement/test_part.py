"""Expansion gaps of a whole take-off."""

import pytest

from photomeasure.takeoff.assemble import take_off
from photomeasure.takeoff.movement.part import verdicts_and_quantities
from photomeasure.takeoff.rules import load_rules
from tests.photomeasure.takeoff.houses import GABLED, gabled, spec
from tests.photomeasure.takeoff.houses import ends as ends_of
from tests.photomeasure.takeoff.small_house import piece, work

UK = load_rules("uk")

FRONT = (piece("F1", "front", 5000), piece("F2", "front", 3000))
SIDE = (piece("S1", "side", 4900),)


def test_joint_is_judged_by_the_boards_that_meet():
    """5 and 3 m meet at front: 80e-6 x 4000 x 40 = 12.8 mm. End: 80e-6 x 2500 x 40 = 8."""
    end, joint = verdicts_and_quantities(
        work(*FRONT, *SIDE, fitting_temperature_c=20), UK
    ).verdicts

    assert "at a joint" in joint.subject
    assert (joint.required, joint.provided) == (pytest.approx(12.8), 10.0)
    assert (end.required, end.provided) == (pytest.approx(8.0), 5.0)


def test_material_without_a_joint_has_its_ends_only():
    """Boards of different lines do not meet."""
    found = verdicts_and_quantities(work(FRONT[0], *SIDE, fitting_temperature_c=20), UK)

    assert len(found.verdicts) == 1


def test_colour_that_is_not_light_counts_as_dark():
    """Oak, black, anthracite: all dark. 80e-6 x 2500 x (80 - 20) = 12 mm."""
    oak = piece("O1", "front", 5000, "oak")
    found = verdicts_and_quantities(work(oak, fitting_temperature_c=20), UK)

    assert found.verdicts[0].required == pytest.approx(12.0)


def test_materials_are_judged_apart():
    """White and oak on one house."""
    oak = piece("O1", "front", 5000, "oak")
    found = verdicts_and_quantities(work(oak, FRONT[0], fitting_temperature_c=20), UK)

    assert [round(v.required, 1) for v in found.verdicts] == [12.0, 8.0]


def test_without_a_fitting_temperature_nothing_is_judged():
    """Once for all boards, with the temperature from which the usual gaps would do.

    End: 5 mm / (80e-6 x 2500) = 25 K below 60 is 35 °C. Joint: 10 / (80e-6 x 4000) =
    31.25 K, 28.75 °C, rounded up to the safe side.
    """
    (verdict,) = verdicts_and_quantities(work(*FRONT), UK).verdicts

    assert verdict.passed is None
    assert "takeoff.fitting_temperature_c" in verdict.sentence
    assert "against a fixed end 5 mm from 35 °C" in verdict.sentence
    assert "at a joint 10 mm from 29 °C" in verdict.sentence


@pytest.mark.parametrize(("fitting_c", "passed"), [(28, False), (29, True)])
def test_the_temperature_that_is_named_is_the_one_that_passes(fitting_c, passed):
    """One degree less and the joint is too narrow."""
    joint = verdicts_and_quantities(
        work(*FRONT, fitting_temperature_c=fitting_c), UK
    ).verdicts[1]

    assert joint.passed is passed


def test_order_of_pieces_does_not_matter():
    """The longest pair is found wherever it stands."""
    one = verdicts_and_quantities(work(*FRONT, *SIDE, fitting_temperature_c=20), UK)
    other = verdicts_and_quantities(
        work(*SIDE, *reversed(FRONT), fitting_temperature_c=20), UK
    )

    assert one == other


def test_keys_exist():
    """Every rule named is there."""
    found = verdicts_and_quantities(work(*FRONT, fitting_temperature_c=20), UK)

    assert "gaps.board_end_mm" in found.rules
    assert all(UK.has(key) for key in found.rules)


def judged(**ends):
    """Return subject and need of each verdict for a house with these ends, at 20 °C."""
    lines = {"lines": ends_of(**ends)} if ends else {}
    words = {**GABLED, **lines, "fitting_temperature_c": 20}
    found = take_off(gabled(), spec(**words), draws=0).takeoff
    return {v.subject.removeprefix("expansion gap, "): v.required for v in found.verdicts}


def test_fixed_ends_are_judged_where_there_are_any():
    """Between gables no board end meets anything; against a wall it does."""
    free = judged(front_eaves=("gable", "gable"), rear_eaves=("gable", "gable"))
    held = judged(front_eaves=("abutment", "gable"), rear_eaves=("gable", "gable"))

    assert not any("fixed end" in subject for subject in free)
    assert "fascia board 225 white against a fixed end" in held


def test_barge_boards_meet_at_their_apex():
    """Tops of both slopes: half of each closes the gap, 80e-6 a kelvin, 40 K."""
    words = {**GABLED, "fitting_temperature_c": 20}
    taken = take_off(gabled(), spec(**words), draws=0)
    tops = [
        taken.work.pieces_of(run)[-1].long_point_mm
        for run in taken.work.runs
        if run.kind == "barge"
    ]
    (apex,) = (v for v in taken.takeoff.verdicts if v.subject.endswith("at an apex"))

    assert len(tops) == 2
    assert apex.required == pytest.approx(80e-6 * 40.0 * sum(tops) / 2.0)
    assert apex.provided == 10.0
