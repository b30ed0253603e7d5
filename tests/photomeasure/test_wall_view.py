"""The wall seen straight on is true to scale and shows the lines where they are."""

import io
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageDraw

from calibration.camera import Camera, rotation_looking
from calibration.errors import DegenerateGeometry
from photomeasure.job.build import build_elevation
from photomeasure.job.schema import ElevationSpec
from photomeasure.measure import measure_elevation
from photomeasure.wall_view import describe, frame, rectified_jpeg

SIZE = (1600, 1200)
CAMERA = Camera(
    focal_px=1200.0,
    centre_px=np.array([799.5, 599.5]),
    k1=-0.05,
    R_wall_from_camera=rotation_looking(0.35, 0.1, 0.03),
    standoff_mm=7000.0,
)
CORNERS_MM = np.array(
    [[-500.0, -1000.0], [2500.0, -1000.0], [2500.0, 1500.0], [-500.0, 1500.0]]
)
SPOTS_MM = np.array(
    [[-300.0, -800.0], [2300.0, -700.0], [2200.0, 1300.0], [-200.0, 1200.0], [900.0, 300.0]]
)
LINE_MM = np.array([[-400.0, 1400.0], [2400.0, 1400.0]])


def seen(xy_mm):
    return CAMERA.project(np.c_[xy_mm, np.zeros(len(xy_mm))])


@pytest.fixture
def entry(tmp_path: Path):
    """Return a measured wall whose photo shows five dark spots at known places."""
    big = Image.new("RGB", (SIZE[0] * 4, SIZE[1] * 4), (235, 235, 235))
    draw = ImageDraw.Draw(big)
    for x, y in (seen(SPOTS_MM) + 0.5) * 4:
        draw.ellipse([x - 24, y - 24, x + 24, y + 24], fill=(10, 10, 10))
    big.resize(SIZE, Image.Resampling.BOX).save(tmp_path / "wall.png")
    spec = ElevationSpec.model_validate(
        {
            "name": "wall",
            "photo": "wall.png",
            "camera": {
                "focal_px": 1200.0,
                "focal_sd_px": 0.01,
                "distortion_k1": -0.05,
                "distortion_k1_sd": 1e-5,
                "centre_px": [799.5, 599.5],
                "centre_sd_px": 0.01,
            },
            "references": [
                {
                    "kind": "rectangle",
                    "corners": seen(CORNERS_MM).tolist(),
                    "width_mm": 3000,
                    "height_mm": 2500,
                    "sd_mm": 0.1,
                }
            ],
            "lines": [{"name": "top", "role": "wall", "picks": seen(LINE_MM).tolist()}],
        }
    )
    return measure_elevation(build_elevation(spec, tmp_path))


def test_spots_are_where_the_scale_says(entry):
    """Distances in the picture are those on the wall, lens and view corrected.

    Tolerance: half a pixel of the picture, of about 2 mm.
    """
    view = frame(entry)
    picture = np.asarray(Image.open(io.BytesIO(rectified_jpeg(entry))).convert("L"), float)
    dark = np.clip(200.0 - picture, 0.0, None)
    found = []
    origin = CORNERS_MM[0]  # the reported frame starts there
    corner = view.at(np.array([[view.left_mm, view.top_mm]]))
    assert corner == pytest.approx(np.array([[-0.5, -0.5]]))
    shift = _own_frame(entry, origin)
    for spot in SPOTS_MM:
        x, y = view.at((spot + shift)[None])[0]
        window = dark[int(y) - 12 : int(y) + 14, int(x) - 12 : int(x) + 14]
        rows, columns = np.mgrid[int(y) - 12 : int(y) + 14, int(x) - 12 : int(x) + 14]
        weight = window.sum()
        found.append(
            [(columns * window).sum() / weight - x, (rows * window).sum() / weight - y]
        )

    assert np.abs(found).max() < 0.5


def _own_frame(entry, corner_mm):
    """Return the shift from the tests' wall frame to that of the adjustment."""
    pick = entry.elevation.references[0].picks_px[:1]
    on_wall = entry.solution.camera.back_project(pick, np.zeros(1)).xy_mm[0]
    return on_wall - corner_mm


def test_the_description_fits_the_picture(entry):
    """Its line is as long in the picture as on the wall."""
    facts = describe(entry)
    picture = Image.open(io.BytesIO(rectified_jpeg(entry)))
    (x0, y0), (x1, y1) = facts["lines"][0]["picks"]
    length = np.hypot(x1 - x0, y1 - y0) * facts["mm_per_px"]

    assert list(picture.size) == facts["size_px"]
    assert length == pytest.approx(2800.0, abs=3.0)
    assert facts["bar_mm"] in (500, 1000)


def test_the_picture_is_never_large(entry):
    """However large the photo, what is sent is bounded."""
    assert max(frame(entry).size_px) <= 1600


def test_a_wall_without_a_photo_has_no_picture(entry):
    """The refusal says what to do."""
    from dataclasses import replace

    bare = replace(entry, elevation=replace(entry.elevation, photo=None))
    with pytest.raises(DegenerateGeometry, match="no photo"):
        rectified_jpeg(bare)
