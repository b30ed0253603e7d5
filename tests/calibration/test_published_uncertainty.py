"""Published worked examples of the GUM, and two independent engines beside ours.

Sources:

* GUM: JCGM 100:2008, annex H. Inputs and results of H.1 and H.2 as in the examples of
  GTC (github MSLNZ/GTC, docs/API/GUM_H1.rst, GUM_H2.rst); the raw rows of H.2 and all
  of H.3 from memory, recomputed.
* JCGM 101:2008, clauses 8 and 9.2, from memory, recomputed with 2e6 draws.
* NIST: Possolo (2013), docslib.org/doc/13221200, area of a circle.
"""

import GTC
import numpy as np
import pytest
import uncertainties
from uncertainties import umath

from calibration.arrays import FloatArray
from calibration.uncertain import Input, Uncertain, stack
from photomeasure.lengths import pitch, segment_lengths
from photomeasure.results import interval95

SAME_ENGINE = 1e-12  # relative; two first-order engines differ by rounding only


def independent(**quantities: tuple[float, float]) -> Uncertain:
    """Return independent quantities given as name = (value, standard uncertainty)."""
    values, u = np.array(list(quantities.values())).T
    inputs = tuple(Input(name, name, is_model=False) for name in quantities)
    return Uncertain(values, np.diag(u), inputs)


def correlation(results: Uncertain, i: int, j: int) -> float:
    """Return the correlation coefficient of two results."""
    return float(results.covariance[i, j] / (results.u[i] * results.u[j]))


# --- GUM H.1: end gauge, nanometres ---------------------------------------------------

NOMINAL_NM = 50_000_623.0
ALPHA = 11.5e-6  # per kelvin
MEAN_TEMPERATURE = -0.1  # kelvin from 20 degrees


def end_gauge() -> Uncertain:
    """Return the length of the end gauge of H.1, equation (H.3)."""
    given = independent(
        standard=(NOMINAL_NM, 25.0),
        comparator=(215.0, 5.8),
        random=(0.0, 3.9),
        systematic=(0.0, 6.7),
        expansion_difference=(0.0, 1e-6 / np.sqrt(3.0)),
        temperature_difference=(0.0, 0.05 / np.sqrt(3.0)),
    )
    length = NOMINAL_NM + 215.0
    slopes = [1.0, 1.0, 1.0, 1.0, -NOMINAL_NM * MEAN_TEMPERATURE, -NOMINAL_NM * ALPHA]
    return given.mapped(np.array([length]), np.array([slopes]))


def test_end_gauge_length_and_uncertainty():
    """50 000 838 nm with a combined standard uncertainty of 32 nm (GUM H.1.6)."""
    length = end_gauge()

    assert length.values[0] == 50_000_838.0
    assert length.u[0] == pytest.approx(32.0, abs=0.5)  # printed in whole nanometres


def test_end_gauge_budget_lists_the_published_components():
    """25, 16.6, 6.7, 5.8, 3.9 and 2.9 nm, largest first (GUM table H.1)."""
    budget = end_gauge().budget()

    published = [25.0, 16.6, 6.7, 5.8, 3.9, 2.9]
    np.testing.assert_allclose(list(budget.values()), published, atol=0.05)
    assert next(iter(budget)) == "standard"


# --- GUM H.2: resistance and reactance, correlated ------------------------------------

VOLTS = np.array([5.007, 4.994, 5.005, 4.990, 4.999])
AMPERES = np.array([19.663, 19.639, 19.640, 19.685, 19.678]) * 1e-3
RADIANS = np.array([1.0456, 1.0438, 1.0468, 1.0428, 1.0433])


def mean_of(readings: FloatArray) -> Uncertain:
    """Return a mean whose inputs are the five joint readings, shared by all means."""
    count = len(readings)
    inputs = tuple(Input(f"reading {i}", "readings", is_model=False) for i in range(count))
    share = (readings - readings.mean()) / np.sqrt(count * (count - 1))
    return Uncertain(np.array([readings.mean()]), share[None], inputs)


def impedance() -> Uncertain:
    """Return R, X and Z of H.2, equations (H.7)."""
    given = stack([mean_of(VOLTS), mean_of(AMPERES), mean_of(RADIANS)])
    V, current, phi = given.values
    Z, c, s = V / current, np.cos(phi), np.sin(phi)
    jacobian = np.array(
        [
            [c / current, -Z * c / current, -Z * s],
            [s / current, -Z * s / current, Z * c],
            [1.0 / current, -Z / current, 0.0],
        ]
    )
    return given.mapped(np.array([Z * c, Z * s, Z]), jacobian)


