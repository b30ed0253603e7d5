"""Published or recomputed values of roof drainage, each with its source.

Approved Document H and BS EN 12056-3 were not read. What rests on memory agrees with an
independent formula, as the tests show.
"""

import math

import pytest

from photomeasure.takeoff.measured import Measured
from photomeasure.takeoff.rainwater import (
    Gutter,
    capacity_l_s,
    corner_factor,
    effective_area_mm2,
    flow_l_s,
    gutter_table,
    half_round,
    length_factor,
    nominal_capacity_l_s,
    rain_from_mm_h,
    slope_factor,
    smallest_for,
    stretches,
    wall_area_mm2,
)
from tests.photomeasure.takeoff.rainwater.eaves import UK, run, slope

DEPTH_MM = 50.0


def test_nominal_flow_is_the_formula():
    """2.78e-5 A^1.25 with A = pi 100^2 / 8 = 3927 mm2: 0.864 l/s (by hand).

    The formula of BS EN 12056-3 is from memory; no public copy of it was found.
    """
    assert round(nominal_capacity_l_s(100.0, UK), 3) == 0.864


@pytest.mark.parametrize(
    ("degrees", "printed", "exact"),
    [(0, 1.0, 1.0), (30, 1.29, 1.2887), (45, 1.50, 1.5), (60, 1.87, 1.8660)],
)
def test_factors_of_approved_document_h(degrees, printed, exact):
    """H3 table 1 (from memory) prints 1 + tan / 2 of EN 12056-3 to two places.

    1.29, 1.50 and 1.87 were seen as the factors of a rainwater firm's public calculator.
    """
    factor = slope_factor(math.radians(degrees))

    assert round(factor, 4) == exact
    assert round(factor, 2) == printed


def test_area_is_length_by_width_and_half_height():
    """A = L (W + H / 2): trade pages quoting BS EN 12056-3:2000."""
    pitch = math.radians(40.0)
    height_mm = 4000.0 * math.tan(pitch)
    area = effective_area_mm2(slope())

    assert area.value == pytest.approx(8000.0 * (4000.0 + height_mm / 2.0))


def test_wall_counts_half():
    """Half its area (metalroofing.org.nz/catchment-area; Approved Document H3)."""
    bare = effective_area_mm2(slope()).value
    walled = effective_area_mm2(slope(wall_mm2=6e6)).value

    assert wall_area_mm2(6e6) == 3e6
    assert walled - bare == pytest.approx(3e6)


@pytest.mark.parametrize(("mm_h", "l_s_m2"), [(75.0, 0.0208), (150.0, 0.0417)])
def test_rain_per_hour_and_per_second(mm_h, l_s_m2):
    """MGMA data sheet 3 (2012): 150 mm/h is 0.042; tables round 75 mm/h to 0.021."""
    assert round(rain_from_mm_h(mm_h), 4) == l_s_m2


def test_default_rain_is_the_rounded_one():
    """0.021, not 0.0208: what the tables were made with."""
    assert UK.number("rainwater.design_rain_l_s_m2") == 0.021


TABLE = [
    # size mm, outlet mm, area m2, flow l/s, formula l/s
    (75, 50, 18.0, 0.38, 0.379),
    (100, 63, 37.0, 0.78, 0.778),
    (115, 63, 53.0, 1.11, 1.103),
    (125, 75, 65.0, 1.37, 1.359),
    (150, 89, 103.0, 2.16, 2.143),
]
"""Approved Document H3 table 2 from memory; 100/63/37 seen at taylorfrancis.com. Of the
other rows no public copy was found."""

HALF_A_DIGIT = 0.005 + 1e-9
"""The table prints two places; 65.0 m2 lie on the half between two."""

WITHIN = 0.01
"""The formula and the table agree within 1 %: two memories that check each other."""


def test_table_is_the_published_one():
    """Every row of table 2."""
    rows = [(r.size_mm, r.outlet_mm, r.area_m2, r.flow_l_s) for r in gutter_table(UK)]

    assert rows == [row[:4] for row in TABLE]


@pytest.mark.parametrize(("size", "outlet", "area", "flow", "formula"), TABLE)
def test_table_and_formula_check_each_other(size, outlet, area, flow, formula):
    """Area times 0.021 rounds to the flow, and 0.9 x 2.78e-5 A^1.25 comes within 1 %.

    The table prints what is left after the design share of 0.9, not the nominal flow.
    """
    capacity = capacity_l_s(half_round(size), UK)

    assert outlet < size
    assert area * 0.021 == pytest.approx(flow, abs=HALF_A_DIGIT)
    assert round(capacity, 3) == formula
    assert capacity == pytest.approx(flow, rel=WITHIN)


