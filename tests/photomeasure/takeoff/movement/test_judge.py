"""Whether the usual gap is enough at the temperature of fitting."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calibration.errors import InputError
from photomeasure.takeoff.movement import (
    Climate,
    Gap,
    Substance,
    Tone,
    gap_needed_mm,
    growth_mm,
    judge_gap,
)
from photomeasure.takeoff.rules import load_rules

UK = load_rules("uk")

JOINT = Gap(
    name="fascia at a joint",
    boards_mm=(5000.0, 5000.0),
    usual_mm=10.0,
    substance=Substance.CELLULAR_PVCU,
    tone=Tone.LIGHT,
    fitting_c=20.0,
)
"""10 mm between two full 5 m boards: two makers' fixing sheets."""


def verdict_of(gap):
    """Return the one verdict."""
    return judge_gap(gap, UK).verdicts[0]


def test_usual_gap_is_too_small_for_white_boards_fitted_at_20():
    """80e-6 x 5000 x (60 - 20) = 16 mm, more than 10; 10 shut after 25 K (by hand)."""
    verdict = verdict_of(JOINT)

    assert verdict.passed is False
    assert verdict.required == pytest.approx(16.0)
    assert "shut after 25 K of warming: too small. Leave 16 mm" in verdict.sentence


def test_usual_gap_is_enough_for_boards_fitted_hot():
    """80e-6 x 5000 x (60 - 40) = 8 mm (by hand)."""
    verdict = verdict_of(replace(JOINT, fitting_c=40.0))

    assert verdict.passed is True
    assert verdict.required == pytest.approx(8.0)


def test_gap_exactly_needed_is_enough():
    """80e-6 x 5000 x 25 = 10 mm: a fitting temperature of 35 on the limit."""
    assert verdict_of(replace(JOINT, fitting_c=35.0)).passed is True
    assert verdict_of(replace(JOINT, fitting_c=34.9)).passed is False


def test_dark_boards_need_more():
    """80e-6 x 5000 x (80 - 20) = 24 mm (by hand)."""
    assert verdict_of(replace(JOINT, tone=Tone.DARK)).required == pytest.approx(24.0)


def test_unstated_colour_counts_as_dark_and_is_said():
    """The safe side."""
    verdict = verdict_of(replace(JOINT, tone=None))

    assert verdict.required == pytest.approx(24.0)
    assert "taken as dark" in verdict.sentence


def test_fixed_end_takes_half_of_one_board():
    """80e-6 x 2500 x 40 = 8 mm against 5 (by hand)."""
    verdict = verdict_of(replace(JOINT, boards_mm=(5000.0,), usual_mm=5.0))

    assert (verdict.passed, verdict.required) == (False, pytest.approx(8.0))


def test_cold_opening_is_told():
    """16 mm at 20 degrees; 80e-6 x 5000 x 45 = 18 more at -25: 34 mm (by hand)."""
    assert "At -25 °C it opens to 34 mm" in verdict_of(JOINT).sentence


def test_stated_extremes_replace_those_from_memory():
    """Then nothing from memory is left, and the sentence does not say so."""
    verdict = verdict_of(replace(JOINT, extremes_c=(-5.0, 45.0)))

    assert verdict.required == pytest.approx(10.0)
    assert "from memory" not in verdict.source + verdict.sentence
    assert "from memory" in verdict_of(JOINT).source
    assert "from memory" in verdict_of(JOINT).sentence


def test_timber_says_that_moisture_moves_it_more():
    """Thermal movement alone would mislead."""
    verdict = verdict_of(replace(JOINT, substance=Substance.TIMBER))

    assert verdict.passed is True
    assert "more by moisture" in verdict.sentence


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"fitting_c": None}, "state the temperature at fitting"),
        ({"substance": None}, "state what the boards are made of"),
        ({"fitting_c": None, "substance": None}, "made of and the temperature"),
    ],
)
def test_gap_is_not_judged_without_the_facts(change, says):
    """Passed is None and the sentence says what is missing."""
    verdict = verdict_of(replace(JOINT, **change))

    assert (verdict.passed, verdict.required) == (None, None)
    assert says in verdict.sentence


@pytest.mark.parametrize(
    "change",
    [
        {"fitting_c": 61.0},
        {"fitting_c": -26.0},
        {"fitting_c": float("nan")},
        {"extremes_c": (10.0, 5.0)},
        {"extremes_c": (-20.0, 200.0)},
        {"usual_mm": -1.0},
        {"boards_mm": ()},
        {"boards_mm": (0.0,)},
    ],
)
def test_nonsense_is_refused_in_one_sentence(change):
    """An impossible board never becomes a verdict."""
    with pytest.raises(InputError, match=r"^[^\n]+ give [^\n]+\.$"):
        verdict_of(replace(JOINT, **change))


lengths = st.floats(100.0, 6000.0)
substances = st.sampled_from(Substance)


@given(lengths, lengths, substances)
def test_longer_boards_never_need_less(one, other, substance):
    """Gap needed grows with length."""
    short, long = sorted((one, other))
    needed = [
        verdict_of(replace(JOINT, boards_mm=(mm,), substance=substance)).required
        for mm in (short, long)
    ]

    assert needed[0] <= needed[1]


@given(st.floats(-25.0, 60.0), st.floats(-25.0, 60.0), substances)
def test_colder_fitting_never_needs_less(one, other, substance):
    """A board fitted cold has more to grow."""
    cold, warm = sorted((one, other))
    needed = [
        verdict_of(replace(JOINT, fitting_c=c, substance=substance)).required
        for c in (cold, warm)
    ]

    assert needed[0] >= needed[1]


@given(lengths, lengths)
def test_joint_is_symmetric(left, right):
    """Which board lies left does not matter."""
    one = verdict_of(replace(JOINT, boards_mm=(left, right)))
    other = verdict_of(replace(JOINT, boards_mm=(right, left)))

    assert one.required == pytest.approx(other.required)


@given(lengths, st.floats(3e-6, 130e-6), st.floats(-25.0, 80.0))
def test_gap_needed_is_shut_at_the_hottest_and_widest_at_the_coldest(
    moving, per_k, fitting
):
    """Between the extremes the gap changes by the whole growth."""
    climate = Climate(coldest_c=-25.0, hottest_c=80.0, fitting_c=fitting)
    gap, widest = gap_needed_mm(moving, per_k, climate)
    whole = growth_mm(moving, per_k, 105.0)

    assert gap - growth_mm(moving, per_k, climate.warming_k) == pytest.approx(0.0)
    assert widest == pytest.approx(whole)
