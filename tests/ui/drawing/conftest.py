"""A host of the module's routes, for the tests of the drawing module."""

import socket
import threading
import time
from collections.abc import Callable, Iterator

import pytest
import uvicorn

from tests.ui.drawing.hands import Hand
from tests.ui.drawing.host import Kept, make_host, sample_house


class Server:
    """A host in a thread, on a free port of loopback."""

    def __init__(self, jobs: dict[str, Kept], body: str = "") -> None:
        self.jobs = jobs
        self._app = make_host(jobs, body)
        self._socket = socket.create_server(("127.0.0.1", 0))
        self.address = f"http://127.0.0.1:{self._socket.getsockname()[1]}"
        self._start()

    def _start(self) -> None:
        settings = uvicorn.Config(self._app, log_level="critical", lifespan="off")
        self._server = uvicorn.Server(settings)
        self._thread = threading.Thread(
            target=self._server.run, args=([self._socket],), daemon=True
        )
        self._thread.start()
        while not self._server.started:
            time.sleep(0.01)

    def stop(self) -> None:
        """End it as a killed server ends: nobody is told."""
        self._server.should_exit = True
        self._server.force_exit = True
        self._thread.join(5)


@pytest.fixture
def serve() -> Iterator[Callable[..., Server]]:
    """Return a function that serves jobs until the test ends."""
    servers = []

    def start(jobs: dict[str, Kept], body: str = "") -> Server:
        servers.append(Server(jobs, body))
        return servers[-1]

    yield start
    for server in servers:
        server.stop()


@pytest.fixture
def house():
    """Return the sample house without its lines and soffits."""
    kept = sample_house(preview_px=1600)
    del kept.document["elevations"][2]
    kept.document["elevations"][0] |= {"lines": [], "soffits": []}
    return kept


@pytest.fixture
def work(browser, serve):
    """Return a function that opens a job on a screen; no script error may happen."""
    hands = []

    def opened(kept, screen="desktop", **more):
        hands.append(Hand(browser, serve({"house": kept}).address, screen, **more))
        return hands[-1]

    yield opened
    for hand in hands:
        hand.context.close()
        assert hand.faults == []
