"""Linear forms in shared inputs: propagation, budget and weighted mean."""

import numpy as np
import pytest

from calibration.arrays import FloatArray
from calibration.uncertain import Input, Uncertain, stack, weighted_mean
from photomeasure.lengths import pitch, segment_lengths
from photomeasure.results import interval95

DRAWS = 2_000_000
"""Twice what JCGM 101, 7.2.2 takes, so that the ends of a simulated interval scatter
by less than a quarter of the tolerance of two digits."""

DIGITS = 2
"""Significant digits of a standard uncertainty that count."""


def made(values: list[float], factor: FloatArray, *, model: int = 0) -> Uncertain:
    """Return results whose first ``model`` inputs are model errors."""
    count = factor.shape[1]
    inputs = tuple(Input(f"e{i}", f"label {i}", is_model=i < model) for i in range(count))
    return Uncertain(np.array(values), factor, inputs)


def numerical_tolerance(u: float) -> float:
    """Return half a unit of the last significant digit of ``u`` (JCGM 101, 7.9.2)."""
    return 0.5 * 10.0 ** (np.floor(np.log10(u)) - DIGITS + 1)


def simulated95(draws: FloatArray) -> FloatArray:
    """Return the probabilistically symmetric 95 % interval of draws (JCGM 101, 7.7)."""
    return np.quantile(draws, [0.025, 0.975])


def points(
    values: list[float], sd: float, count: int = DRAWS
) -> tuple[Uncertain, FloatArray]:
    """Return coordinates with a common and an own part, and draws of them."""
    size = len(values)
    factor = np.c_[0.6 * sd * np.ones(size), 0.8 * sd * np.eye(size)]
    rng = np.random.default_rng(101)
    draws = np.array(values) + rng.standard_normal((count, size + 1)) @ factor.T
    return made(values, factor), draws


def test_length_interval_is_validated_by_simulation():
    """First order holds for a 4.6 m line known to 6 mm: both ends within the tolerance."""
    coordinates, draws = points([100.0, 200.0, 4000.0, 2700.0], 6.0)
    length = segment_lengths(coordinates)
    steps = draws[:, 2:] - draws[:, :2]
    low, high = interval95(float(length.values[0]), float(length.u[0]))
    simulated = simulated95(np.hypot(steps[:, 0], steps[:, 1]))

    tolerance = numerical_tolerance(float(length.u[0]))
    assert np.abs(simulated - [low, high]).max() <= tolerance


def test_pitch_interval_is_validated_by_simulation():
    """First order holds for the pitch of the same line."""
    coordinates, draws = points([100.0, 200.0, 4000.0, 2700.0], 6.0)
    angle = pitch(coordinates)
    steps = draws[:, 2:] - draws[:, :2]
    low, high = interval95(float(angle.values[0]), float(angle.u[0]))
    simulated = simulated95(np.arctan2(np.abs(steps[:, 1]), np.abs(steps[:, 0])))

    tolerance = numerical_tolerance(float(angle.u[0]))
    assert np.abs(simulated - [low, high]).max() <= tolerance


