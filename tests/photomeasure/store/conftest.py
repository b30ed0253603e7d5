"""Every test of the store runs on SQLite, and on PostgreSQL where one is named."""

import os
import uuid
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import create_engine, make_url, text

from photomeasure.store import Place, Store, find_place, open_store

POSTGRESQL = "PHOTOMEASURE_TEST_POSTGRES"
"""Address of a database in which the tests may make and drop schemas."""


def empty_place(home: Path) -> Place:
    """Return where a new SQLite store will be."""
    return find_place(home, {})


@pytest.fixture(params=["sqlite", "postgresql"])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Place]:
    """Where a new store will be, with a database of its own."""
    home = tmp_path / "home"
    if request.param == "sqlite":
        yield empty_place(home)
        return
    address = os.environ.get(POSTGRESQL)
    if not address:
        pytest.skip(f"{POSTGRESQL} names no database")
    schema = f"test_{uuid.uuid4().hex}"
    engine = create_engine(address)
    with engine.begin() as connection:
        connection.execute(text(f"CREATE SCHEMA {schema}"))
    options = {"options": f"-csearch_path={schema}"}
    yield Place(home, make_url(address).update_query_dict(options))
    with engine.begin() as connection:
        connection.execute(text(f"DROP SCHEMA {schema} CASCADE"))
    engine.dispose()


@pytest.fixture
def store(place: Place) -> Iterator[Store]:
    """Return an empty store."""
    with open_store(place) as opened:
        yield opened


@pytest.fixture
def other(tmp_path: Path) -> Iterator[Store]:
    """Return another store, of another office."""
    with open_store(empty_place(tmp_path / "other")) as opened:
        yield opened


@pytest.fixture
def commanded(place: Place, monkeypatch: pytest.MonkeyPatch) -> Place:
    """Let the commands of this process use the store."""
    monkeypatch.setenv("PHOTOMEASURE_HOME", str(place.home))
    if place.database.drivername == "sqlite":
        monkeypatch.delenv("PHOTOMEASURE_DATABASE", raising=False)
    else:
        shown = place.database.render_as_string(hide_password=False)
        monkeypatch.setenv("PHOTOMEASURE_DATABASE", shown)
    return place
