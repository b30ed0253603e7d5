"""Previews and tiles: exact, private, and only of the job's own photos."""

import io

import numpy as np
import pytest
from PIL import Image

from photomeasure.store import jobs, photos
from tests.ui.server.kit import jpeg, new_job, opened, send


@pytest.fixture
def job(client):
    """Return a job with a photo of one and a half tiles each way."""
    made = new_job(client)
    send(client, made, ("a.jpg", jpeg((1100, 700), quality=97)))
    return made


def photo_of(client, job):
    return opened(client, job)["elevations"][0]["photo"]


def fetched(client, url):
    answer = client.get(url)
    assert answer.status_code == 200, url
    return Image.open(io.BytesIO(answer.content)).convert("RGB")


def test_tiles_put_together_are_the_photo(client, job):
    """Every tile lies where its column and row say; the edge tiles are not stretched."""
    told = photo_of(client, job)
    whole = Image.new("RGB", (1100, 700))
    for column in range(3):
        for row in range(2):
            url = told["tiles"]["url"].format(level=0, column=column, row=row)
            whole.paste(fetched(client, url), (512 * column, 512 * row))
    original = Image.open(io.BytesIO(jpeg((1100, 700), quality=97))).convert("RGB")
    off = np.abs(np.asarray(whole, int) - np.asarray(original, int))

    # A JPEG of a JPEG: a few grey levels, no shift.
    assert off.mean() < 2.0


def test_levels_halve_until_one_tile_holds_all(client, job):
    """1100 by 700 has levels of 1100, 550 and 275 pixels."""
    tiles = photo_of(client, job)["tiles"]

    assert tiles["levels"] == 3
    top = fetched(client, tiles["url"].format(level=2, column=0, row=0))
    assert top.size == (275, 175)


@pytest.mark.parametrize(
    "place", [(0, 3, 0), (0, 0, 2), (3, 0, 0), (-1, 0, 0), (0, -1, 0), (99, 0, 0)]
)
def test_no_such_tile(client, job, place):
    """A tile outside the photo is a sentence."""
    url = photo_of(client, job)["tiles"]["url"]
    level, column, row = place
    answer = client.get(url.format(level=level, column=column, row=row))

    assert answer.status_code == 404
    assert answer.json()["message"].endswith(".")


@pytest.mark.parametrize("level", ["x", "1.5", "%2e%2e", "0%00"])
def test_places_that_are_no_numbers(client, job, level):
    """Nothing but whole numbers leads to a file."""
    url = photo_of(client, job)["tiles"]["url"].replace("{level}", level)

    assert client.get(url.format(column=0, row=0)).status_code == 404


def test_pictures_are_kept_by_this_browser_alone(client, job):
    """They lie under their hash, so they may be kept, but by nobody between."""
    told = photo_of(client, job)

    for url in (told["preview"], told["thumb"]):
        kept = client.get(url).headers["cache-control"]
        assert kept.startswith("private")
        assert "immutable" in kept


def test_pictures_of_another_job_are_not_given_out(client, job):
    """The hash of a photo opens nothing outside its own job."""
    other = new_job(client)
    told = photo_of(client, job)

    for url in (told["preview"], told["tiles"]["url"].format(level=0, column=0, row=0)):
        answer = client.get(url.replace(job, other))
        assert answer.status_code == 404
        assert "not one of this job" in answer.json()["message"]


def test_a_deleted_job_leaves_no_previews(client, store, job):
    """What was made of a photo goes with it."""
    sha256 = photo_of(client, job)["preview"].split("/")[4]
    folder = photos.previews_of(store, sha256)
    assert folder.is_dir()
    jobs.delete(store, job)

    assert not folder.exists()
    assert client.get(f"/work-on/{job}/photos/{sha256}/preview.jpg").status_code == 404


def test_previews_are_made_anew_if_they_are_gone(client, store, job):
    """The folder of previews may be emptied at any time."""
    import shutil

    url = photo_of(client, job)["preview"]
    shutil.rmtree(store.home / "previews")

    assert fetched(client, url).size == (1100, 700)


def test_turned_photos_are_upright(client):
    """Size, preview and tiles are those of the upright photo."""
    picture = Image.new("RGB", (900, 600), (200, 200, 200))
    picture.paste((10, 10, 10), (0, 0, 100, 600))  # left as stored
    exif = Image.Exif()
    exif[0x0112] = 6  # a quarter turn clockwise makes it upright
    stream = io.BytesIO()
    picture.save(stream, "JPEG", exif=exif)
    job = new_job(client)
    send(client, job, ("turned.jpg", stream.getvalue()))
    told = photo_of(client, job)
    shown = fetched(client, told["preview"])

    assert told["size_px"] == [600, 900]
    assert shown.size == (600, 900)
    assert shown.getpixel((300, 30))[0] < 40
    assert shown.getpixel((300, 870))[0] > 150
