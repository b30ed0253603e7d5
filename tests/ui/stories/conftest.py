"""The whole page, served as its users serve it, for whole stories in a browser."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.ui.drawing.hands import Hand

ROOT = Path(__file__).parents[3]


class Page:
    """``photomeasure serve`` with a store of its own.

    Attributes
    ----------
    home : Path
        Of the store.
    address : str
    """

    def __init__(self, home: Path) -> None:
        self.home = home
        self.environment = {
            **os.environ,
            "PHOTOMEASURE_HOME": str(home),
            "PYTHONPATH": str(ROOT),
            "PYTHONUNBUFFERED": "1",
        }
        self.port = 0
        self.start()

    def start(self) -> None:
        """Start it, on the same port as before if there was one."""
        port = self.port or _free_port()
        self._process = subprocess.Popen(  # noqa: S603
            [sys.executable, "-m", "photomeasure.cli", "serve", "--port", str(port)],
            env=self.environment,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
        )
        said = self._process.stdout.readline()
        self.address = re.search(r"http://\S+", said).group().rstrip("/")
        self.port = port

    def kill(self) -> None:
        """End it without a warning."""
        self._process.kill()
        self._process.wait()
        self._process.stdout.close()

    def run(self, *words: str) -> str:
        """Run the command line on the same store."""
        done = subprocess.run(  # noqa: S603
            [sys.executable, "-m", "photomeasure.cli", *words],
            env=self.environment,
            capture_output=True,
            text=True,
            check=False,
        )
        return done.stdout


def _free_port() -> int:
    import socket

    with socket.create_server(("127.0.0.1", 0)) as taken:
        return int(taken.getsockname()[1])


@pytest.fixture(scope="module")
def page(tmp_path_factory):
    """Return a served page."""
    served = Page(tmp_path_factory.mktemp("office"))
    yield served
    served.kill()


class Person(Hand):
    """A person at the page, whose browser reaches no other host."""

    def open(self, address: str) -> None:
        """Go to the page; whatever is asked of another host fails."""
        own = address.split("/")[2]
        self.context.route(
            lambda url: own not in url and not url.startswith(("data:", "blob:")),
            lambda route: route.abort(),
        )
        self.page.goto(address)

    def sample(self) -> None:
        """Open the sample house."""
        self.touch(self.page.locator("#pm-sample"))
        self.page.wait_for_url("**/?job=*")

    @property
    def job(self) -> str:
        """Id of the open job."""
        return self.page.url.split("job=")[1].split("&")[0]

    def touch(self, element) -> None:
        """Touch an element of the page."""
        element.tap() if self._finger else element.click()
        self.touches += 1

    def go(self, tab: str) -> None:
        """Go to a panel."""
        self.touch(self.page.get_by_role("tab", name=tab, exact=True))

    def draw(self) -> None:
        """Go to the drawing and wait for it."""
        self.go("Lines")
        self.wait_drawing()

    def wait_kept(self) -> None:
        """Wait until what was drawn is on the server."""
        self.page.wait_for_timeout(60)
        self.page.wait_for_selector(".dr-saved[data-phase=saved]")

    def document(self) -> dict:
        """Return the job as the server has it."""
        return self.page.request.get(f"/work-on/{self.job}").json()["document"]


SCREENS = ROOT / "build" / "screens"
"""What each person saw at last, for people to look at."""


@pytest.fixture
def person(browser, page, request):
    """Return a function that seats a person at the page."""
    people = []

    def come(screen: str) -> Person:
        people.append(Person(browser, page.address, screen, base_url=page.address))
        return people[-1]

    yield come
    SCREENS.mkdir(parents=True, exist_ok=True)
    for i, one in enumerate(people):
        name = re.sub(r"\W+", "-", f"{request.node.name} {i}")
        one.page.screenshot(path=SCREENS / f"{name}.png", full_page=True)
        hosts, faults = one.hosts, one.faults
        one.context.close()
        assert hosts == {page.address.split("/")[2]}
        assert faults == []
