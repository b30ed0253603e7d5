"""Settings that all tests share."""

import os
from collections.abc import Callable

import pytest

# As the command does: threads on matrices of 30 x 30 only wait for each other.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

TOLD = pytest.StashKey[list[str]]()


@pytest.fixture
def tell(request: pytest.FixtureRequest) -> Callable[[str], None]:
    """Return a function whose sentences are printed when all tests are done."""
    told = request.config.stash.setdefault(TOLD, [])
    return told.append


def pytest_terminal_summary(
    terminalreporter: pytest.TerminalReporter, config: pytest.Config
) -> None:
    """Print what tests counted: kills survived, inputs tried."""
    for sentence in config.stash.get(TOLD, []):
        terminalreporter.write_line(f"counted: {sentence}")
