"""Print how simulated jobs came out: ``python -m tests.simulation.report [JOBS]``.

docs/accuracy.md holds a run.
"""

import sys

import numpy as np

from tests.simulation.houses import MIXES
from tests.simulation.runs import Outcome, outcome

KINDS = ("model", "no camera data", "cut", "cut, focal length kept", "real life")


def row(name: str, found: Outcome, which: np.ndarray) -> str:
    """Return one row of a Markdown table."""
    score = found.error_mm[which] / found.u_mm[which]
    relative = found.error_mm[which] / found.length_mm[which]
    half = 1.96 * found.u_mm[which] / found.length_mm[which]
    cells = (
        name,
        f"{which.sum()}",
        f"{np.mean(np.abs(score) <= 1.96):.1%}",
        f"{np.sqrt(np.mean(score**2)):.2f}",
        f"{np.abs(score).max():.1f}",
        f"{np.sqrt(np.mean(relative**2)):.2%}",
        f"{np.median(half):.2%}",
    )
    return "| " + " | ".join(cells) + " |"


def main(jobs: int) -> None:
    """Print a table for each kind of error."""
    for kind in KINDS:
        found = outcome(kind, jobs)
        print(f"\n{kind}: {jobs} jobs, {len(found.refused)} refused\n")
        print(
            "| references | lengths | in 95 % interval | rms error/u | worst error/u "
            "| rms error | median half-width |"
        )
        print("|---|---|---|---|---|---|---|")
        for index, mix in enumerate(MIXES):
            print(row(mix, found, found.job % len(MIXES) == index))
        print(row("**all**", found, np.ones(len(found.job), dtype=bool)))


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1050)
