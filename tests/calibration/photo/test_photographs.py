"""Real photographs, from Debian's opencv-doc package.

The package may also be unpacked elsewhere and its folder ``opencv-doc`` named in the
environment variable ``OPENCV_DOC``.
"""

import os
from pathlib import Path

import pytest

from calibration.photo import focal_prior, load_upright, read_header

FOLDER = Path(os.environ.get("OPENCV_DOC", "/usr/share/doc/opencv-doc"))

pytestmark = [
    pytest.mark.photographs,
    pytest.mark.skipif(not FOLDER.is_dir(), reason="opencv-doc is not installed"),
]


@pytest.mark.parametrize("name", ["leuvenA.jpg", "leuvenB.jpg"])
def test_a_resized_phone_photo_of_houses(name):
    """EXIF 3264 x 2448 and 29 mm, file 751 x 563: 629.1 px by the diagonal."""
    path = FOLDER / "examples/data" / name

    header = read_header(path)
    prior = focal_prior(header)

    assert header.stored_size_px == (751, 563)
    assert header.lens.exif_size_px == (3264, 2448)
    assert prior.focal_px == pytest.approx(629.1, abs=0.1)
    assert abs(prior.focal_px - 605.0) < prior.sd_px  # the width definition
    assert "has been resized" in prior.advice[0]


def test_both_houses_were_taken_with_one_camera():
    """The key compares, and the sixteen tags of the place are gone."""
    headers = [
        read_header(FOLDER / "examples/data" / name)
        for name in ("leuvenA.jpg", "leuvenB.jpg")
    ]

    first, second = (header.lens.camera_key for header in headers)
    assert first == second is not None


def test_a_focal_length_of_zero_is_unknown():
    """The file says 0.0 mm, yet 24 mm equivalent, and 3024 x 4032 before resizing."""
    header = read_header(FOLDER / "opencv4/html/4_barcodes.jpg")

    assert header.lens.focal_length_mm is None
    assert header.advice == ()
    assert focal_prior(header).focal_px == pytest.approx(24 * 960 / 43.2666, rel=1e-5)


def test_a_calibrated_camera_without_exif():
    """The chessboard photos tell nothing of their lens."""
    assert focal_prior(read_header(FOLDER / "examples/data/left01.jpg")) is None


def test_no_photo_of_the_package_is_refused():
    """Two thousand files of many programs: header and pixels agree in all."""
    files = [path for end in ("jpg", "png") for path in FOLDER.rglob(f"*.{end}")]

    for path in files:
        size = read_header(path).upright_size_px
        assert load_upright(path, max_side_px=64).shape[2] == 3
        assert min(size) > 0
    assert len(files) > 1000