def test_stacked_means_of_joint_readings_keep_their_correlation():
    """-0.36, 0.86 and -0.65 between V, I and phi (GUM table H.2), by shared keys."""
    given = stack([mean_of(VOLTS), mean_of(AMPERES), mean_of(RADIANS)])

    assert len(given.inputs) == 5
    np.testing.assert_allclose(given.u, [3.2e-3, 9.5e-6, 7.5e-4], rtol=0.01)
    found = [correlation(given, *pair) for pair in ((0, 1), (0, 2), (1, 2))]
    np.testing.assert_allclose(found, [-0.36, 0.86, -0.65], atol=0.006)


def test_impedance_values_and_uncertainties():
    """R 127.732(71), X 219.847(295), Z 254.260(236) ohm (GUM table H.3)."""
    found = impedance()

    np.testing.assert_allclose(found.values, [127.732, 219.847, 254.260], atol=5e-4)
    np.testing.assert_allclose(found.u, [0.071, 0.295, 0.236], atol=6e-4)


def test_impedance_correlations():
    """-0.588, -0.485 and 0.993 (GUM table H.3; the third digit from memory)."""
    found = impedance()

    r = [correlation(found, *pair) for pair in ((0, 1), (0, 2), (1, 2))]
    np.testing.assert_allclose(r, [-0.588, -0.485, 0.993], atol=6e-4)


# --- GUM H.3: calibration line of a thermometer ---------------------------------------

DEGREES = np.array(
    [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511]
)
CORRECTIONS = -1e-3 * np.array([171, 169, 166, 159, 164, 165, 156, 157, 159, 161, 160])


def thermometer_line() -> tuple[Uncertain, float]:
    """Return intercept and slope about 20 degrees, and the scatter of one correction."""
    design = np.c_[np.ones(len(DEGREES)), DEGREES - 20.0]
    gain = np.linalg.pinv(design)
    misfit = CORRECTIONS - design @ gain @ CORRECTIONS
    scatter = float(np.sqrt(misfit @ misfit / (len(DEGREES) - 2)))
    inputs = tuple(Input(f"point {i}", "points", is_model=False) for i in range(11))
    return Uncertain(CORRECTIONS, scatter * np.eye(11), inputs).linear(gain), scatter


def test_thermometer_line_and_its_correlation():
    """-0.1712(29), 0.00218(67), r = -0.930, s = 0.0035 degrees (GUM H.3.3)."""
    line, scatter = thermometer_line()

    assert scatter == pytest.approx(0.0035, abs=5e-5)
    assert line.values[0] == pytest.approx(-0.1712, abs=5e-5)
    assert line.values[1] == pytest.approx(0.00218, abs=5e-6)
    assert line.u[0] == pytest.approx(0.0029, abs=5e-5)
    assert line.u[1] == pytest.approx(0.00067, abs=5e-6)
    assert correlation(line, 0, 1) == pytest.approx(-0.930, abs=5e-4)


def test_thermometer_prediction_keeps_the_correlation():
    """-0.1494(41) degrees at 30 degrees (GUM H.3.4), less than without correlation."""
    line, _ = thermometer_line()
    predicted = line.linear(np.array([[1.0, 10.0]]))

    assert predicted.values[0] == pytest.approx(-0.1494, abs=5e-5)
    assert predicted.u[0] == pytest.approx(0.0041, abs=5e-5)


# --- JCGM 101, the GUM column; NIST ---------------------------------------------------


@pytest.mark.parametrize(
    ("u_last", "u_sum", "half_width", "digits"),
    [(1.0, 2.00, 3.92, 0.005), (10.0, 10.1, 19.9, 0.05)],
    ids=["JCGM 101 9.2.3", "JCGM 101 9.2.4"],
)
def test_sum_of_four_rectangular_inputs(u_last, u_sum, half_width, digits):
    """The GUM column of the additive model's tables: u, and 1.96 u either way."""
    given = independent(x1=(0, 1.0), x2=(0, 1.0), x3=(0, 1.0), x4=(0, u_last))
    total = given.linear(np.ones((1, 4)))
    low, high = interval95(float(total.values[0]), float(total.u[0]))

    assert total.u[0] == pytest.approx(u_sum, abs=digits)
    assert (low, high) == pytest.approx((-half_width, half_width), abs=digits)


