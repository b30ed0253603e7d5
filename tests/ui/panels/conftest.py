"""The sample house on a desk, for tests of panels without a browser."""

import json
from pathlib import Path

import pytest

from calibration.photo import read_header
from photomeasure.job.edit import with_takeoff, written
from photomeasure.store import find_place, jobs, open_store
from photomeasure.store.documents import make_draft
from photomeasure.store.intake import bring_in_job_file
from photomeasure.store.jobs import Signature
from ui.panels.desk import Desk
from ui.server.office import Office
from ui.server.settings import Settings

SAMPLE = Path(__file__).parents[3] / "sample_images" / "house.job.json"

HOUSE = {
    "year_built": 1986,
    "soffit_look": "timber",
    "asbestos_survey": "not found",
    "roof": {
        "fascia_depth_mm": 210,
        "barge_depth_mm": 210,
        "soffit_width_mm": 300,
        "eaves_height_mm": 5100,
    },
}


@pytest.fixture
def desk(tmp_path):
    """Return a desk over an empty store."""
    with open_store(find_place(tmp_path / "home", {})) as store:
        yield Desk(Office(store, Settings()))


def without_photos():
    """Return the sample house with what its photos say of their lens instead of them."""
    document = json.loads(SAMPLE.read_text("utf-8"))
    document.pop("takeoff", None)  # so that the tests state it
    for entry in document["elevations"]:
        header = read_header(SAMPLE.parent / entry.pop("photo"))
        facts = {
            "size_px": list(header.upright_size_px),
            "focal_35mm": header.lens.focal_35mm,
        }
        entry["camera"] = {key: fact for key, fact in facts.items() if fact}
    return document


@pytest.fixture
def pictured(desk):
    """Return the sample house as it is shipped."""
    return desk.open(bring_in_job_file(desk.office.store, SAMPLE).job_id)


@pytest.fixture
def bare(desk):
    """Return the sample house without its photos: large pictures take most of the time."""
    draft = make_draft(written(without_photos()), {})
    return desk.open(jobs.create(desk.office.store, draft).job_id)


@pytest.fixture
def house(desk, bare):
    """Return the sample house with what a take-off needs to know."""
    return desk.office.change(bare.id, lambda d: with_takeoff(d, HOUSE), Signature())
