"""Levelling circuits with published answers, through the adjustment of photographs.

Sources, addresses as published:

* Mahun: jerrymahun.com, Open Access Surveying Library, adjustment chapters, pages
  ``232-chapter-b?start=1``, ``234-chapter-d-matrix-method?start=3`` and
  ``235-chapter-e-weights?start=3``. Feet. The benchmarks stand in a figure there; they
  are deduced from the printed adjusted differences and confirmed by the residuals.
* Gama: vrmapper.com/gama/1doutput.html, GNU Gama's one-dimensional sample. Metres.
* Baarda's constants: textbook values, from memory, which agree with the normal
  distribution.
"""

import numpy as np
import pytest

from calibration.errors import DegenerateGeometry
from calibration.snooping import critical_value, non_centrality
from tests.calibration.levelling import Adjusted, adjust_circuit

A, B, C, D = 806.52, 818.32, 820.12, 824.04
MAHUN = [
    (A, "Q", 8.91),
    (B, "Q", -2.92),
    (C, "Q", -4.67),
    (D, "Q", -8.66),
    (A, "R", -3.56),
    (C, "R", -17.12),
    (D, "R", -21.10),
    ("Q", "R", -12.47),
]
SETUPS = np.array([3, 2, 1, 3, 3, 4, 2, 3])

BENCHMARK = 1000.0
GAMA = [
    (BENCHMARK, "4", -1.225),
    ("4", "3", -0.848),
    ("3", "2", 1.342),
    ("2", BENCHMARK, 0.720),
    (BENCHMARK, "2", -0.724),
    ("2", "3", -1.335),
    ("3", "4", 0.842),
    ("4", BENCHMARK, 1.231),
]
GAMA_SD = 0.005

LAST_DIGIT_FT = 0.0005  # the pages print thousandths of a foot
ROUNDED_ON_THE_WAY_FT = 0.0015  # Mahun rounds S0 and cofactors before the last step
EXACT = 1e-9  # fractions worked out by hand; only rounding of float64 remains
NORMAL_DIGITS = 0.005  # constants printed with two decimals


def equal_weights() -> Adjusted:
    """Adjust Mahun's circuit with unit standard deviations."""
    return adjust_circuit(MAHUN, np.ones(8))


def weighted() -> Adjusted:
    """Adjust it with weights twelve over the number of set-ups, as the page does."""
    return adjust_circuit(MAHUN, np.sqrt(SETUPS / 12.0))


def gama() -> Adjusted:
    """Adjust GNU Gama's circuit."""
    return adjust_circuit(GAMA, np.full(8, GAMA_SD))


def test_equal_weights_give_the_published_heights():
    """Q 815.418 and R 802.962 ft with six degrees of freedom (Mahun, chapter D)."""
    circuit = equal_weights()

    assert circuit.degrees_of_freedom == 6
    assert circuit.heights["Q"] == pytest.approx(815.418, abs=LAST_DIGIT_FT)
    assert circuit.heights["R"] == pytest.approx(802.962, abs=LAST_DIGIT_FT)


def test_equal_weights_give_the_published_spread():
    """S0 0.028, Q +-0.013, R +-0.014 ft (Mahun, chapter D, rounded on the way)."""
    circuit = equal_weights()
    s0 = np.sqrt(circuit.variance_factor)

    assert s0 == pytest.approx(0.028, abs=ROUNDED_ON_THE_WAY_FT)
    assert s0 * circuit.sds["Q"] == pytest.approx(0.013, abs=ROUNDED_ON_THE_WAY_FT)
    assert s0 * circuit.sds["R"] == pytest.approx(0.014, abs=ROUNDED_ON_THE_WAY_FT)


def test_redundancy_numbers_are_the_exact_fractions():
    """15, 14 and 12 nineteenths, by hand from the normal equations [[5, -1], [-1, 4]]."""
    redundancy = [report.redundancy for report in equal_weights().reports]

    exact = np.array([15, 15, 15, 15, 14, 14, 14, 12]) / 19.0
    np.testing.assert_allclose(redundancy, exact, atol=EXACT)


def test_redundancy_numbers_add_up_to_the_degrees_of_freedom():
    """The trace of the residuals' cofactor is the redundancy of the whole circuit."""
    circuit = weighted()

    total = sum(report.redundancy for report in circuit.reports)
    assert total == pytest.approx(circuit.degrees_of_freedom, abs=EXACT)


def test_largest_standardised_residual_is_the_sixth():
    """1.52 times S0 for C to R: computed from the residuals printed by Mahun."""
    circuit = equal_weights()
    s0 = np.sqrt(circuit.variance_factor)
    w = [abs(report.worst.w) / s0 for report in circuit.reports]

    assert int(np.argmax(w)) == 5
    assert max(w) == pytest.approx(1.52, abs=NORMAL_DIGITS)


def test_without_the_tie_the_heights_are_plain_averages():
    """Q 815.415, R 802.967, S0 0.0309 ft without the run from Q to R (chapter B)."""
    circuit = adjust_circuit(MAHUN[:7], np.ones(7))

    assert circuit.heights["Q"] == pytest.approx(815.415, abs=LAST_DIGIT_FT)
    assert circuit.heights["R"] == pytest.approx(802.967, abs=LAST_DIGIT_FT)
    assert circuit.sum_of_squares == pytest.approx(0.002900 + 0.001867, abs=1e-6)
    assert np.sqrt(circuit.variance_factor) == pytest.approx(0.0309, abs=5e-5)


