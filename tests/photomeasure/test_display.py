"""Lengths as people write them, both ways."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calibration.errors import InputError
from photomeasure.display import Display, read_length, said, said_half, said_length

LENGTHS = st.floats(1.0, 30_000.0)


@given(LENGTHS)
def test_millimetres_come_back(length_mm):
    """What is shown is read back to half a millimetre."""
    assert abs(read_length(said_length(length_mm), "x") - length_mm) <= 0.5 + 1e-6


@given(LENGTHS)
def test_feet_come_back(length_mm):
    """To half a sixteenth of an inch."""
    shown = said_length(length_mm, Display.FEET)

    assert abs(read_length(shown, "x") - length_mm) <= 25.4 / 32 + 1e-6


@given(LENGTHS, st.sampled_from(list(Display)))
def test_intervals_are_never_shown_narrower(half_mm, display):
    """Half widths are rounded up."""
    assert read_length(said_half(half_mm, display), "x") >= half_mm - 1e-6


@pytest.mark.parametrize(
    ("text", "length_mm"),
    [
        ("4512", 4512.0),
        ("4512mm", 4512.0),
        (" 451.2 cm ", 4512.0),
        ("4,512 m", 4512.0),
        ("10 ft", 3048.0),
        ("10'", 3048.0),
        ("10' 6\"", 3200.4),
        ("10 ft 6 1/2 in", 3213.1),
        ("10'-6 1/2\"", 3213.1),
        ("5/8 in", 15.875),
        ("6 in", 152.4),
    ],
)
def test_what_people_type(text, length_mm):
    """With and without blanks, marks for feet and inches, decimal commas."""
    assert read_length(text, "x") == pytest.approx(length_mm)


@pytest.mark.parametrize(
    "text",
    ["", "-5", "five", "1e5", "1/0 in", "4 5 6", "nan", "inf", "٣", "1;2", "m", "'" * 50],
)
def test_what_is_no_length(text):
    """The refusal names the field and shows what to write."""
    with pytest.raises(InputError, match=r"taped length.*write it as"):
        read_length(text, "taped length")


def test_a_length_with_its_interval():
    """As the page shows it beside a line."""
    assert said(4512.3, 9.0) == "4.512 m ± 18 mm"
