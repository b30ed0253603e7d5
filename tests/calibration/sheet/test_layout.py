"""What is printed: codes far apart, squares as stated, dots clear of the corners."""

from itertools import combinations

import numpy as np
import pytest

from calibration.sheet import COARSE, FINE, LAYOUTS
from calibration.sheet.layout import DOT_OFFSET, DOT_SIDE, is_dark

every_layout = pytest.mark.parametrize("layout", LAYOUTS.values(), ids=LAYOUTS)


@pytest.mark.parametrize(("layout", "apart"), [(COARSE, 10), (FINE, 20)])
def test_codes_are_as_far_apart_as_stated(layout, apart):
    """So many dots have to be misread before one number becomes another."""
    least = min((a ^ b).bit_count() for a, b in combinations(layout.codes, 2))

    assert least >= apart
    assert all(code < 1 << layout.bits for code in layout.codes)


@every_layout
def test_half_a_turn_swaps_dark_and_light(layout):
    """Then a sheet upside down cannot be read as another one the right way up."""
    assert (layout.columns + layout.rows) % 2 == 1
    for i in range(layout.columns + 1):
        for j in range(layout.rows + 1):
            assert is_dark(i, j) != is_dark(layout.columns - i, layout.rows - j)


@every_layout
def test_dots_leave_the_corners_alone(layout):
    """No dot comes nearer to a saddle corner than the fit's window expects."""
    clear = 0.5 - DOT_OFFSET - DOT_SIDE / 2.0
    for number in range(1, len(layout.codes) + 1):
        dots = [
            rect
            for rect in layout.rectangles(number)
            if rect.width_mm < 0.3 * layout.cell_mm
        ]
        places = np.array(
            [[d.x_mm + d.width_mm / 2, d.y_mm + d.height_mm / 2] for d in dots]
        )
        apart = np.abs(places[:, None] - layout.corners_mm[None]).max(axis=2)

        assert len(dots) == sum(layout.code_bits(number))
        assert apart.min() >= (clear + DOT_SIDE / 2.0) * layout.cell_mm - 1e-9


@every_layout
def test_size_of_the_printed_block(layout):
    """Squares reach as far as width and height say, with cells cut short all round."""
    rects = layout.rectangles(1)
    right = max(rect.x_mm + rect.width_mm for rect in rects)
    top = max(rect.y_mm + rect.height_mm for rect in rects)

    assert 2.0 * right == pytest.approx(layout.width_mm)
    assert 2.0 * top == pytest.approx(layout.height_mm)
    assert np.ptp(layout.corners_mm[:, 0]) == (layout.columns - 1) * layout.cell_mm