def test_weights_by_set_ups_give_the_published_heights():
    """815.424 +-0.012, 802.958 +-0.016, S0 0.067 ft (Mahun, chapter E)."""
    circuit = weighted()
    s0 = np.sqrt(circuit.variance_factor)

    found = [*circuit.heights.values(), s0 * circuit.sds["Q"], s0 * circuit.sds["R"], s0]
    published = [815.424, 802.958, 0.012, 0.016, 0.067]
    np.testing.assert_allclose(found, published, rtol=0.0, atol=ROUNDED_ON_THE_WAY_FT)


def test_gama_heights_to_every_printed_digit():
    """Heights of points 4, 3 and 2 as GNU Gama prints them, to a hundredth of a mm."""
    heights = gama().heights

    found = [heights["4"], heights["3"], heights["2"]]
    np.testing.assert_allclose(
        found, [998.77513, 997.93325, 999.27487], rtol=0.0, atol=5.1e-6
    )


def test_gama_sums_and_spreads():
    """[pvv] 146.625 in mm^2, m0' 5.42 mm, spreads 3.1, 3.5, 3.1 mm at sigma 5 mm."""
    circuit = gama()

    spreads_mm = [1e3 * circuit.sds[name] for name in ("4", "3", "2")]
    assert circuit.sum_of_squares * 5.0**2 == pytest.approx(146.625, abs=5e-4)
    assert np.sqrt(circuit.variance_factor) * 5.0 == pytest.approx(5.42, abs=0.005)
    np.testing.assert_allclose(spreads_mm, [3.1, 3.5, 3.1], atol=0.05)


def test_gama_largest_normalised_residual():
    """1.68 at the sixth run, below 1.96: no run is suspected."""
    reports = gama().reports
    w = [abs(report.worst.w) for report in reports]

    assert int(np.argmax(w)) == 5
    assert max(w) == pytest.approx(1.68, abs=NORMAL_DIGITS)
    assert not any(report.suspect for report in reports)


def test_gama_passes_the_global_test():
    """m0'/m0 lies in the 95 % band 0.408 to 1.602 of five degrees (Gama manual 5.4)."""
    circuit = gama()

    assert 0.408 < np.sqrt(circuit.variance_factor) < 1.602
    assert 0.025 < circuit.global_probability < 0.975


def test_band_of_the_global_test_is_the_published_one():
    """A circuit whose m0'/m0 is 1.602 has a chance of 2.5 % at five degrees."""
    stretched = adjust_circuit(GAMA, np.full(8, GAMA_SD * 5.42 / 5.0 / 1.602))

    assert stretched.global_probability == pytest.approx(0.025, abs=5e-4)


def test_smallest_findable_error_of_the_gama_runs():
    """4.13 x 5 mm / sqrt(0.625) = 26.1 mm for each run (Baarda, from memory)."""
    reports = gama().reports

    smallest_mm = [1e3 * report.worst.smallest_found for report in reports]
    assert [report.worst.checked for report in reports] == pytest.approx([0.625] * 8)
    np.testing.assert_allclose(smallest_mm, 26.1, atol=0.05)


@pytest.mark.parametrize("run", range(8))
def test_a_blunder_of_ten_sigmas_is_found_where_it_was_made(run: int):
    """The run misread by 50 mm has the largest standardised residual and is suspected."""
    wrong = list(GAMA)
    start, end, rise = wrong[run]
    wrong[run] = (start, end, rise + 0.050)
    reports = adjust_circuit(wrong, np.full(8, GAMA_SD)).reports

    w = [abs(report.worst.w) for report in reports]
    assert int(np.argmax(w)) == run
    assert reports[run].suspect


@pytest.mark.parametrize("run", range(8))
def test_a_blunder_moves_its_residual_by_its_size_in_visible_sigmas(run: int):
    """By size x sqrt(redundancy) / sigma; the estimate moves by the size itself."""
    size = 0.050
    wrong = list(GAMA)
    start, end, rise = wrong[run]
    wrong[run] = (start, end, rise + size)
    before = gama().reports[run].worst
    after = adjust_circuit(wrong, np.full(8, GAMA_SD)).reports[run].worst

    # The misclosure is computed less observed, so a reading too large lowers it.
    assert after.w - before.w == pytest.approx(-size * np.sqrt(0.625) / GAMA_SD)
    assert after.estimate - before.estimate == pytest.approx(-size)


@pytest.mark.parametrize(
    ("significance", "critical", "delta", "noncentral"),
    [(0.001, 3.29, 4.13, 17.075), (0.01, 2.58, 3.42, 11.68), (0.05, 1.96, 2.80, 7.85)],
)
def test_constants_of_data_snooping(significance, critical, delta, noncentral):
    """Critical value, delta0 and lambda0 at power 80 % (Baarda, from memory)."""
    shift = non_centrality(significance, 0.80)

    assert critical_value(significance) == pytest.approx(critical, abs=NORMAL_DIGITS)
    assert shift == pytest.approx(delta, abs=NORMAL_DIGITS)
    assert shift**2 == pytest.approx(noncentral, abs=NORMAL_DIGITS)


def test_a_loop_without_a_benchmark_is_refused_by_name():
    """Heights that hang together but on nothing are free together: one is named."""
    loop = [("P", "Q", 1.0), ("Q", "R", 1.0), ("R", "P", -2.0)]

    with pytest.raises(DegenerateGeometry, match=r"do not fix [PQR]"):
        adjust_circuit(loop, np.ones(3))
