"""When the lens is only assumed, the result says so."""

from pathlib import Path

import numpy as np
import pytest

from calibration.camera import Camera, rotation_looking
from photomeasure.job.load import job_from_document
from photomeasure.measure import measure_job

SIZE = (4000, 3000)
CAMERA = Camera(
    focal_px=3000.0,
    centre_px=np.array([1999.5, 1499.5]),
    R_wall_from_camera=rotation_looking(0.3, 0.15, 0.0),
    standoff_mm=8000.0,
)
DOOR_MM = [[-500.0, -1500.0], [500.0, -1500.0], [500.0, 600.0], [-500.0, 600.0]]
TAPE_MM = [[-1500.0, -1500.0], [4000.0, -1500.0]]
RIM_MM = [[x, 4300.0] for x in (-1800.0, 1500.0, 5000.0, 8500.0)]
QUOIN_MM = [[-1700.0, y] for y in (-2000.0, 0.0, 2000.0, 4000.0)]


def seen(xy_mm):
    return CAMERA.project(np.c_[xy_mm, np.zeros(len(xy_mm))]).tolist()


DOOR = {
    "kind": "rectangle",
    "corners": seen(DOOR_MM),
    "width_mm": 1000,
    "height_mm": 2100,
}
TAPE = {
    "kind": "distance",
    "ends": seen(TAPE_MM),
    "length_mm": 5500,
    "direction": "level",
}
EDGES = [{"kind": "straight", "picks": seen(edge)} for edge in (RIM_MM, QUOIN_MM)]


def lens_cautions(camera, references):
    elevation = {
        "name": "front",
        "camera": {"size_px": SIZE, **camera},
        "references": references,
        "lines": [{"name": "band", "role": "wall", "picks": seen(TAPE_MM)}],
    }
    job = {"photomeasure_job": 1, "elevations": [elevation]}
    (measured,) = measure_job(job_from_document(job, Path())).elevations
    return [said for said in measured.cautions if "lens was taken" in said]


def test_a_photo_without_camera_data_and_straight_edges():
    """A door and a tape fit any mild lens: only the assumption is left."""
    assert len(lens_cautions({}, [DOOR, TAPE])) == 1


@pytest.mark.parametrize(
    ("camera", "references"),
    [
        ({"focal_px": 3000.0}, [DOOR, TAPE]),  # a camera that is known
        ({"distortion_k1": -0.05}, [DOOR, TAPE]),  # a lens that is stated
        ({"distortion_k1_sd": 0.3}, [DOOR, TAPE]),  # its doubt is in every length
        ({}, [DOOR, TAPE, *EDGES]),  # edges along the rim show it
    ],
)
def test_no_word_where_something_tells_of_the_lens(camera, references):
    """A caution that always stands is not read."""
    assert lens_cautions(camera, references) == []
