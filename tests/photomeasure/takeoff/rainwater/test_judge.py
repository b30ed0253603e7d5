"""Whether gutters and outlets carry the rain."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from photomeasure.takeoff.measured import Measured
from photomeasure.takeoff.rainwater import Catchment, Gutter, judge_drainage
from tests.photomeasure.takeoff.rainwater.eaves import UK, USA, drainage, run, slope


def passes(drained, rules=UK):
    """Return what each verdict says."""
    return [verdict.passed for verdict in judge_drainage(drained, rules).verdicts]


def test_worked_eaves_with_an_end_outlet():
    """115 mm, 8 m one way, 57.5 mm deep: 139 depths leave 0.875 (by hand).

    Formula: 0.9 x 1.2256 x 0.875 = 0.965 l/s; table: 1.11 x 0.875 = 0.971 l/s; both
    more than 0.954. The outlet of 63 mm: 1.11 l/s in the table.
    """
    formula, table, outlet = judge_drainage(
        drainage(115.0, run(0.0), outlet_mm=63.0), UK
    ).verdicts

    assert (formula.passed, round(formula.provided, 3)) == (True, 0.965)
    assert (table.passed, round(table.provided, 3)) == (True, 0.971)
    assert (outlet.passed, outlet.provided) == (True, 1.11)
    assert round(formula.required, 3) == 0.954


def test_worked_eaves_with_a_middle_outlet():
    """100 mm, 4 m each way, 50 mm deep: 80 depths leave 0.958 (by hand).

    Formula: 0.9 x 0.864 x 0.958 = 0.745 l/s. Table: 0.78 x 0.958 = 0.747 l/s. Both more
    than 0.477. What one outlet of 63 mm takes from both sides the table does not show.
    """
    formula, table, outlet = judge_drainage(
        drainage(100.0, run(4000.0), outlet_mm=63.0), UK
    ).verdicts

    assert (formula.passed, round(formula.provided, 3)) == (True, 0.745)
    assert (table.passed, round(table.provided, 3)) == (True, 0.747)
    assert (outlet.passed, outlet.provided) == (None, 0.78)
    assert round(formula.required, 3) == 0.477
    assert round(outlet.required, 3) == 0.954


@pytest.mark.parametrize(("capacity", "passed"), [(0.94, False), (0.96, True)])
def test_outlet_capacity_that_its_maker_states_decides(capacity, passed):
    """0.954 l/s come."""
    drained = drainage(100.0, run(4000.0), outlet_mm=63.0, outlet_l_s=capacity)

    assert passes(drained)[2] is passed


@pytest.mark.parametrize("bore", [None, 40.0])
def test_outlet_without_a_row_is_not_judged(bore):
    """No bore, or one below the table."""
    assert passes(drainage(100.0, run(4000.0), outlet_mm=bore))[2] is None


def test_middle_size_is_judged_by_the_row_below():
    """112 mm is in no table: the row of 100 mm is the safe one."""
    verdict = judge_drainage(drainage(112.0, run(4000.0)), UK).verdicts[1]
    factor = 1.0 - (4000.0 / 56.0 - 50.0) / 50.0 * 0.07

    assert verdict.provided == pytest.approx(0.78 * factor)


@pytest.mark.parametrize(
    ("size", "rain", "passed"),
    [
        # flow each way 22.71 m2 x rain; 4 m of 112 mm leave 0.970 of the row
        (112.0, 0.030, True),  # 0.681: the row of 100 mm carries 0.757
        (112.0, 0.040, None),  # 0.908: only the row of 115 mm carries it, 1.077
        (112.0, 0.060, False),  # 1.363: not even that one
        (200.0, 0.110, None),  # 2.498: beyond the last row, 2.16
        (60.0, 0.001, None),  # below the first row
    ],
)
def test_size_between_rows_is_open_between_their_flows(size, rain, passed):
    """The table proves what the smaller carries and what the larger does not."""
    drained = drainage(size, run(4000.0), rain_l_s_m2=rain)

    assert passes(drained)[1] is passed


def test_other_shapes_need_a_stated_capacity():
    """The formula is for half-round gutters; no other shape is guessed."""
    square = Gutter(name="square", depth_mm=60.0)
    drained = replace(drainage(100.0, run(4000.0)), gutter=square)
    stated = replace(drained, gutter=replace(square, capacity_l_s=1.0))

    assert passes(drained) == [None, None]
    assert passes(stated) == [True, None]


def test_corner_may_turn_a_pass_into_a_failure():
    """An angle 1 m from the outlet leaves 0.8."""
    plain = drainage(100.0, run(4000.0), rain_l_s_m2=0.031)
    bent = replace(plain, run=run(4000.0, corners_mm=(5000.0,)))

    assert passes(plain)[0] is True
    assert passes(bent)[0] is False


def test_gutter_too_long_for_any_factor_is_not_judged():
    """11 m of a gutter 50 mm deep are 220 depths."""
    drained = drainage(
        100.0, run(0.0, length_mm=11_000.0), catchment=slope(length_mm=11_000.0)
    )
    verdict = judge_drainage(drained, UK).verdicts[0]

    assert verdict.passed is None
    assert "longer than any published factor covers" in verdict.sentence


def test_uncertain_sizes_count_at_their_upper_end():
    """Enough for the best estimate only is not enough, and is said."""
    sure = drainage(100.0, run(4000.0), rain_l_s_m2=0.032)
    spread = Catchment(
        name="front",
        length_mm=Measured(8000.0, 80.0),
        width_mm=Measured(4000.0, 40.0),
        pitch_rad=Measured(math.radians(40.0), 0.01),
    )
    doubtful = replace(sure, catchment=spread)
    verdict = judge_drainage(doubtful, UK).verdicts[0]

    assert passes(sure)[0] is True
    assert verdict.passed is False
    assert "at the upper end of the measured sizes" in verdict.sentence


def test_small_roof_is_told_that_the_table_asks_no_gutter():
    """6.0 m2 and less (Approved Document H3 table 2, from memory)."""
    small = drainage(
        75.0,
        run(0.0, length_mm=2000.0),
        catchment=slope(length_mm=2000.0, width_mm=1500.0, degrees=30.0),
    )
    large = drainage(75.0, run(0.0, length_mm=2000.0), catchment=slope(2000.0, 3000.0))

    assert "no gutter for up to 6 m2" in judge_drainage(small, UK).verdicts[1].sentence
    assert "no gutter" not in judge_drainage(large, UK).verdicts[1].sentence


def test_country_without_rainfall_is_not_judged():
    """Nothing is assumed where no figure is held."""
    bare = drainage(115.0, run(0.0))
    stated = replace(bare, rain_l_s_m2=0.03)

    assert "state the rainfall" in judge_drainage(bare, USA).verdicts[0].sentence
    assert passes(bare, USA) == [None]
    assert passes(stated, USA) == [None]


def test_memory_is_flagged_in_source_and_sentence():
    """The formula and the table were written down from memory."""
    for verdict in judge_drainage(drainage(115.0, run(0.0)), UK).verdicts[:2]:
        assert "from memory" in verdict.source
        assert verdict.sentence.endswith("before you rely on it.")


def test_default_rain_is_called_a_usual_figure():
    """A stated storm is named as stated."""
    usual = judge_drainage(drainage(115.0, run(0.0)), UK).verdicts[0]
    stated = judge_drainage(drainage(115.0, run(0.0), rain_l_s_m2=0.022), UK).verdicts[0]

    assert "the place's own decides" in usual.sentence
    assert "0.022 l/s on each of 45.4 m2 (as stated)" in stated.sentence


lengths = st.floats(1000.0, 9000.0)
places = st.floats(0.0, 1.0)


@given(lengths, st.floats(1000.0, 8000.0), st.floats(0.0, 65.0), places)
def test_mirrored_gutter_is_judged_alike(length, width, degrees, place):
    """Left and right are the same to the rain."""
    catchment = slope(length, width, degrees)
    one, other = (
        judge_drainage(
            drainage(125.0, run(outlet, length_mm=length), catchment=catchment), UK
        ).verdicts
        for outlet in (place * length, length - place * length)
    )

    for left, right in zip(one, other, strict=True):
        assert left.required == pytest.approx(right.required, rel=1e-9)


@given(st.floats(1000.0, 8000.0), st.floats(1000.0, 8000.0), st.floats(0.0, 65.0))
def test_deeper_roof_never_sheds_less(one, other, degrees):
    """Flow grows with the plan width."""
    small, large = sorted((one, other))
    flows = [
        judge_drainage(
            drainage(125.0, run(0.0), catchment=slope(8000.0, width, degrees)), UK
        )
        .verdicts[0]
        .required
        for width in (small, large)
    ]

    assert flows[0] <= flows[1]


@given(st.floats(0.0, 85.0), st.floats(0.0, 85.0))
def test_steeper_roof_never_sheds_less(one, other):
    """Nor does it from 70 degrees on, where one table would drop to half."""
    flows = [
        judge_drainage(drainage(125.0, run(0.0), catchment=slope(degrees=pitch)), UK)
        .verdicts[0]
        .required
        for pitch in sorted((one, other))
    ]

    assert flows[0] <= flows[1]
