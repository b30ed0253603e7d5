"""The sample house on a desk, for tests of panels without a browser."""

from pathlib import Path

import pytest

from photomeasure.job.edit import with_takeoff
from photomeasure.store import find_place, open_store
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


@pytest.fixture
def bare(desk):
    """Return the sample house as it is shipped."""
    return desk.open(bring_in_job_file(desk.office.store, SAMPLE).job_id)


@pytest.fixture
def house(desk, bare):
    """Return the sample house with what a take-off needs to know."""
    return desk.office.change(bare.id, lambda d: with_takeoff(d, HOUSE), Signature())
