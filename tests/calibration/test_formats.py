"""Brick formats against published co-ordinating sizes.

Sources, each as reported on public pages (the standards themselves were not seen):

* UK: designingbuildings.co.uk/wiki/Brick_sizes; 450 x 225 of the block from memory.
* Germany: DIN 4172 as reported by architektenordner.backstein.com, baukobox.de.
* Austria: zimmerer-treff.com, "Ziegel Abmessungen".
* Netherlands: documentatie.org, "Baksteenformaat": ten courses 600.
* Australia: AS 4455.1 as quoted by studylib.net/doc/18735111; seven courses to 600
  from memory.
* USA: masoncontractors.com/?pageID=18692 and masonrymagazine.com/?pageID=25925, 25928
  (BIA Technical Note 10B, June 1993).
* India: iitk.ac.in/ce/test/Materials/26.html quoting IS 1077:1992.
* Unit tolerances: BS EN 771-1 as tabled on studylib.net/doc/8082476.
"""

import numpy as np
import pytest

from calibration.brick_formats import FORMATS, brick_format
from calibration.errors import UnknownName

INCH = 25.4
EXACT = 1e-9  # co-ordinating sizes are definitions
IN_PRINTED_DIGITS = 0.005  # sizes printed with two decimals
NORMAL_95 = 1.96


@pytest.mark.parametrize(
    ("name", "courses", "rise_mm"),
    [
        ("uk-metric", 4, 300.0),
        ("uk-metric", 12, 900.0),
        ("uk-metric", 40, 3000.0),
        ("uk-block", 2, 450.0),
        ("de-df", 4, 250.0),
        ("de-df", 16, 1000.0),
        ("de-nf", 3, 250.0),
        ("de-nf", 12, 1000.0),
        ("de-2df", 8, 1000.0),
        ("at-nf", 1, 65.0 + 10.0),
        ("nl-waal", 10, 600.0),
        ("us-modular", 3, 8 * INCH),
        ("us-modular", 12, 812.8),
        ("us-engineer", 5, 16 * INCH),
        ("us-economy", 1, 4 * INCH),
        ("us-roman", 2, 4 * INCH),
        ("us-norman", 3, 8 * INCH),
        ("in-modular", 5, 500.0),
        ("in-traditional", 1, 80.0),
    ],
)
def test_courses_rise_as_published(name, courses, rise_mm):
    """A number of courses closes on the height that its standard says."""
    assert courses * brick_format(name).gauge_mm == pytest.approx(rise_mm, abs=EXACT)


@pytest.mark.parametrize(
    ("name", "stretcher_mm"),
    [
        ("uk-metric", 215.0 + 10.0),
        ("uk-block", 440.0 + 10.0),
        ("de-df", 240.0 + 10.0),
        ("de-nf", 2 * (115.0 + 10.0)),
        ("de-2df", 2 * 125.0),
        ("at-nf", 250.0 + 10.0),
        ("au-standard", 230.0 + 10.0),
        ("in-modular", 190.0 + 10.0),
        ("us-modular", 8 * INCH),
    ],
)
def test_stretchers_run_as_published(name, stretcher_mm):
    """One stretcher with its perpend is the co-ordinating length."""
    assert brick_format(name).stretcher_mm == pytest.approx(stretcher_mm, abs=EXACT)


@pytest.mark.parametrize(
    ("name", "gauge_mm"), [("de-nf", 83.33), ("us-modular", 67.73), ("us-engineer", 81.28)]
)
def test_gauges_round_to_the_printed_digits(name, gauge_mm):
    """Thirds and fifths of a module, as the tables print them."""
    assert brick_format(name).gauge_mm == pytest.approx(gauge_mm, abs=IN_PRINTED_DIGITS)


def test_three_brick_courses_are_one_block_course():
    """Brick and block of one British wall share their bed joints and perpends."""
    brick, block = brick_format("uk-metric"), brick_format("uk-block")

    assert 3 * brick.gauge_mm == block.gauge_mm
    assert 2 * brick.stretcher_mm == block.stretcher_mm


def test_stretcher_courses_of_metric_brick_count_59_to_the_square_metre():
    """1 / (0.225 x 0.075) = 59.26, which the trade rounds to 60."""
    brick = brick_format("uk-metric")

    per_square_metre = 1e6 / (brick.gauge_mm * brick.stretcher_mm)
    assert per_square_metre == pytest.approx(59.26, abs=IN_PRINTED_DIGITS)


