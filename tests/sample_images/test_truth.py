"""The sample pictures show what their truth files say."""

import json
import math

import numpy as np
import pytest
from PIL import ExifTags, Image

from sample_images.scenes import check, jobs

FOLDER = check.FOLDER
PROJECTION_TOLERANCE_PX = 0.05  # asked of the truth; rounding alone gives 0.001
# The middle of a sharp edge: tone curve and sharpening pull it to the darker side.
EDGE_TOLERANCE_PX = 1.0
# Other edges cross some profiles (sashes, trees behind a quoin), never most of them.
NEAR_PX, NEAR_SHARE = 1.5, 0.5
JOINT_TOLERANCE_PX = 1.5  # the arris above shades the upper part of a recessed joint
FOLDER_LIMIT_BYTES = 10_000_000
PICTURE_LIMIT_BYTES = 3_000_000
# Six sigma of a pick in x and y: a seeded draw beyond it would be a mistake.
PICK_LIMIT_PX = 6.0 * math.sqrt(2.0)

pictures = pytest.mark.parametrize("picture", check.PICTURES)


@pictures
def test_stated_camera_projects_millimetres_to_stated_pixels(picture):
    """An independent projection agrees with every stated pixel."""
    truth = check.load_truth(picture)

    assert len(check.marks(truth)) > 100
    assert check.projection_gap_px(truth) < PROJECTION_TOLERANCE_PX


@pictures
def test_rotation_is_that_of_the_stated_angles(picture):
    """The camera's forward axis has the stated tilt and yaw."""
    camera = check.load_truth(picture)["camera"]
    turn = np.array(camera["rotation_world_from_camera"])
    forward = turn[:, 2]

    assert np.allclose(turn @ turn.T, np.eye(3), atol=1e-12)
    assert np.linalg.det(turn) == pytest.approx(1.0)
    assert math.degrees(math.asin(forward[1])) == pytest.approx(camera["tilt_deg"])
    assert math.degrees(math.atan2(forward[0], -forward[2])) == pytest.approx(
        camera["yaw_deg"]
    )


@pictures
def test_true_edges_lie_on_the_steepest_gradient(picture):
    """Roofline and window jambs are in the picture where the truth says."""
    truth, grey = check.load_truth(picture), check.load_grey(picture)
    found = {e.name: check.edge_offsets_px(grey, truth, e) for e in check.edges(truth)}
    middles = {name: float(np.median(off)) for name, off in found.items()}
    shares = {name: float(np.mean(np.abs(off) < NEAR_PX)) for name, off in found.items()}

    assert len(found) >= 3
    assert max(map(abs, middles.values())) < EDGE_TOLERANCE_PX, middles
    assert min(shares.values()) > NEAR_SHARE, shares


@pictures
def test_bed_joints_lie_on_light_mortar(picture):
    """Across the stated joints the brightest place is within the joint."""
    truth, grey = check.load_truth(picture), check.load_grey(picture)

    offset = check.joint_offset_px(grey, truth)

    assert abs(offset) < JOINT_TOLERANCE_PX


@pictures
def test_wall_drifts_as_real_walls_do(picture):
    """The mean gauge is 0.3 to 1 per cent off nominal and not constant."""
    joints = check.load_truth(picture)["bed_joints"]
    heights = np.array([j["true_y_mm"] for j in joints])
    counts = np.array([j["count"] for j in joints])
    slope, intercept = np.polyfit(counts, heights, 1)
    waviness = heights - (slope * counts + intercept)

    assert 0.003 < slope / 75.0 - 1.0 < 0.010
    assert np.ptp(waviness) > 1.0


@pytest.mark.parametrize("picture", ["front", "gable"])
def test_phone_pictures_carry_a_phone_s_exif_without_place(picture):
    """Focal length, orientation and date are there; a GPS block is not."""
    with Image.open(FOLDER / f"{picture}.jpg") as opened:
        tags = opened.getexif()
        details = tags.get_ifd(ExifTags.IFD.Exif)
        size = opened.size

    assert size == (4032, 3024)
    assert tags[ExifTags.Base.Make] == "Demo"
    assert tags[ExifTags.Base.Model] == "Demo phone"
    assert tags[ExifTags.Base.Orientation] == 1
    assert tags[ExifTags.Base.DateTime].startswith("2025:")
    assert details[ExifTags.Base.FocalLengthIn35mmFilm] == 26
    assert float(details[ExifTags.Base.FocalLength]) == pytest.approx(5.6)
    assert ExifTags.IFD.GPSInfo not in tags


def test_messenger_copy_is_small_and_bare():
    """The messenger copy has 1600 pixels and no EXIF at all."""
    with Image.open(FOLDER / "front-messenger.jpg") as opened:
        assert opened.size == (1600, 1200)
        assert not opened.getexif()
        assert "exif" not in opened.info


def test_folder_stays_small():
    """A clone does not pay for the pictures with more than 10 MB."""
    sizes = {p.name: p.stat().st_size for p in FOLDER.glob("*.*")}

    assert sum(sizes.values()) < FOLDER_LIMIT_BYTES
    assert all(size < PICTURE_LIMIT_BYTES for size in sizes.values()), sizes


def test_true_lengths_follow_from_the_ends():
    """Stated lengths, pitches and projections are those of the stated ends."""
    for picture in check.PICTURES:
        for line in check.load_truth(picture)["lines"]:
            ends = np.array([m["mm"] for m in line["ends"]])
            along = ends[1] - ends[0]
            pitch = math.degrees(math.atan2(abs(along[1]), abs(along[0])))

            assert line["true_length_mm"] == pytest.approx(np.linalg.norm(along), abs=0.02)
            assert line["pitch_deg"] == pytest.approx(pitch, abs=0.01)
            assert line["projection_mm"] == pytest.approx(ends[:, 2].mean(), abs=0.01)


@pytest.mark.parametrize("name", ["house", "messenger"])
def test_job_files_are_those_that_the_script_writes(name):
    """The committed jobs come from the committed truth, seed and all."""
    stored = json.loads((FOLDER / f"{name}.job.json").read_text(encoding="utf-8"))

    assert stored == jobs.all_jobs()[name]


def test_every_traced_line_ends_near_its_truth():
    """Picks of the roofline are the true pixels plus a small scatter."""
    job = jobs.all_jobs()["house"]
    for elevation in job["elevations"]:
        truth = check.load_truth(elevation["photo"].removesuffix(".jpg"))
        lines = {e["name"]: e for e in truth["lines"]}
        for line in elevation["lines"]:
            true_px = np.array([m["px"] for m in lines[line["name"]]["ends"]])
            gap = np.linalg.norm(np.array(line["picks"]) - true_px, axis=1)

            assert gap.max() < PICK_LIMIT_PX
            assert gap.max() > 0.0
