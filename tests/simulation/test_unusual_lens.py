"""A lens far from what phones have is found, not mistaken for wrong references."""

import numpy as np
import pytest

from calibration.camera import CameraUnknown
from photomeasure.results import MeasuredElevation
from tests.scenes import Noise
from tests.simulation.houses import MIXES, random_house
from tests.simulation.runs import measure

pytestmark = pytest.mark.statistics

SEEDS = range(MIXES.index("everything"), 7 * 40, 7)


@pytest.mark.parametrize("k1", [-0.2, -0.1, 0.1])
def test_references_show_an_unusual_lens(k1):
    """Barrel or pincushion of several per cent: test passed, lengths covered, k1 found."""
    scores, lens_scores = [], []
    for seed in SEEDS:
        scene = random_house(seed, Noise(), k1=k1)
        entry = measure(scene.job()).elevations[0]

        assert isinstance(entry, MeasuredElevation)
        assert entry.solution.reliability.passed
        scores += [
            (line.length_mm - scene.truth[line.name]) / line.u_mm for line in entry.measured
        ]
        variance = entry.solution.adjustment.covariance[CameraUnknown.K1, CameraUnknown.K1]
        lens_scores.append((entry.solution.camera.k1 - k1) / np.sqrt(variance))

    assert np.mean(np.abs(scores) < 1.96) >= 0.92
    # Where the prior was kept its pull is part of the score; freed lenses score one.
    assert np.sqrt(np.mean(np.square(lens_scores))) < 2.0
