"""The uncertainties stay true without camera data and with the errors of real life."""

import pytest

from tests.simulation.runs import outcome

pytestmark = pytest.mark.statistics


def test_intervals_cover_without_camera_data():
    """Pictures that a messenger stripped of their data are measured as honestly."""
    found = outcome("no camera data", 1050)

    assert 0.93 <= found.coverage <= 0.97


@pytest.mark.parametrize("kind", ["cut", "cut, focal length kept"])
def test_intervals_cover_on_pictures_that_somebody_cut(kind):
    """The middle of the lens may then lie anywhere; few faultless jobs are refused."""
    found = outcome(kind, 420)

    assert 0.93 <= found.coverage <= 0.98
    assert len(found.refused) <= 420 / 50


def test_intervals_still_cover_with_the_errors_of_real_life():
    """A leaning wall, wandering gauge, odd lens and clumsy picks leave 93 %."""
    found = outcome("real life", 1050)

    assert found.coverage >= 0.93
    assert found.median_half_width <= 0.012
