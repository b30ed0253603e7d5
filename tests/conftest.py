"""Settings that all tests share."""

import os
from collections.abc import Callable

import pytest
from hypothesis import settings

# As the command does: threads on matrices of 30 x 30 only wait for each other.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

settings.register_profile("repeatable", derandomize=True, database=None)
settings.register_profile("search", derandomize=False)
# A red run must speak of the change, not of the day; --hypothesis-profile=search hunts on.
settings.load_profile("repeatable")

TOLD = "counted"
"""Reports carry it, also from the processes of a parallel run."""


@pytest.fixture
def tell(request: pytest.FixtureRequest) -> Callable[[str], None]:
    """Return a function whose sentences are printed when all tests are done."""

    def note(sentence: str) -> None:
        request.node.user_properties.append((TOLD, sentence))

    return note


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Begin with the long simulations, so that no core waits for the last of them."""
    items.sort(key=lambda item: item.get_closest_marker("statistics") is None)


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Print what tests counted: kills survived, inputs tried."""
    for reports in terminalreporter.stats.values():
        for report in reports:
            if getattr(report, "when", "") == "call":
                for key, value in report.user_properties:
                    if key == TOLD:
                        terminalreporter.write_line(f"counted: {value}")
