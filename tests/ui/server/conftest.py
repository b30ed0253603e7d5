"""A server of its own for every test, without a network."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from photomeasure.store import Store, find_place, open_store
from tests.ui.server.kit import BASE
from ui.server.app import Gate, build_server
from ui.server.settings import Settings


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """Return an empty store."""
    with open_store(find_place(tmp_path / "home", {})) as opened:
        yield opened


@pytest.fixture
def serve(store: Store) -> Callable[..., TestClient]:
    """Return a function that starts a server with some settings."""

    def start(settings: Settings | None = None, gate: Gate | None = None) -> TestClient:
        app = build_server(store, settings or Settings(), gate)
        return TestClient(app, base_url=BASE, follow_redirects=False)

    return start


@pytest.fixture
def client(serve: Callable[..., TestClient]) -> TestClient:
    """Return a browser before a server with usual settings."""
    return serve()