def test_area_of_a_circle():
    """25.447 m^2 with u 0.0894 m^2 for a radius of 2.8461(50) m (NIST)."""
    radius = independent(radius=(2.8461, 0.005))
    area = radius.mapped(np.array([np.pi * 2.8461**2]), np.array([[2 * np.pi * 2.8461]]))

    assert area.values[0] == pytest.approx(25.447, abs=0.001)  # its last digit is 25.4477
    assert area.u[0] == pytest.approx(0.0894, abs=5e-5)


# --- Two other engines ----------------------------------------------------------------


def test_gtc_agrees_on_the_end_gauge():
    """GTC's own differentiation of equation (H.3) gives the same combined uncertainty."""
    standard = GTC.ureal(NOMINAL_NM, 25.0)
    difference = GTC.ureal(215.0, 5.8) + GTC.ureal(0.0, 3.9) + GTC.ureal(0.0, 6.7)
    expansion = GTC.ureal(0.0, 1e-6 / np.sqrt(3.0))
    warmth = GTC.ureal(0.0, 0.05 / np.sqrt(3.0))
    # Terms of the comparison in H.1.2 whose coefficient is zero are left out by both.
    theirs = (
        standard + difference - standard * (expansion * MEAN_TEMPERATURE + ALPHA * warmth)
    )

    ours = end_gauge()
    assert ours.values[0] == pytest.approx(theirs.x, rel=SAME_ENGINE)
    assert ours.u[0] == pytest.approx(theirs.u, rel=SAME_ENGINE)


def test_gtc_agrees_on_the_impedance_as_random_variables():
    """GTC, fed with the covariance of the means, finds our covariance of R, X and Z."""
    given = stack([mean_of(VOLTS), mean_of(AMPERES), mean_of(RADIANS)])
    # Degrees of freedom must be infinite or joint for correlated inputs in GTC.
    V, current, phi = GTC.multiple_ureal(given.values, given.u, np.inf)
    for a, b, pair in ((V, current, (0, 1)), (V, phi, (0, 2)), (current, phi, (1, 2))):
        GTC.set_correlation(correlation(given, *pair), a, b)
    R, X, Z = V / current * GTC.cos(phi), V / current * GTC.sin(phi), V / current

    theirs = [[GTC.get_covariance(a, b) for a in (R, X, Z)] for b in (R, X, Z)]
    np.testing.assert_allclose(impedance().covariance, theirs, rtol=1e-9)


ROOF_MM = np.array([0.0, 0.0, 3900.0, 20.0, 6100.0, 2400.0])


def roof() -> Uncertain:
    """Return three traced points with one common scale and a scatter of their own."""
    rng = np.random.default_rng(11)
    factor = np.c_[ROOF_MM * 0.004, rng.normal(0.0, 3.0, (6, 7))]
    inputs = tuple(Input(str(i), str(i), is_model=i == 0) for i in range(8))
    return Uncertain(ROOF_MM, factor, inputs)


def test_uncertainties_agrees_on_lengths_and_pitch_as_random_variables():
    """Automatic differentiation finds the joint covariance of segments and pitch."""
    ours = stack([segment_lengths(roof()), pitch(roof())])
    xy = uncertainties.correlated_values(roof().values, roof().covariance)
    theirs = [
        umath.hypot(xy[2] - xy[0], xy[3] - xy[1]),
        umath.hypot(xy[4] - xy[2], xy[5] - xy[3]),
        umath.atan2(xy[5] - xy[1], xy[4] - xy[0]),
    ]

    joint = np.array(uncertainties.covariance_matrix(theirs))
    np.testing.assert_allclose(ours.values, [t.nominal_value for t in theirs])
    # Their covariance went through an eigenvalue decomposition.
    np.testing.assert_allclose(ours.covariance, joint, rtol=1e-9, atol=1e-12)


def test_a_quantity_less_itself_is_certain():
    """The same length reached by two ways differs by zero with no uncertainty at all."""
    segments = segment_lengths(roof())
    total = segments.linear(np.ones((1, 2)))
    both = stack([total, segments[0], segments[1]])
    difference = both.linear(np.array([[1.0, -1.0, -1.0]]))

    assert difference.values[0] == pytest.approx(0.0, abs=1e-9)
    assert difference.u[0] == pytest.approx(0.0, abs=1e-12)


def test_equal_numbers_from_different_inputs_are_not_the_same_quantity():
    """Two readings of 100(3) taken apart differ by 0 with u = 3 sqrt 2."""
    both = stack([independent(first=(100.0, 3.0)), independent(second=(100.0, 3.0))])
    difference = both.linear(np.array([[1.0, -1.0]]))

    assert difference.u[0] == pytest.approx(3.0 * np.sqrt(2.0))