def test_australian_gauge_lies_between_its_two_conventions():
    """86 mm a course, or seven courses to 600 (85.71): a third of a per cent apart."""
    found = brick_format("au-standard")

    assert 600.0 / 7.0 < found.gauge_mm < 86.0
    assert NORMAL_95 * found.gauge_mm * found.gauge_rel_sd > 86.0 - 600.0 / 7.0


def test_american_modular_brick_is_not_unit_plus_joint():
    """3 x (2 1/4 + 3/8) = 7 7/8 in, not 8: the gauge is what the wall is set out to."""
    unit_and_joint_mm = (2.25 + 0.375) * INCH

    gauge_mm = brick_format("us-modular").gauge_mm
    assert gauge_mm - unit_and_joint_mm == pytest.approx(INCH / 24.0)


def test_courses_by_thirteen_is_not_our_rule():
    """40 courses / 13 = 3.077 m by the rule of thumb: 2.6 % over, outside our 95 %."""
    found = brick_format("uk-metric")
    by_rule_mm = 40 / 13 * 1000.0
    exact_mm = 40 * found.gauge_mm

    assert by_rule_mm / exact_mm - 1.0 == pytest.approx(0.026, abs=0.0005)
    assert by_rule_mm / exact_mm - 1.0 > NORMAL_95 * found.gauge_rel_sd


@pytest.mark.parametrize(
    ("name", "scale_error"), [("uk-imperial-68", 0.040), ("uk-imperial-73", 0.107)]
)
def test_old_brick_taken_for_metric_is_outside_the_metric_interval(name, scale_error):
    """+4.0 % and +10.7 %: no interval of the wrong format covers that, so it is asked."""
    metric, old = brick_format("uk-metric"), brick_format(name)

    assert old.gauge_mm / metric.gauge_mm - 1.0 == pytest.approx(scale_error, abs=0.0005)
    assert scale_error > NORMAL_95 * metric.gauge_rel_sd
    assert old.gauge_rel_sd > metric.gauge_rel_sd


def unit_tolerance_mm(size_mm: float) -> float:
    """Return T1 of EN 771-1, max(3, 0.40 sqrt(size)), for the mean of ten units."""
    return max(3.0, 0.40 * float(np.sqrt(size_mm)))


PRINTED_T1 = {50: 3, 65: 3, 68: 3, 73: 3, 80: 4, 90: 4, 102: 4, 190: 6, 215: 6}
PRINTED_T1 |= {225: 6, 227: 6, 290: 7}


@pytest.mark.parametrize(("size_mm", "printed_mm"), PRINTED_T1.items())
def test_unit_tolerance_reproduces_the_printed_table(size_mm, printed_mm):
    """The bound below is the standard's: its formula rounds to every printed entry."""
    assert round(unit_tolerance_mm(size_mm)) == printed_mm


@pytest.mark.parametrize(
    ("name", "height_mm", "length_mm"),
    [("uk-metric", 65.0, 215.0), ("de-nf", 71.0, 240.0), ("at-nf", 65.0, 250.0)],
)
def test_spread_of_a_gauge_is_less_than_units_may_vary(name, height_mm, length_mm):
    """A wall's mean gauge varies less than its bricks may: joints take up the rest."""
    found = brick_format(name)

    gauge_95_mm = NORMAL_95 * found.gauge_mm * found.gauge_rel_sd
    stretcher_95_mm = NORMAL_95 * found.stretcher_mm * found.stretcher_rel_sd
    assert 0.0 < gauge_95_mm < unit_tolerance_mm(height_mm)
    assert 0.0 < stretcher_95_mm < unit_tolerance_mm(length_mm)


@pytest.mark.parametrize("name", FORMATS)
def test_every_format_says_where_it_comes_from(name):
    """Country, source, and a spread: no format is exact."""
    found = brick_format(name)

    assert found.country
    assert found.source
    assert 0.0 < found.gauge_rel_sd < 0.1
    assert 0.0 < found.stretcher_rel_sd < 0.1
    assert found.gauge_mm < found.stretcher_mm


@pytest.mark.parametrize("name", ["", "uk", "fr-standard", "UK-METRIC", "uk-metric "])
def test_an_unknown_format_lists_the_known_ones(name):
    """French pages disagree about the size itself: there is no default to offer."""
    with pytest.raises(UnknownName) as caught:
        brick_format(name, "front: references[0].format")

    for known in FORMATS:
        assert known in str(caught.value)
    assert str(caught.value).startswith("front: references[0].format: ")
