"""What an elevation leaves open, and what an answer makes of it."""

import numpy as np
import pytest

from calibration.errors import BadReference, UnknownName
from photomeasure.job.build import build_elevation
from photomeasure.job.schema import ElevationSpec
from photomeasure.measure import measure_elevation
from photomeasure.open_questions import open_format, open_print, with_print_size
from photomeasure.sheets.printed import LINE_A_MM, LINE_B_MM, PrintSize
from tests.photomeasure import house

OPEN = {"gauge_mm": 79.0, "gauge_sd_mm": 5.0, "may_be": ["us-modular", "uk-metric"]}


def with_courses(**words):
    """Return the invented house with courses that state these words."""
    elevation = house.front()
    courses = next(r for r in elevation["references"] if r["kind"] == "courses")
    del courses["format"]
    elevation["references"] = [courses | words, elevation["references"][4]]
    return ElevationSpec.model_validate(elevation)


def with_sheet(**words):
    """Return the invented house with one marker sheet of 170 by 230 mm."""
    scale = PrintSize().scale()
    corners = [(0.0, 0.0), (LINE_A_MM, 0.0), (LINE_A_MM, LINE_B_MM), (0.0, LINE_B_MM)]
    sheet = {
        "kind": "points",
        "name": "Sheet C1",
        "picks": house.pixels(*corners),
        "wall_mm": [list(corner) for corner in corners],
        "scale_sd": scale.sd,
        "axis_scale_sd": [scale.across_sd, scale.up_sd],
        "scale_of": "the printer",
    }
    return ElevationSpec.model_validate({**house.front(), "references": [sheet | words]})


def test_the_likeliest_format_comes_first_and_the_own_country_before():
    """Nobody of this country built of another's bricks while his own fit."""
    asked = open_format(with_courses(**OPEN))
    here = open_format(with_courses(**OPEN), "United Kingdom")

    assert asked.references == here.references == (0,)
    assert asked.formats == ("us-modular", "uk-metric")
    assert here.formats == ("uk-metric", "us-modular")


@pytest.mark.parametrize(
    "answer", [{"format": "uk-metric"}, {"taped_count": 10, "taped_mm": 752.0}]
)
def test_what_is_answered_is_not_asked(answer):
    """A format or a tape settles it; so does a gauge that nobody doubted."""
    assert open_format(with_courses(**OPEN, **answer)) is None
    assert open_format(with_courses(gauge_mm=75.0)) is None


def test_a_format_that_there_is_none_of_is_refused():
    """As everywhere in the job file: a typing mistake is not passed over."""
    spec = with_courses(**{**OPEN, "may_be": ["uk-metrik"]})
    with pytest.raises(UnknownName, match="may_be"):
        build_elevation(spec, house.Path())


def test_the_answer_narrows_the_lengths():
    """Open, a length is as wide as the formats are apart."""
    lengths = [
        measure_elevation(build_elevation(with_courses(**words), house.Path())).measured[0]
        for words in (OPEN, {"format": "uk-metric"})
    ]

    assert lengths[1].u_mm < 0.5 * lengths[0].u_mm
    assert lengths[1].length_mm == pytest.approx(house.EAVES_MM, abs=2.0 * lengths[1].u_mm)


@pytest.mark.parametrize("read", [(168.3, 227.7), (168.3, None), (None, 227.7)])
def test_a_ruler_gives_the_sheet_its_size(read):
    """A print of 99 % is 99 % as large, by one line or both, and no longer in doubt."""
    spec = with_sheet()
    size = PrintSize(line_a_mm=read[0], line_b_mm=read[1])
    (sheet,) = with_print_size(spec, size).references

    assert open_print(spec).references == (0,)
    assert open_print(with_print_size(spec, size)) is None
    assert np.ptp(sheet.wall_mm, axis=0) == pytest.approx([168.3, 227.7], abs=1e-3)
    assert np.hypot(sheet.scale_sd, max(sheet.axis_scale_sd)) < 0.005


@pytest.mark.parametrize(
    ("spec", "size"),
    [
        (with_sheet(), PrintSize()),
        (with_sheet(scale_sd=0.001), PrintSize(line_a_mm=168.3)),
        (with_courses(**OPEN), PrintSize(line_a_mm=168.3)),
    ],
)
def test_without_a_reading_or_an_open_sheet_it_is_refused(spec, size):
    """What a ruler said already is not stretched again."""
    with pytest.raises(BadReference, match="marker sheets"):
        with_print_size(spec, size)
