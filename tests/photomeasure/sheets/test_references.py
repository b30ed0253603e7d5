"""From sheets in a photo to lengths: what the ruler says, and what nobody measured."""

import json

import numpy as np
import pytest
from jsonschema import Draft202012Validator

from calibration.errors import BadReference
from calibration.sheet import COARSE, FoundSheet, Sheet
from photomeasure.sheets.printed import (
    LINE_A_MM,
    LINE_B_MM,
    READING_SD_MM,
    UNMEASURED_SD,
    PrintSize,
)
from photomeasure.sheets.references import (
    PAPER_SD_MM,
    sheet_cautions,
    sheet_reference,
    sheet_references,
)
from tests.accuracy.sheet_jobs import Walls, by_ruler, drawn_wall, job_of, measured
from tests.accuracy.sheet_jobs import readings_of as readings
from tests.photomeasure.run import run

FIT_TO_PAGE = 0.965
"""A page fitted into a printer's margins."""

BEYOND = 3.0
"""Standard uncertainties: three in a thousand lie further off."""

RULED = 0.008
"""Relative standard uncertainty of a length once a ruler has been held to the sheet; most
of it is that of the traced ends and of a wall seen through sheets near its ends."""


def sheet(**changes):
    """Return a found sheet, 30 px a square."""
    drawn = COARSE.corners_mm
    values = {
        "sheet": Sheet(COARSE, 3),
        "corners_px": 500.0 + drawn * [0.5, -0.5],
        "drawn_mm": drawn,
        "sd_px": 0.04,
        "cell_px": 30.0,
        "bend_px": 0.0,
        "bend_mm": 0.0,
        "scattered": False,
        "bent": False,
        "outline_px": np.array([[400, 600], [600, 600], [600, 400], [400, 400.0]]),
    }
    return FoundSheet(**{**values, **changes})


def shrunk_wall(seed, shrink, **changes):
    """Return a wall whose sheets were printed at a wrong size."""
    rng = np.random.default_rng(seed)
    return drawn_wall(Walls(shrink_sd=0.0, **changes), rng, mean_shrink=shrink), rng


@pytest.mark.parametrize("seed", [1, 2])
def test_a_typed_check_line_corrects_a_shrunk_page(seed):
    """Printed 3.5 % too small: with the ruler's reading lengths are right again."""
    wall, rng = shrunk_wall(seed, FIT_TO_PAGE)
    ruled = readings(measured(job_of(wall, by_ruler(wall, rng), rng)))
    blind = readings(measured(job_of(wall, PrintSize(), rng)))

    assert len(ruled) == len(blind) == 3
    for with_ruler, without in zip(ruled, blind, strict=True):
        assert abs(with_ruler.error_mm) < BEYOND * with_ruler.u_mm
        assert with_ruler.u_mm < RULED * with_ruler.true_mm
        # Nobody knows without it: all is measured too long, and the interval says so.
        excess_mm = (1.0 / FIT_TO_PAGE - 1.0) * without.true_mm
        assert abs(without.error_mm - excess_mm) < BEYOND * with_ruler.u_mm
        assert abs(without.error_mm) < BEYOND * without.u_mm


def test_two_sheets_of_one_printer_do_not_average_its_error():
    """The scale of an unmeasured print is known to 2 %, however many sheets there are."""
    one, rng = shrunk_wall(3, 1.0, sheets=1, size_px=(900, 700))
    two, _ = shrunk_wall(3, 1.0, sheets=2)
    for wall in (one, two):
        spreads = [
            reading.u_mm / reading.true_mm
            for reading in readings(measured(job_of(wall, PrintSize(), rng)))
        ]
        assert min(spreads) > 0.95 * UNMEASURED_SD
    names = {"scale_of": "another printer"}
    document = job_of(two, PrintSize(), rng)
    document["elevations"][0]["references"][1].update(names)
    halved = [r.u_mm / r.true_mm for r in readings(measured(document))]

    # Two printers are two errors, and those do average.
    assert max(halved) < 0.9 * UNMEASURED_SD


