"""Cuts of sloping boards against rafter tables and drawn corners.

Rafter tables: daveosborne.com's, and "How to make a common rafter" (instructables), which
agree with each other and with the square root of 144 + rise squared.
"""

from math import atan2, cos, degrees, hypot, pi, radians, sin, tan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from photomeasure.takeoff.geometry import (
    apex_cut,
    blank_mm,
    box_end,
    foot_cut,
    on_slope,
    outline,
    soffit_mitre,
)
from photomeasure.takeoff.model import End

PITCHES = st.floats(radians(5), radians(70))
DEPTHS = st.floats(50, 500)
HUNDREDTH_INCH = 0.005  # tables printed to a hundredth

JACK = {5: (17 + 5 / 16, 26.0), 6: (17 + 7 / 8, 26 + 7 / 8), 12: (22 + 5 / 8, 34.0)}
"""Difference of jack rafters at 16 and 24 inch centres, by rise in twelve."""

EIGHTH_INCH = 1 / 8  # the table is printed to eighths and sixteenths, some rounded up


@pytest.mark.parametrize(
    ("rise", "per_foot"),
    [(2, 12.17), (4, 12.65), (6, 13.42), (8, 14.42), (9, 15.0), (12, 16.97), (18, 21.63)],
)
def test_width_on_the_slope_is_the_rafter_table(rise, per_foot):
    """A foot in plan is a common rafter's length per foot of run along the slope."""
    assert on_slope(12.0, atan2(rise, 12)) == pytest.approx(per_foot, abs=HUNDREDTH_INCH)


@pytest.mark.parametrize("rise", JACK)
def test_mitre_on_the_slope_is_the_jack_rafter_cut(rise):
    """Jack rafters at equal centres differ by their centres over cos(pitch)."""
    pitch = atan2(rise, 12)
    for centres, difference in zip((16.0, 24.0), JACK[rise], strict=True):
        cut = soffit_mitre(centres, on_slope(centres, pitch), outside=True)

        assert centres / tan(cut.angle_rad) == pytest.approx(difference, abs=EIGHTH_INCH)


@given(PITCHES, DEPTHS)
def test_a_plumb_cut_is_plumb(pitch, depth):
    """In the roof's own frame both points of the cut lie above one another."""
    lean = apex_cut(depth, pitch).lean_mm
    x = lean * cos(pitch) - depth * sin(pitch)

    assert x == pytest.approx(0.0, abs=1e-9 * depth)


@given(PITCHES, DEPTHS)
def test_a_level_cut_is_level(pitch, depth):
    """Both points of the cut lie at one height."""
    lean = foot_cut(End.LEVEL, depth, pitch).lean_mm
    # At the foot the outer edge reaches further by running on downhill.
    rise = depth * cos(pitch) - lean * sin(pitch)

    assert rise == pytest.approx(0.0, abs=1e-9 * depth)


@given(PITCHES, DEPTHS)
def test_plumb_and_level_cuts_are_square_to_each_other(pitch, depth):
    """Their angles from square add up to a right angle."""
    angles = [
        cut.angle_rad for cut in (apex_cut(depth, pitch), foot_cut(End.LEVEL, depth, pitch))
    ]

    assert sum(angles) == pytest.approx(pi / 2)


@given(st.floats(radians(15), radians(60)), st.floats(50, 250), st.integers(2000, 6000))
def test_points_span_the_blank(pitch, depth, outer):
    """Corners of the piece, drawn, reach from one end of its blank to the other."""
    for foot in (End.PLUMB, End.LEVEL, End.SQUARE):
        start, end = foot_cut(foot, depth, pitch), apex_cut(depth, pitch)
        blank = blank_mm(outer, start, end)
        tips = (0.0, start.lean_mm, outer, outer - end.lean_mm)
        edges = outline(blank, start, end)
        inner = outer - round(start.lean_mm) - round(end.lean_mm)

        assert blank == pytest.approx(max(tips) - min(tips), abs=1.0)
        assert {edges.long_mm, edges.short_mm} == {outer, inner}


def test_an_outside_corner_takes_the_inner_edge_and_an_inside_one_the_outer():
    """300 wide: 300 less along the wall, or 300 more."""
    outside = soffit_mitre(300.0, 300.0, outside=True)
    inside = soffit_mitre(300.0, 300.0, outside=False)

    assert outline(blank_mm(5000, outside, outside), outside, outside).short_mm == 4400
    assert outline(blank_mm(5000, inside, inside), inside, inside).long_mm == 5600
    assert degrees(outside.angle_rad) == pytest.approx(45.0)


@given(PITCHES, DEPTHS, st.floats(100, 600))
def test_box_ends_are_mirrored_and_follow_the_roof(pitch, depth, width):
    """Anticlockwise, the top edge at the pitch, left and right each other's image."""
    left, right = (box_end(width, depth, pitch, left=side) for side in (True, False))
    (_, _, high, low) = right
    top = hypot(high[0] - low[0], high[1] - low[1])

    assert [(width - x, y) for x, y in left] == [right[i] for i in (1, 0, 3, 2)]
    assert top * cos(pitch) == pytest.approx(width, rel=2e-3)
    assert area(left) == pytest.approx(area(right))
    assert area(left) > 0.0


def area(corners):
    """Signed area, positive anticlockwise."""
    pairs = zip(corners, (*corners[1:], corners[0]), strict=True)
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in pairs) / 2
