"""Rafter tables against lengths, pitch and gables.

Sources: "How to make a common rafter" (instructables, step 4) and daveosborne.com's
rafter table, which agree; US Army subcourses EN5156 and EN0069A (public domain,
armyengineer.tpub.com); Hodgson, ABC of the Steel Square (public domain); a study guide
of fatskills.com. Inches and feet are turned into millimetres here.
"""

import numpy as np
import pytest

from calibration.uncertain import Input, Uncertain
from photomeasure.gables import find_gables
from photomeasure.job.build import Hanging, Trace
from photomeasure.job.schema import Role
from photomeasure.lengths import measure_line, pitch, segment_lengths
from photomeasure.results import MeasuredLine
from photomeasure.tracing import Traced

INCH = 25.4
FOOT = 12 * INCH
HUNDREDTH_INCH = 0.005  # tables printed to a hundredth
PICK_MM = 2.0


def exactly(points: list[tuple[float, float]]) -> Uncertain:
    """Return coordinates without uncertainty, millimetres."""
    values = np.array(points, dtype=np.float64).ravel()
    return Uncertain(values, np.zeros((len(values), 0)), ())


def traced(name: str, points: list[tuple[float, float]]) -> MeasuredLine:
    """Return a rake traced with 2 mm in every coordinate."""
    values = np.array(points, dtype=np.float64).ravel()
    inputs = tuple(Input(f"{name}#{i}", name, is_model=False) for i in range(len(values)))
    coordinates = Uncertain(values, PICK_MM * np.eye(len(values)), inputs)
    trace = Trace(
        name=name,
        role=Role.RAKE,
        picks_px=np.zeros((len(points), 2)),
        pick_sd_px=1.0,
        hanging=Hanging(mean_mm=0.0, sd_mm=0.0, relief_sd_mm=0.0, assumed=False),
    )
    return measure_line(Traced(trace, coordinates, 0.0), np.zeros(2))


def length_in(run_in: float, rise_in: float) -> float:
    """Return the length of a rafter in inches."""
    line = exactly([(0.0, 0.0), (run_in * INCH, rise_in * INCH)])
    return float(segment_lengths(line).values[0]) / INCH


# Inches of length per foot of run, for a rise of 2 to 18 inches.
PER_FOOT = "12.17 12.37 12.65 13.00 13.42 13.89 14.42 15.00 15.62 16.28 16.97 17.69"
PER_FOOT += " 18.44 19.21 20.00 20.81 21.63"


@pytest.mark.parametrize(
    ("rise_in", "length"), list(enumerate(map(float, PER_FOOT.split()), 2))
)
def test_common_rafter_per_foot_of_run(rise_in, length):
    """Every entry of the common rafter table."""
    assert length_in(12.0, rise_in) == pytest.approx(length, abs=HUNDREDTH_INCH)


@pytest.mark.parametrize(
    ("rise_in", "factor", "degrees"),
    [
        (3, 1.0308, 14.04),
        (4, 1.0541, 18.43),
        (5, 1.0833, 22.62),
        (6, 1.1180, 26.57),
        (8, 1.2019, 33.69),
        (9, 1.2500, 36.87),
        (12, 1.4142, 45.00),
    ],
)
def test_pitch_and_pitch_factor(rise_in, factor, degrees):
    """Rise in twelve, degrees, and length per run, as the tables print them."""
    angle = pitch(exactly([(0.0, 0.0), (12.0, rise_in)])).values[0]

    assert np.degrees(angle) == pytest.approx(degrees, abs=0.005)
    assert length_in(12.0, rise_in) / 12.0 == pytest.approx(factor, abs=5e-5)


@pytest.mark.parametrize(
    ("rise_in", "run_ft", "printed_in", "digits"),
    [(13, 10 + 4 / 12, 182.79, 0.04), (8, 10, 144 + 2 / 12, 0.06)],
    ids=["EN5156 figure 3-13", "EN0069A page 59"],
)
def test_army_rafters(rise_in, run_ft, printed_in, digits):
    """13 in 12 over 10 ft 4 in, and 8 in 12 over 10 ft.

    The manuals multiply the rounded length per foot of run (17.69, 14 5/12): ten feet
    of run make ten times its rounding, which is the tolerance.
    """
    found = length_in(12.0 * run_ft, rise_in * run_ft)

    assert found == pytest.approx(printed_in, abs=digits)


