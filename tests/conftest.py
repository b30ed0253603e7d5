"""Settings that all tests share."""

import os
from collections.abc import Callable

import pytest

# As the command does: threads on matrices of 30 x 30 only wait for each other.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

TOLD = "counted"
"""Reports carry it, also from the processes of a parallel run."""


@pytest.fixture
def tell(request: pytest.FixtureRequest) -> Callable[[str], None]:
    """Return a function whose sentences are printed when all tests are done."""

    def note(sentence: str) -> None:
        request.node.user_properties.append((TOLD, sentence))

    return note


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Print what tests counted: kills survived, inputs tried."""
    for reports in terminalreporter.stats.values():
        for report in reports:
            if getattr(report, "when", "") == "call":
                for key, value in report.user_properties:
                    if key == TOLD:
                        terminalreporter.write_line(f"counted: {value}")