def test_validation_refuses_a_line_as_short_as_its_uncertainty():
    """The check above can fail: a 10 mm line known to 6 mm has no symmetric interval."""
    coordinates, draws = points([0.0, 0.0, 8.0, 6.0], 6.0, count=DRAWS // 10)
    length = segment_lengths(coordinates)
    steps = draws[:, 2:] - draws[:, :2]
    low, high = interval95(float(length.values[0]), float(length.u[0]))
    simulated = simulated95(np.hypot(steps[:, 0], steps[:, 1]))

    tolerance = numerical_tolerance(float(length.u[0]))
    assert np.abs(simulated - [low, high]).max() > 10.0 * tolerance


def test_budget_squares_add_up_to_the_variance():
    """Labels partition the inputs, so their squares are the whole."""
    rng = np.random.default_rng(5)
    inputs = tuple(Input(f"e{i}", f"label {i % 3}", is_model=False) for i in range(8))
    results = Uncertain(np.zeros(2), rng.normal(size=(2, 8)), inputs)

    for row in range(2):
        budget = results.budget(row)
        assert len(budget) == 3
        assert sum(part**2 for part in budget.values()) == pytest.approx(
            results.u[row] ** 2
        )
        assert list(budget.values()) == sorted(budget.values(), reverse=True)


def test_model_part_and_picking_part_make_the_whole():
    """3 of the model and 4 of the picks make 5."""
    results = made([0.0], np.array([[3.0, 4.0]]), model=1)

    assert results.u_model()[0] == pytest.approx(3.0)
    assert results.u[0] == pytest.approx(5.0)


def test_common_scale_does_not_average_out():
    """Four runs on one scale: the total's relative uncertainty is that of one run."""
    runs = np.array([1000.0, 2000.0, 3000.0, 4000.0])
    one_scale = made(runs.tolist(), 0.01 * runs[:, None])
    four_scales = made(runs.tolist(), 0.01 * np.diag(runs))

    add = np.ones((1, 4))
    assert one_scale.linear(add).u[0] == pytest.approx(100.0)
    assert four_scales.linear(add).u[0] == pytest.approx(np.sqrt(30.0) * 10.0)


def test_stack_keeps_order_and_shares_columns():
    """Covariance between stacked parts comes from equal keys alone."""
    a = made([1.0, 2.0], np.array([[1.0, 0.0], [1.0, 2.0]]))
    other = (Input("e1", "label 1", is_model=False), Input("x", "x", is_model=False))
    b = Uncertain(np.array([3.0]), np.array([[5.0, 7.0]]), other)
    both = stack([a, b])

    np.testing.assert_array_equal(both.values, [1.0, 2.0, 3.0])
    assert [source.key for source in both.inputs] == ["e0", "e1", "x"]
    np.testing.assert_allclose(both.covariance[2], [0.0, 10.0, 74.0])


def test_stack_of_nothing_is_nothing():
    """No parts make no results and no inputs."""
    empty = stack([])

    assert len(empty) == 0
    assert empty.inputs == ()


def test_slicing_keeps_the_inputs():
    """A part of the results still correlates with the rest."""
    results = made([1.0, 2.0, 3.0], np.arange(6.0).reshape(3, 2))

    assert results[1:].inputs == results.inputs
    np.testing.assert_array_equal(results[[2, 0]].values, [3.0, 1.0])
    np.testing.assert_array_equal(results[-1].factor, [[4.0, 5.0]])


def test_scaled_multiplies_every_uncertainty():
    """Values stay, covariance grows by the square."""
    results = made([1.0, 2.0], np.array([[1.0, 2.0], [0.0, 3.0]]))

    np.testing.assert_allclose(results.scaled(2.0).covariance, 4.0 * results.covariance)
    np.testing.assert_array_equal(results.scaled(2.0).values, results.values)


def test_mean_of_independent_results_weighs_by_variance():
    """(10 / 1 + 20 / 4) / (1 / 1 + 1 / 4) = 12, with variance 1 / (1 + 1 / 4)."""
    mean = weighted_mean(made([10.0, 20.0], np.diag([1.0, 2.0])))

    assert mean.values[0] == pytest.approx(12.0)
    assert mean.u[0] == pytest.approx(np.sqrt(0.8))


def test_mean_of_correlated_results_is_the_textbook_one():
    """Two results with correlation: Lyons, Gibaut and Clifford (1988), from memory.

    Weight of the first is (s2^2 - r s1 s2) / (s1^2 + s2^2 - 2 r s1 s2) and the
    variance s1^2 s2^2 (1 - r^2) over the same.
    """
    s1, s2, r = 3.0, 5.0, 0.4
    factor = np.array([[s1, 0.0], [r * s2, s2 * np.sqrt(1.0 - r**2)]])
    mean = weighted_mean(made([100.0, 130.0], factor))

    below = s1**2 + s2**2 - 2.0 * r * s1 * s2
    first = (s2**2 - r * s1 * s2) / below
    assert mean.values[0] == pytest.approx(first * 100.0 + (1.0 - first) * 130.0)
    assert mean.u[0] == pytest.approx(np.sqrt(s1**2 * s2**2 * (1.0 - r**2) / below))


def test_mean_of_one_error_seen_twice_is_no_better():
    """Two photos that share their only error: the plain mean, and nothing gained."""
    mean = weighted_mean(made([100.0, 104.0], np.array([[2.0], [2.0]])))

    assert mean.values[0] == pytest.approx(102.0)
    assert mean.u[0] == pytest.approx(2.0)


def test_mean_of_one_error_seen_unequally_leans_to_the_smaller():
    """Fully correlated, 1 mm and 2 mm: never worse than the plain mean's 1.5 mm."""
    mean = weighted_mean(made([100.0, 104.0], np.array([[1.0], [2.0]])))

    assert mean.u[0] <= 1.5


@pytest.mark.parametrize("seed", range(20))
def test_mean_lies_between_its_measurements(seed: int):
    """Whatever the correlation, the combination never leaves the measurements' range."""
    rng = np.random.default_rng(seed)
    common = rng.uniform(1.0, 10.0, (3, 1))
    factor = np.c_[common, np.diag(rng.uniform(0.01, 1.0, 3))]
    values = rng.normal(1000.0, 10.0, 3)
    mean = weighted_mean(made(values.tolist(), factor))

    assert values.min() - 1e-9 <= mean.values[0] <= values.max() + 1e-9
    assert mean.u[0] <= max(np.hypot(common[:, 0], np.diag(factor[:, 1:]))) + 1e-9


def test_a_certain_measurement_takes_all_the_weight():
    """One value without uncertainty is the answer, whatever an uncertain one says."""
    mean = weighted_mean(made([100.0, 110.0], np.diag([0.0, 3.0])))

    assert mean.values[0] == pytest.approx(100.0)
    assert mean.u[0] == pytest.approx(0.0, abs=1e-6)


def test_mean_of_certain_values_is_the_plain_mean():
    """No uncertainty anywhere leaves nothing to weigh with."""
    mean = weighted_mean(made([1.0, 3.0], np.zeros((2, 1))))

    assert mean.values[0] == 2.0
    assert mean.u[0] == 0.0


@pytest.mark.parametrize(
    ("values", "factor", "reason"),
    [
        ([1.0], np.zeros((2, 1)), "one row too many"),
        ([1.0], np.zeros((1, 3)), "columns without inputs"),
        ([np.nan], np.zeros((1, 2)), "no value"),
        ([1.0], np.full((1, 2), np.inf), "infinite uncertainty"),
    ],
)
def test_malformed_results_cannot_exist(values, factor, reason):
    """Shapes and finiteness are checked where a result is made."""
    inputs = tuple(Input(str(i), reason, is_model=False) for i in range(2))

    with pytest.raises(ValueError, match="expected finite numbers"):
        Uncertain(np.array(values), factor, inputs)
