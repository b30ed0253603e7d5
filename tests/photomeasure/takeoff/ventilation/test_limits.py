"""Both sides of 15 and 35 degrees and of 10 m, on them, and across them."""

import pytest

from photomeasure.job.ventilation import Regulation
from photomeasure.takeoff.ventilation import need_of
from tests.photomeasure.takeoff.ventilation.roofs import IRELAND, UK, at, wide

HAIR = 1e-6
"""Degrees or metres: more than rounding, less than any survey."""


@pytest.mark.parametrize(
    ("regulation", "degrees", "slot_mm"),
    [
        # BS 5250, "15 degrees or less" (studylib.net/doc/18361767)
        (Regulation.BS_5250, 15.0 - HAIR, 25),
        (Regulation.BS_5250, 15.0, 25),
        (Regulation.BS_5250, 15.0 + HAIR, 10),
        # "15 degrees or more" is steeper (TGD F headings, studylib.net/doc/18063389)
        (Regulation.TGD_F_2009, 15.0 - HAIR, 25),
        (Regulation.TGD_F_2009, 15.0, 10),
        (Regulation.TGD_F_2009, 15.0 + HAIR, 10),
    ],
)
def test_fifteen_degrees_follows_each_text(regulation, degrees, slot_mm):
    """The limit itself lies where the text of each code puts it."""
    need = need_of(at(degrees), regulation, IRELAND)

    assert need.low.slot_mm == slot_mm


def test_exactly_fifteen_says_which_way_it_was_read():
    """A reader learns that the limit itself was met."""
    need = need_of(at(15.0), Regulation.BS_5250, UK)

    assert "Exactly 15° belongs to the low pitches" in need.low.remark


@pytest.mark.parametrize(
    ("roof", "slot_mm"),
    [
        (at(35.0 - HAIR), 0),
        (at(35.0), 5),
        (at(35.0 + HAIR), 5),
        (wide(10.0 - HAIR), 0),
        (wide(10.0), 5),
        (wide(10.0 + HAIR), 5),
    ],
)
def test_high_limits_are_counted_in(roof, slot_mm):
    """Pages say both 'from' and 'above': the safe reading takes the limit in."""
    need = need_of(roof, Regulation.BS_5250, UK)

    assert need.high.slot_mm == slot_mm


@pytest.mark.parametrize("roof", [at(35.0), wide(10.0)])
def test_limit_itself_is_named_as_a_conflict(roof):
    """The sentence says that pages disagree about the limit."""
    need = need_of(roof, Regulation.BS_5250, UK)

    assert "different sides" in need.high.remark


@pytest.mark.parametrize(
    ("degrees", "u_degrees", "slot_mm"),
    [(16.0, 0.4, 10), (16.0, 0.6, 25), (14.0, 0.6, 25)],
)
def test_pitch_that_may_be_low_counts_as_low(degrees, u_degrees, slot_mm):
    """16 +- 0.4: 15.2 to 16.8 is clear of 15; 16 +- 0.6: 14.8 to 17.2 is not."""
    need = need_of(at(degrees, u_degrees), Regulation.BS_5250, UK)

    assert need.low.slot_mm == slot_mm


def test_straddled_limit_is_said():
    """The doubt stands in the sentence, with the interval."""
    need = need_of(at(16.0, 0.6), Regulation.BS_5250, UK)

    assert "16.0° (14.8° to 17.2°), may be 15° or less" in need.low.remark


@pytest.mark.parametrize("roof", [at(34.0, 1.0), wide(9.9, 0.1)])
def test_straddled_high_limit_asks_for_the_opening(roof):
    """Pitch or span whose interval reaches the limit is taken as over it."""
    need = need_of(roof, Regulation.BS_5250, UK)

    assert need.high.slot_mm == 5
    assert "the interval reaches the limit" in need.high.remark
