"""One browser for all tests of the page: a process may drive only one."""

import os
from pathlib import Path
from typing import NoReturn

import pytest

CHROMIUM = Path("/usr/bin/chromium")
ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
"""Root may not use the sandbox; the rest keeps the browser from calling its maker."""


@pytest.fixture(scope="module")
def browser():
    """Return a running browser; without one the tests are skipped unless it is needed.

    Ended with each file: while it runs, no other event loop can in the same thread.
    """
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        _missing("playwright is not installed")
    if not CHROMIUM.exists():
        _missing(f"there is no {CHROMIUM}")
    with sync_playwright() as play:
        running = play.chromium.launch(executable_path=str(CHROMIUM), args=ARGUMENTS)
        yield running
        running.close()


def _missing(why: str) -> NoReturn:
    if os.environ.get("PHOTOMEASURE_NEED_BROWSER") == "1":
        pytest.fail(f"PHOTOMEASURE_NEED_BROWSER is 1 but {why}")
    pytest.skip(why)