def test_half_pitch_over_24_feet():
    """16 ft 11 2/3 in (Hodgson); "half" is rise over span, which makes 45 degrees."""
    rise_in = 12.0 * 24 / 2
    angle = pitch(exactly([(0.0, 0.0), (12.0 * 12, rise_in)])).values[0]

    assert length_in(12.0 * 12, rise_in) == pytest.approx(16 * 12 + 11 + 2 / 3, abs=0.05)
    assert np.degrees(angle) == pytest.approx(45.0)


@pytest.mark.parametrize(
    ("run", "rise", "length"),
    [(12, 5, 13), (12, 9, 15), (12, 16, 20)],
)
def test_whole_numbered_triples_are_exact(run, rise, length):
    """Pythagorean rafters need no tolerance."""
    found = segment_lengths(exactly([(0.0, 0.0), (run, rise)])).values[0]

    assert found == length


def gable_lines(span: float, rise: float) -> tuple[MeasuredLine, MeasuredLine]:
    """Return the two rakes of a gable, the right one traced from its top."""
    return (
        traced("left rake", [(0.0, 2400.0), (span / 2, 2400.0 + rise)]),
        traced("right rake", [(span / 2, 2400.0 + rise), (span, 2400.0)]),
    )


def test_24_foot_gable_six_in_twelve():
    """Run 12 ft, rise 6 ft, rafter 13.416 ft, by traced edge and by half span and pitch."""
    (gable,) = find_gables(gable_lines(24 * FOOT, 6 * FOOT))

    assert gable.span.values[0] == pytest.approx(24 * FOOT)
    assert np.degrees(gable.pitch.values[0]) == pytest.approx(26.57, abs=0.005)
    for check in gable.checks:
        assert check.half_span_mm / FOOT == pytest.approx(13.416, abs=0.0005)
        assert check.traced_mm == pytest.approx(check.half_span_mm)
        assert check.agrees


def test_a_gable_traced_as_one_line_is_the_same_gable():
    """Foot, apex, foot in one line: split at the top into the same two rakes."""
    points = [(0.0, 0.0), (12 * FOOT, 6 * FOOT), (24 * FOOT, 0.0)]
    (gable,) = find_gables((traced("rakes", points),))

    assert gable.span.values[0] == pytest.approx(24 * FOOT)
    assert [check.name for check in gable.checks] == ["rakes (left)", "rakes (right)"]
    assert gable.checks[1].traced_mm / FOOT == pytest.approx(13.416, abs=0.0005)


def test_span_and_pitch_carry_the_picks_uncertainty():
    """Span: two feet of 2 mm each. Pitch by hand from half span and rise.

    With half span h, rise r and rake d: u(h) = 2 / sqrt 2, u(r) = 2, and
    u(pitch) = sqrt((h u(r))^2 + (r u(h))^2) / d^2.
    """
    (gable,) = find_gables(gable_lines(24 * FOOT, 6 * FOOT))
    half, rise = 12 * FOOT, 6 * FOOT

    by_hand = PICK_MM * np.sqrt(half**2 + rise**2 / 2.0) / (half**2 + rise**2)
    assert gable.span.u[0] == pytest.approx(PICK_MM * np.sqrt(2.0))
    assert gable.pitch.u[0] == pytest.approx(by_hand)


def test_a_lopsided_gable_does_not_agree():
    """An apex half a foot off the middle: traced edges and half span contradict."""
    left = traced("left rake", [(0.0, 0.0), (12.5 * FOOT, 6 * FOOT)])
    right = traced("right rake", [(24 * FOOT, 0.0), (12.5 * FOOT, 6 * FOOT)])
    (gable,) = find_gables((left, right))

    assert not any(check.agrees for check in gable.checks)
    assert gable.checks[0].difference.values[0] > 0.0
    assert gable.checks[1].difference.values[0] < 0.0


def test_rakes_that_do_not_meet_are_no_gable():
    """Two rakes of different gables, and two parallel ones, are left alone."""
    left, right = gable_lines(24 * FOOT, 6 * FOOT)
    far = traced("far rake", [(60 * FOOT, 6 * FOOT + 2400), (72 * FOOT, 2400.0)])
    parallel = traced("valley", [(0.0, 2500.0), (12 * FOOT, 2500.0 + 6 * FOOT)])

    assert find_gables((left, far)) == ()
    assert find_gables((left, parallel)) == ()
    assert len(find_gables((left, right, far))) == 1