def test_references_are_valid_by_the_published_schema(capsys):
    """What is printed can be pasted into a job file: the JSON Schema accepts it."""
    schema = json.loads(run(capsys, "schema").out)
    wall, rng = shrunk_wall(4, 1.0, sheets=1, size_px=(500, 400))
    document = job_of(wall, PrintSize(line_a_mm=168.0), rng)
    (reference,) = document["elevations"][0]["references"]

    Draft202012Validator(schema).validate(json.loads(json.dumps(document)))
    assert reference["kind"] == "points"
    assert reference["rotated"] is True
    assert reference["name"] == "Sheet C1"
    assert reference["scale_of"] == "the printer"
    assert len(reference["picks"]) == len(reference["wall_mm"]) == len(COARSE.corners_mm)
    for word in ("scale_sd", "axis_scale_sd", "scale_of"):
        assert schema["$defs"]["PointsSpec"]["properties"][word]["description"]


@pytest.mark.parametrize(
    ("size", "factors", "sds"),
    [
        (PrintSize(), (1.0, 1.0), (UNMEASURED_SD, 0.003 / 2**0.5, 0.003 / 2**0.5)),
        (
            PrintSize(line_a_mm=165.0),
            (165.0 / LINE_A_MM,) * 2,
            (READING_SD_MM / LINE_A_MM, 0.0, 0.003),
        ),
        (
            PrintSize(line_b_mm=225.0),
            (225.0 / LINE_B_MM,) * 2,
            (READING_SD_MM / LINE_B_MM, 0.003, 0.0),
        ),
        (
            PrintSize(line_a_mm=165.0, line_b_mm=225.0),
            (165.0 / LINE_A_MM, 225.0 / LINE_B_MM),
            (0.0, READING_SD_MM / LINE_A_MM, READING_SD_MM / LINE_B_MM),
        ),
    ],
)
def test_scale_of_a_print(size, factors, sds):
    """One line tells both ways, less surely the other; both tell each its own."""
    reference = sheet_reference(sheet(), size)

    np.testing.assert_allclose(
        reference.wall_mm, COARSE.corners_mm * np.array(factors), atol=1e-3
    )
    np.testing.assert_allclose((reference.scale_sd, *reference.axis_scale_sd), sds)


@pytest.mark.parametrize(
    ("line", "reading"),
    [
        pytest.param("line_a_mm", 17.0, id="centimetres"),
        pytest.param("line_a_mm", 6.7, id="inches"),
        pytest.param("line_a_mm", 230.0, id="line B"),
        pytest.param("line_b_mm", 170.0, id="line A"),
        pytest.param("line_b_mm", float("nan"), id="nothing"),
        pytest.param("line_b_mm", -230.0, id="a sign"),
    ],
)
def test_readings_of_something_else_are_refused(line, reading):
    """A wrong unit or the wrong line would be a confidently wrong scale."""
    with pytest.raises(BadReference, match="check line"):
        PrintSize(**{line: reading})


def test_a_bent_sheet_is_trusted_less():
    """A millimetre of bend is worth more than a per cent of a sheet's size."""
    flat = sheet_reference(sheet(), PrintSize())
    bent = sheet_reference(sheet(scattered=True, bent=True, bend_mm=1.0), PrintSize())

    assert flat.sd_mm == PAPER_SD_MM
    assert bent.sd_mm == pytest.approx(np.hypot(PAPER_SD_MM, 4.0), abs=1e-3)


def test_two_prints_of_one_number_have_two_names():
    """A job refuses two references of one name."""
    names = [
        entry.name for entry in sheet_references([sheet(), sheet()], PrintSize(), 25.0)
    ]
    (hung, _) = sheet_references([sheet(), sheet()], PrintSize(), 25.0)

    assert names == ["Sheet C3", "Sheet C3 (2)"]
    assert hung.projection_mm == 25.0


def test_cautions():
    """Hidden, bent, small and unmeasured: a sentence each; a good sheet gives none."""
    good, ruler = sheet(), PrintSize(line_a_mm=169.0)
    doubtful = sheet(
        corners_px=good.corners_px[:8],
        drawn_mm=good.drawn_mm[:8],
        cell_px=18.0,
        scattered=True,
        bent=True,
        bend_mm=1.26,
    )
    said = sheet_cautions([doubtful], PrintSize())

    assert sheet_cautions([good], ruler) == ()
    assert sheet_cautions([], PrintSize()) == ()
    assert len(said) == 4
    for sentence, words in zip(
        said,
        ("4 of 12 corners", "1.3 mm off", "18 px a square", "known to 4 %"),
        strict=True,
    ):
        assert words in sentence