@pytest.mark.parametrize(
    ("ratio", "factor"),
    [(10, 1.0), (50, 1.0), (75, 0.965), (100, 0.93), (125, 0.895), (150, 0.86), (200, 0.8)],
)
def test_length_factors(ratio, factor):
    """A gutter supplier's page on EN 12056-3: 1.0, 0.93, 0.86, 0.80; between in line."""
    assert length_factor(ratio * DEPTH_MM, DEPTH_MM, UK) == pytest.approx(factor)


def test_trade_pages_give_less_for_112_mm_than_the_formula():
    """Two trade pages: about 0.9 l/s. A true half-round carries 1.03 by the formula.

    What is sold is mostly shallower, so a maker's figure comes first where it is known.
    """
    assert capacity_l_s(half_round(112.0), UK) == pytest.approx(1.03, abs=0.005)
    assert capacity_l_s(Gutter(name="sold", depth_mm=50.0, capacity_l_s=0.9), UK) == 0.9


def test_no_factor_beyond_the_table():
    """200 depths is the last row: beyond it nothing is invented."""
    assert length_factor(200.0 * DEPTH_MM * 1.001, DEPTH_MM, UK) is None


@pytest.mark.parametrize(
    ("corners_mm", "factor"),
    [
        ((), 1.0),
        ((1999.0,), 0.8),
        ((2000.0,), 0.8),
        ((2001.0,), 0.85),
        ((9000.0,), 0.85),
        ((1000.0, 3000.0), 0.68),
    ],
)
def test_corner_factors_take_the_safe_reading(corners_mm, factor):
    """0.8 within 2 m, 0.9 to 4 m on one page, 0.85 on others: the smaller counts."""
    assert corner_factor(corners_mm, UK) == pytest.approx(factor)


def test_outlet_in_the_middle_halves_the_flow():
    """EN 12056-3 figure 3 as a supplier's page shows it: half each way."""
    end = stretches(run(0.0))
    middle = stretches(run(4000.0))

    assert [s.length_mm for s in end] == [8000.0]
    assert [s.length_mm for s in middle] == [4000.0, 4000.0]


def test_worked_eaves():
    """Constructed: 8 m by 4 m at 40 degrees is 45.4 m2 and 0.954 l/s at 0.021.

    By the table alone that takes 115 mm with an end outlet and 100 mm with one in the
    middle, 0.477 l/s each way. The length of the gutter is not counted here.
    """
    area = effective_area_mm2(slope())
    flow = flow_l_s(area, 0.021)

    assert round(slope_factor(math.radians(40.0)), 4) == 1.4195
    # The notes round 45.425 m2 and 0.95393 l/s.
    assert round(area.value / 1e6, 1) == 45.4
    assert round(flow.value, 3) == 0.954
    assert smallest_for(flow.value, UK).size_mm == 115
    assert smallest_for(flow.value / 2.0, UK).size_mm == 100


def test_area_spread_adds_up_from_one_scale():
    """1 % of length and width together are 2 % of the area: they share the scale."""
    plain = slope(degrees=0.0)
    spread = type(plain)(
        name="front",
        length_mm=Measured(8000.0, 80.0),
        width_mm=Measured(4000.0, 40.0),
        pitch_rad=plain.pitch_rad,
    )
    area = effective_area_mm2(spread)

    assert area.u / area.value == pytest.approx(0.02)


def test_area_spread_of_the_pitch_is_its_derivative():
    """Against a difference quotient: first order."""
    step = 1e-5
    here = slope(degrees=40.0)
    steeper = type(here)(
        name="front",
        length_mm=here.length_mm,
        width_mm=here.width_mm,
        pitch_rad=Measured(here.pitch_rad.value + step),
    )
    doubtful = type(here)(
        name="front",
        length_mm=here.length_mm,
        width_mm=here.width_mm,
        pitch_rad=Measured(here.pitch_rad.value, step),
    )
    change = effective_area_mm2(steeper).value - effective_area_mm2(here).value

    assert effective_area_mm2(doubtful).u == pytest.approx(change, rel=1e-4)
