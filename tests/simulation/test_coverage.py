"""The uncertainties are true: coverage and size of the residuals, by simulation.

Sizes: with 2,520 jobs of four correlated lengths (worth about 4,000 independent ones)
a true coverage of 95 % is estimated to +-0.35 %, so 94 to 96 % is three standard
deviations wide. The seeds are fixed; the bounds are the aims, not what came out.
"""

import numpy as np
import pytest

from calibration.snooping import critical_value
from tests.simulation.runs import outcome

pytestmark = pytest.mark.statistics

JOBS = 2520


def test_intervals_cover_95_percent_when_the_model_is_right():
    """More than 10,000 lengths of seven reference mixes lie in their intervals."""
    found = outcome("model", JOBS)

    assert len(found.error_mm) >= 10_000
    assert 0.94 <= found.coverage <= 0.96


def test_hardly_any_faultless_job_is_refused():
    """Fewer than one job in 200 meets a refusal, and never for its input."""
    found = outcome("model", JOBS)

    assert len(found.refused) <= JOBS / 200
    assert not any("lines[" in reason for reason in found.refused)


def test_variance_factor_is_one_on_average():
    """The weighted squares are what their degrees of freedom promise.

    The bound allows for the wide usual overhang of soffits, which the scenes draw
    from a narrower range than the prior states.
    """
    found = outcome("model", JOBS)

    assert 0.88 <= found.variance_factors.mean() <= 1.02
    assert found.failed_global <= 0.015 * JOBS


def test_faultless_sizes_are_suspected_at_the_stated_rate():
    """Standardised residuals of sizes are standard normal."""
    w = outcome("model", JOBS).size_w

    assert len(w) > 3000
    assert np.std(w) == pytest.approx(1.0, abs=0.05)
    assert np.mean(np.abs(w) > critical_value(0.05)) == pytest.approx(0.05, abs=0.015)
