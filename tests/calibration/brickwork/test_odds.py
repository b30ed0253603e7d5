"""What a reading is worth: no figure alone makes it sure, and some make it unsure alone."""

import pytest

from calibration.brickwork.confidence import LEAST, SURE
from calibration.brickwork.odds import (
    FIGURES,
    GATES,
    chance,
    no_stone,
    no_tiles,
    weakest,
)

PLAIN = {name: figure.high for name, figure in FIGURES.items()} | {
    "lean_deg": 8.0,
    "spare": 0.01,
    "courses": 60.0,
    "bed_width": 0.16,
    "bent": 0.01,
}
"""Figures of a wall as plain as drawn ones get."""


def test_a_plain_wall_is_sure() -> None:
    assert chance(PLAIN, told=False) > SURE


@pytest.mark.parametrize("name", FIGURES)
def test_a_better_figure_never_makes_a_reading_less_likely(name: str) -> None:
    figure = FIGURES[name]
    steps = [figure.low + (figure.high - figure.low) * k / 8.0 for k in range(-2, 11)]
    chances = [chance(PLAIN | {name: value}, told=False) for value in steps]

    assert chances == sorted(chances)
    assert figure.worth >= 0.0


@pytest.mark.parametrize("name", FIGURES)
def test_no_figure_alone_makes_a_reading_sure(name: str) -> None:
    low = {other: figure.low for other, figure in FIGURES.items()}
    gates = {
        other: PLAIN[other]
        for other in ("lean_deg", "spare", "courses", "bent", "bed_width")
    }

    assert chance(low | gates | {name: FIGURES[name].high}, told=False) < LEAST


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("lean_deg", 45.0),  # a roof
        ("spare", 0.5),  # slates read as Flemish bond
        ("perpend_sd", 0.45),  # upright joints anywhere
        ("lap", 0.0),  # or in line
        ("courses", 2.0),
        ("bent", 0.2),  # a part counted one course wrong
    ],
)
def test_what_no_other_figure_makes_good(name: str, value: float) -> None:
    assert name in GATES
    assert chance(PLAIN | {name: value}, told=False) < 0.5
    assert weakest(PLAIN | {name: value}) == name


def test_thin_joints_are_sawn_stone_unless_the_format_is_told() -> None:
    thin = PLAIN | {"bed_width": 0.06}

    assert chance(thin, told=False) < 0.5
    assert chance(thin, told=True) > SURE


def test_few_courses_of_one_length_may_be_stone() -> None:
    """Three storeys of ashlar have no more than 50; two of brick have 65."""
    assert no_stone(32.0, 8.0, -1.0) < 0.6
    assert no_stone(57.0, 8.0, -1.0) > SURE
    assert no_stone(52.0, 8.0, 0.0) < 0.6
    assert no_stone(65.0, 8.0, 0.0) > SURE
    assert no_stone(52.0, 8.0, 1.0, short=True) < 0.6
    assert no_stone(65.0, 8.0, 1.0, short=True) > SURE
    assert no_stone(32.0, 8.0, -1.0, mixed=True) > SURE


def test_a_wall_far_below_the_camera_is_no_stone() -> None:
    """Twenty courses of brick are the height of an eye; of stone, a storey and a half."""
    assert no_stone(32.0, 20.0, -1.0) > SURE
    assert no_stone(32.0, 11.0, -1.0) < 0.6


def test_only_light_joints_tell_short_units_from_tiles() -> None:
    """Dark ones, and those of a shade that is not known, may be gaps."""
    assert no_tiles(1.0) > SURE
    assert no_tiles(0.0) == no_tiles(-1.0) < 0.6
