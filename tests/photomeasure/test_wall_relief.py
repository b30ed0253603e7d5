"""How flat the wall is: stated in the job, brickwork otherwise."""

from pathlib import Path

import numpy as np
import pytest

from calibration.camera import Camera, rotation_looking
from calibration.errors import InputError
from calibration.priors import WALL_RELIEF_SD_MM
from photomeasure.job.load import job_from_document
from photomeasure.measure import measure_job
from photomeasure.next_reference import SHEET_MM as PAPER_MM
from photomeasure.next_reference import _sheet, _tape

SIZE = (4000, 3000)
STANDOFF_MM = 8000.0
CAMERA = Camera(
    focal_px=3000.0,
    centre_px=np.array([1999.5, 1499.5]),
    R_wall_from_camera=rotation_looking(0.2, 0.1, 0.0),
    standoff_mm=STANDOFF_MM,
)
SHEET_MM = np.array([[0.0, 0.0], [1500.0, 0.0], [1500.0, 1200.0], [0.0, 1200.0]])
LINE_MM = np.array([[-1000.0, 2000.0], [2500.0, 2000.0]])


def seen(xy_mm):
    return CAMERA.project(np.c_[xy_mm, np.zeros(len(xy_mm))]).tolist()


def job(**stated):
    elevation = {
        "name": "front",
        "camera": {"size_px": SIZE, "focal_px": 3000.0},
        "references": [
            {"kind": "points", "picks": seen(SHEET_MM), "wall_mm": SHEET_MM.tolist()}
        ],
        "lines": [{"name": "band", "role": "wall", "picks": seen(LINE_MM)}],
        **stated,
    }
    return job_from_document({"photomeasure_job": 1, "elevations": [elevation]}, Path())


def measured(**stated):
    (elevation,) = measure_job(job(**stated)).elevations
    (line,) = elevation.measured
    return line


def test_an_unstated_wall_is_brickwork():
    """The default of the file is the spread of the model, not a second number."""
    silent, stated = measured(), measured(wall_relief_sd_mm=WALL_RELIEF_SD_MM)

    assert silent.u_mm == stated.u_mm


def test_relief_of_reference_and_line_both_follow_the_statement():
    """One plane each: two independent parts, each proportional to what is stated."""
    brick = measured().length.budget()["wall not flat"]
    slate = measured(wall_relief_sd_mm=0.5).length.budget()["wall not flat"]

    assert brick / slate == pytest.approx(WALL_RELIEF_SD_MM / 0.5, rel=1e-6)


def test_the_part_of_the_line_is_its_share_of_the_distance():
    """A line d nearer than the wall looks d / D longer; the reference likewise."""
    line = measured()

    relative = line.length.budget()["wall not flat"] / line.length_mm

    # All that differs is the slant of the view: under 1 % at 13 degrees.
    expected = np.sqrt(2.0) * WALL_RELIEF_SD_MM / STANDOFF_MM
    assert relative == pytest.approx(expected, rel=0.01)


def test_a_further_reference_lies_on_the_same_rough_wall():
    """A tape along the wall, a sheet fixed to it: each off by its length times d / D."""
    (elevation,) = measure_job(job()).elevations
    ends, low = LINE_MM, LINE_MM.min(axis=0) - 500.0

    smooth, rough = (
        (
            _tape(elevation.solution, ends, (1.0, sd), "").variances[0],
            _sheet(elevation.solution, ends, low, (1.0, sd), "").variances[0],
        )
        for sd in (1.0, 40.0)
    )

    growth = 40.0**2 - 1.0**2
    for size, before, after in zip((3500.0, PAPER_MM[0]), smooth, rough, strict=True):
        assert after - before == pytest.approx(growth * (size / STANDOFF_MM) ** 2, rel=0.01)


@pytest.mark.parametrize("value", [0.0, -1.0, float("inf"), "flat"])
def test_a_wall_flatter_than_any_is_refused(value):
    """Zero would make the wall the one thing known without doubt."""
    (elevation,) = job(wall_relief_sd_mm=value).elevations

    assert isinstance(elevation, InputError)
    assert "wall_relief_sd_mm" in str(elevation)
