"""Blunders are found as often, and lengths spread as far, as the covariance says."""

import numpy as np
import pytest

from calibration.snooping import critical_value, non_centrality
from tests.scenes import Noise
from tests.simulation.houses import random_house
from tests.simulation.runs import measure

pytestmark = pytest.mark.statistics


def test_a_planted_blunder_is_found_at_the_textbook_rate():
    """A tape wrong by its smallest detectable error is found four times in five.

    Baarda's alpha_0 = 0.1 %, power 80 %: delta_0 = 4.13.
    """
    found = 0
    jobs = range(600)
    for seed in jobs:
        scene = random_house(7 * seed, Noise())
        tape = next(r for r in scene.document["references"] if r["kind"] == "distance")
        clean = _tape_test(scene.job())
        tape["length_mm"] *= 1.0 + clean.smallest_found
        blundered = _tape_test(scene.job())
        found += abs(blundered.w) > critical_value()

    share = found / len(jobs)
    assert non_centrality() == pytest.approx(4.13, abs=0.005)
    # Three standard deviations of a share of 0.8 among 600.
    assert share == pytest.approx(0.80, abs=3 * np.sqrt(0.8 * 0.2 / 600))


def _tape_test(document):
    entry = measure(document).elevations[0]
    reports = entry.solution.reliability.references
    return next(r.size for r in reports if r.kind == "distance")


def test_covariance_agrees_with_monte_carlo():
    """First-order covariance of lengths against 2,000 redrawn jobs of one view.

    JCGM 101:2008, clause 8, compares the end points of the intervals; here the
    standard deviations agree within the Monte Carlo's own three standard deviations
    and the correlation of two eaves within 0.05.
    """
    runs = 2000
    lengths = np.array([_redrawn(seed) for seed in range(runs)])
    scene = random_house(6, Noise.none())
    entry = measure(scene.job()).elevations[0]
    u = np.array([line.u_mm for line in entry.measured])
    sd = lengths.std(axis=0, ddof=1)

    assert sd == pytest.approx(u, rel=3.0 / np.sqrt(2 * runs))
    stacked = np.stack(
        [line.length.factor[0, : len(entry.solution.inputs)] for line in entry.measured]
    )
    expected = stacked[0] @ stacked[3] / (u[0] * u[3])
    assert np.corrcoef(lengths.T)[0, 3] == pytest.approx(expected, abs=0.05)


def _redrawn(draw):
    """Measure the view of house 6 with errors drawn anew; deviations from truth."""
    scene = random_house(6, Noise(), draw=draw)
    entry = measure(scene.job()).elevations[0]
    return [line.length_mm - scene.truth[line.name] for line in entry.measured]
