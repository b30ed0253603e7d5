"""Lengths are as good as the picks allow: Cramer-Rao bound, and exact without noise."""

import numpy as np
import pytest

from photomeasure.results import MeasuredElevation, MeasuredLine
from tests.scenes import Noise
from tests.simulation.houses import MIXES, random_house
from tests.simulation.runs import measure

pytestmark = pytest.mark.statistics


def test_lengths_reach_the_cramer_rao_bound():
    """Errors are within 5 % of the bound that noise-free twins of the jobs state."""
    squares = []
    for seed in range(700):
        scene = random_house(seed, Noise())
        noisy = measure(scene.job()).elevations[0]
        bound = measure(random_house(seed, Noise.none()).job()).elevations[0]
        if isinstance(noisy, MeasuredElevation) and isinstance(bound, MeasuredElevation):
            squares += [
                ((line.length_mm - scene.truth[line.name]) / best.u_mm) ** 2
                for line, best in zip(noisy.lines, bound.lines, strict=True)
                if isinstance(line, MeasuredLine) and isinstance(best, MeasuredLine)
            ]

    assert len(squares) > 2700
    assert np.sqrt(np.mean(squares)) <= 1.05


def test_without_noise_lengths_are_exact():
    """A job without any error gives the true lengths to a hundredth of a millimetre.

    Its soffit is left out: the usual overhang of one is no error but a wide prior,
    which pulls a little wherever the scenes draw another.
    """
    for seed in range(len(MIXES)):
        scene = random_house(seed, Noise.none())
        scene.document["soffits"] = []
        entry = measure(scene.job()).elevations[0]

        assert isinstance(entry, MeasuredElevation)
        stated = [line for line in entry.measured if not line.trace.hanging.assumed]
        assert len(stated) == 3
        for line in stated:
            assert line.length_mm == pytest.approx(scene.truth[line.name], abs=0.01)
