"""Brackets, unions, lengths and pipes."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calibration.errors import InputError
from photomeasure.takeoff.measured import Measured
from photomeasure.takeoff.rainwater import (
    Catchment,
    Drainage,
    Gutter,
    GutterRules,
    GutterRun,
    bracket_places_mm,
    flow_l_s,
    gutter_parts,
    half_round,
    pipe_parts,
)
from tests.photomeasure.takeoff.rainwater.eaves import run, slope

RULES = GutterRules(
    stock_mm=4000.0, bracket_centres_mm=1000.0, bracket_from_fitting_mm=150.0
)
"""Brackets at 1 m and within 150 mm of fittings: a plumbing textbook, pp. 536-537."""

TOUCH_MM = 1e-6
"""Rounding of sums of lengths."""


def test_eight_metres_with_an_end_outlet_by_hand():
    """Outlet at 0, union at 4000: two lengths of 4 m.

    Brackets at 150; then 3700 mm to 3850 in four; 4150 beyond the union; 3700 mm to 7850
    in four: 1 + 4 + 1 + 4 = 10.
    """
    parts = gutter_parts(run(0.0), RULES)

    assert parts.pieces_mm == (4000.0, 4000.0)
    assert parts.unions_mm == (4000.0,)
    assert (parts.stock, parts.outlets, parts.stop_ends, parts.angles) == (2, 1, 2, 0)
    assert parts.brackets_mm == (
        150.0,
        1075.0,
        2000.0,
        2925.0,
        3850.0,
        4150.0,
        5075.0,
        6000.0,
        6925.0,
        7850.0,
    )


def test_outlet_in_the_middle_is_the_joint():
    """8 m halved by the outlet need no union."""
    parts = gutter_parts(run(4000.0), RULES)

    assert parts.unions_mm == ()
    assert parts.stock == 2


def test_offcuts_are_used_again():
    """5 m either side of an outlet: 4 + 1 and 4 + 1 m come from three lengths."""
    parts = gutter_parts(run(5000.0, length_mm=10_000.0), RULES)

    assert sorted(parts.pieces_mm) == [1000.0, 1000.0, 4000.0, 4000.0]
    assert parts.stock == 3


def test_snow_brings_brackets_closer():
    """0.75 m in snow areas (the same textbook)."""
    snow = GutterRules(
        stock_mm=4000.0, bracket_centres_mm=750.0, bracket_from_fitting_mm=150.0
    )

    assert len(gutter_parts(run(0.0), snow).brackets_mm) == 12


lengths = st.floats(500.0, 30_000.0)
places = st.lists(st.floats(0.0, 1.0), max_size=5)


@given(lengths, places)
def test_brackets_keep_both_rules(length, shares):
    """No gap is wider than the rule; every fitting and end has one within reach."""
    fittings = tuple(sorted(share * length for share in shares))
    brackets = bracket_places_mm(length, fittings, RULES)
    # Places closer than 1 mm count as one, so reach may grow by that.
    reach = 150.0 + 1.0 + TOUCH_MM

    assert all(b - a <= 1000.0 + 1.0 + TOUCH_MM for a, b in pairwise(brackets))
    assert brackets[0] <= reach
    assert brackets[-1] >= length - reach
    for fitting in fittings:
        for inside, side in ((fitting >= 151.0, -1), (fitting <= length - 151.0, 1)):
            if inside:
                assert any(-TOUCH_MM <= side * (b - fitting) <= reach for b in brackets)


@given(lengths, st.floats(0.0, 1.0))
def test_lengths_make_up_the_gutter(length, share):
    """Pieces add up to the run, none longer than a length, and enough are bought."""
    parts = gutter_parts(run(share * length, length_mm=length), RULES)

    assert sum(parts.pieces_mm) == pytest.approx(length)
    assert max(parts.pieces_mm) <= 4000.0 + TOUCH_MM
    assert parts.stock * 4000.0 >= length - TOUCH_MM


def test_downpipe_by_hand():
    """5.2 m with the way to the wall in three lengths; 4.9 m in three gaps of 1.8."""
    pipe = pipe_parts(4900.0, 300.0, 2500.0, 1800.0)

    assert (pipe.stock, pipe.sockets, pipe.clips, pipe.offsets) == (3, 2, 4, 2)


@given(st.floats(500.0, 12_000.0), st.floats(500.0, 12_000.0))
def test_longer_pipe_never_takes_less(one, other):
    """Lengths and clips grow with the height."""
    low, high = (pipe_parts(h, 0.0, 2500.0, 1800.0) for h in sorted((one, other)))

    assert low.stock <= high.stock
    assert low.clips <= high.clips


@pytest.mark.parametrize(
    ("make", "arguments", "says"),
    [
        (run, {"length_mm": 8000.0}, "has no outlet"),
        (
            GutterRun,
            {"name": "g", "length_mm": 1000.0, "outlets_mm": (1001.0,)},
            "off the gutter",
        ),
        (
            GutterRun,
            {"name": "g", "length_mm": 1000.0, "outlets_mm": (500.0, 500.0)},
            "coincide",
        ),
        (GutterRun, {"name": "g", "length_mm": -1.0, "outlets_mm": (0.0,)}, "length"),
        (slope, {"width_mm": 0.0}, "plan width"),
        (slope, {"degrees": 90.0}, "is no roof's"),
        (slope, {"degrees": -1.0}, "is no roof's"),
        (slope, {"wall_mm2": -1.0}, "wall area"),
        (half_round, {"size_mm": 0.0}, "size"),
        (Gutter, {"name": "g", "depth_mm": 60.0, "capacity_l_s": 0.0}, "capacity"),
        (flow_l_s, {"area_mm2": Measured(1e6), "rain_l_s_m2": 0.0}, "rain"),
        (
            pipe_parts,
            {
                "height_mm": 5000.0,
                "overhang_mm": -1.0,
                "stock_mm": 2500.0,
                "clip_centres_mm": 1800.0,
            },
            "overhang",
        ),
        (
            Drainage,
            {
                "catchment": slope(),
                "run": run(0.0),
                "gutter": half_round(100.0),
                "outlet_mm": -63.0,
            },
            "outlets or rain",
        ),
    ],
)
def test_nonsense_is_refused_in_one_sentence(make, arguments, says):
    """An impossible gutter never becomes a verdict."""
    with pytest.raises(InputError, match=rf"^[^\n]*{says}[^\n]*\.$"):
        make(**arguments)


def test_catchment_is_a_value():
    """Equal slopes are equal."""
    assert slope() == Catchment(
        name="front",
        length_mm=Measured(8000.0),
        width_mm=Measured(4000.0),
        pitch_rad=slope().pitch_rad,
    )
