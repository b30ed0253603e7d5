"""The photo with its lengths: the right places, and nothing that gives a person away."""

import numpy as np
import pytest
from PIL import Image

from photomeasure.annotate import annotate, annotate_job
from photomeasure.job.load import job_from_document
from photomeasure.measure import measure_job
from tests.photomeasure.house import SIZE_PX, front, job, write_photo

LINE, PLATE = np.array([235, 60, 20]), np.array([255, 250, 235])


def measured(folder, elevation):
    return measure_job(job_from_document(job(elevation), folder))


def photographed(folder, **changes):
    """Return the measured front with a grey photo."""
    write_photo(folder)
    return measured(folder, {**front(), "photo": "front.jpg", **changes})


def drawn(folder, **changes):
    entry = photographed(folder, **changes).elevations[0]
    return annotate(entry, entry.elevation.photo)


def colour(picture, pick, gain=1.0):
    x, y = (np.array(pick) + 0.5) * gain - 0.5
    return np.array(picture.getpixel((round(float(x)), round(float(y)))))


def along(picks, shares):
    a, b = map(np.array, picks)
    return [a + share * (b - a) for share in shares]


def test_lines_run_through_their_picks(tmp_path):
    """From end to end, on the pixel."""
    picture = drawn(tmp_path)

    assert picture.size == SIZE_PX
    for line in front()["lines"]:
        for place in along(line["picks"], (0.02, 0.3, 0.5, 0.7, 0.98)):
            assert np.array_equal(colour(picture, place), LINE)


def test_lines_run_through_their_picks_on_a_reduced_photo(tmp_path):
    """A large photo is reduced; pixel centres keep their places."""
    factor = 3
    large = tuple(side * factor for side in SIZE_PX)
    Image.new("RGB", large, (120, 120, 120)).save(tmp_path / "large.png")

    def enlarged(node):
        """Return every pick where it is on the larger picture."""
        if isinstance(node, dict):
            return {
                k: v if k in ("wall_mm", "counts") else enlarged(v) for k, v in node.items()
            }
        if isinstance(node, list) and node and isinstance(node[0], float):
            return [(value + 0.5) * factor - 0.5 for value in node]
        return [enlarged(item) for item in node] if isinstance(node, list) else node

    elevation = {**enlarged(front()), "photo": "large.png"}
    elevation["camera"] = {"focal_px": 1180.0 * factor, "focal_sd_px": 36.0}

    entry = measured(tmp_path, elevation).elevations[0]
    picture = annotate(entry, entry.elevation.photo)

    assert picture.size == (2400, 1800)
    for line in elevation["lines"]:
        for place in along(line["picks"], (0.02, 0.3, 0.5, 0.7, 0.98)):
            assert np.array_equal(colour(picture, place, picture.width / large[0]), LINE)


def test_nothing_of_the_photo_but_its_pixels_is_passed_on(tmp_path):
    """Where and with what it was taken stays with the owner."""
    exif = Image.Exif()
    exif[0x010F] = "Maker of phones"
    exif.get_ifd(0x8825)[2] = (51.0, 28.0, 38.0)
    write_photo(tmp_path, exif=exif, comment=b"a comment")
    job = measured(tmp_path, {**front(), "photo": "front.jpg"})

    (path,) = annotate_job(job, tmp_path / "out")

    with Image.open(tmp_path / "front.jpg") as original:
        assert original.getexif()[0x010F] == "Maker of phones"
    with Image.open(path) as written:
        assert not written.getexif()
        assert not set(written.info) & {"exif", "comment", "xmp", "icc_profile"}
    for trace in (b"Exif", b"Maker", b"comment", b"ICC_PROFILE", b"http"):
        assert trace not in path.read_bytes()


NAMES = [
    "front eaves",
    "a name of two hundred letters " * 7,
    "two\nlines\r\nof\ttext",
    "<b>bold</b> & ${markup}",
    "\x1b[31mred",
    "軒先 e\u0301 \u202etfel",
]


@pytest.mark.parametrize("name", NAMES)
def test_any_name_can_be_drawn(name, tmp_path, labels):
    """On one line, inside the picture, with its length in full."""
    line = {**front()["lines"][1], "name": name[:200]}
    drawn(tmp_path, lines=[line], soffits=[])

    ((text, box),) = labels
    assert text.isprintable()
    assert text.endswith(" mm")
    assert "±" in text
    assert 0 <= box[0] <= box[2] <= SIZE_PX[0]
    assert 0 <= box[1] <= box[3] <= SIZE_PX[1]


@pytest.fixture
def labels(monkeypatch):
    """Return text and place of every label that is drawn."""
    from PIL import ImageDraw

    found = []
    write, plate = ImageDraw.ImageDraw.text, ImageDraw.ImageDraw.rounded_rectangle
    boxes = []

    def note_plate(self, xy, *args, **kwargs):
        boxes.append(xy)
        return plate(self, xy, *args, **kwargs)

    def note_text(self, xy, text, *args, **kwargs):
        if len(found) < len(boxes):
            assert boxes[-1][0] <= xy[0] <= boxes[-1][2]
            found.append((text, boxes[-1]))
        return write(self, xy, text, *args, **kwargs)

    monkeypatch.setattr(ImageDraw.ImageDraw, "rounded_rectangle", note_plate)
    monkeypatch.setattr(ImageDraw.ImageDraw, "text", note_text)
    return found


def test_labels_do_not_cover_each_other(tmp_path, labels):
    """A dozen lines on one spot, low in the picture."""
    low = [[400.0, 1150.0], [900.0, 1150.0]]
    lines = [
        {"name": f"plinth {i}", "role": "wall", "picks": low, "projection_mm": 0}
        for i in range(12)
    ]
    drawn(tmp_path, lines=lines, soffits=[])

    boxes = [box for _, box in labels]
    assert len(boxes) == 12
    for i, a in enumerate(boxes):
        assert 0 <= a[1] <= a[3] <= SIZE_PX[1]
        for b in boxes[:i]:
            assert a[3] <= b[1] or b[3] <= a[1]


def test_a_thumbnail_can_be_drawn(tmp_path):
    """Sixteen pixels are allowed, so they must not stop the program."""
    entry = photographed(tmp_path).elevations[0]
    Image.new("RGB", (16, 12), (120, 120, 120)).save(tmp_path / "tiny.png")

    assert annotate(entry, tmp_path / "tiny.png").size == (16, 12)


def test_names_of_elevations_make_harmless_file_names(tmp_path):
    """No folder is left, no two files meet, whatever the elevation is called."""
    write_photo(tmp_path)
    names = ["../../up", "a/b", "CON", "屋根", "x" * 200, ".", "a b", "a-b"]
    elevations = [{**front(), "name": name, "photo": "front.jpg"} for name in names]
    document = job(*elevations)

    paths = annotate_job(
        measure_job(job_from_document(document, tmp_path)), tmp_path / "out"
    )

    assert len(set(paths)) == len(names)
    for path in paths:
        assert path.parent == tmp_path / "out"
        assert path.is_file()
        assert path.name.isascii()
        assert len(path.name) < 100
