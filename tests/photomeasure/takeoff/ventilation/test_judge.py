"""What is called for against what is given."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from photomeasure.job.ventilation import (
    CeilingSeal,
    Covering,
    Regulation,
    RoofForm,
    UnderlayClass,
)
from photomeasure.takeoff.measured import Measured
from photomeasure.takeoff.ventilation import (
    Run,
    Spaced,
    judge,
    need_of,
    pieces_along,
    spaced_along,
)
from tests.photomeasure.takeoff.ventilation.roofs import (
    IRELAND,
    PLAIN,
    UK,
    at,
    eaves,
    strip,
)

BS = Regulation.BS_5250
RIDGE = Run(name="ridge", length_mm=Measured(10_000.0), means=(strip(5),))


@pytest.mark.parametrize(
    ("degrees", "total"), [(30.0, "100,000 mm2"), (12.0, "250,000 mm2")]
)
def test_totals_on_ten_metres(degrees, total):
    """10 m of eaves: 100,000 mm2 with 10 mm, 250,000 mm2 with 25 mm (by hand)."""
    verdict = judge(at(degrees), BS, UK, [eaves(strip(25))], []).verdicts[0]

    assert f"On 10.00 m that is {total}" in verdict.sentence


@pytest.mark.parametrize(("given_mm", "passed"), [(9.9, False), (10.0, True), (25.0, True)])
def test_strip_passes_from_the_opening_on(given_mm, passed):
    """Exactly enough is enough."""
    verdict = judge(PLAIN, BS, UK, [eaves(strip(given_mm))], []).verdicts[0]

    assert verdict.passed is passed
    assert (verdict.required, verdict.provided) == (10_000.0, 1000.0 * given_mm)


def test_discs_that_fail_are_told_their_spacing():
    """2,000 mm2 every 600 mm give 3,333 mm2/m; 10,000 take one every 200 mm (by hand)."""
    discs = Spaced(name="soffit discs", free_mm2_each=2000.0, spacing_mm=600.0)
    verdict = judge(PLAIN, BS, UK, [eaves(discs)], []).verdicts[0]

    assert verdict.passed is False
    assert "would do at 200 mm centres" in verdict.sentence
    assert "add 6,667 mm2/m" in verdict.sentence


def test_discs_at_the_told_spacing_pass():
    """The advice works."""
    discs = Spaced(name="soffit discs", free_mm2_each=2000.0, spacing_mm=200.0)
    verdict = judge(PLAIN, BS, UK, [eaves(discs)], []).verdicts[0]

    assert verdict.passed is True


def test_means_of_one_eaves_add_up():
    """Strip and discs let air into the same place."""
    discs = Spaced(name="soffit discs", free_mm2_each=2000.0, spacing_mm=400.0)
    verdict = judge(PLAIN, BS, UK, [eaves(strip(5), discs)], []).verdicts[0]

    assert (verdict.provided, verdict.passed) == (10_000.0, True)


@pytest.mark.parametrize(("high", "passed"), [([RIDGE], True), ([], False), (None, None)])
def test_high_level_called_for(high, passed):
    """Given, known to be absent, and not stated are three different things."""
    verdict = judge(at(40), BS, UK, [eaves(strip(10))], high).verdicts[1]

    assert (verdict.passed, verdict.required) == (passed, 5000.0)


@pytest.mark.parametrize("high", [[RIDGE], [], None])
def test_high_level_not_called_for_passes_by_any_means(high):
    """Nothing is asked of a plain roof's ridge."""
    verdict = judge(PLAIN, BS, UK, [eaves(strip(10))], high).verdicts[1]

    assert (verdict.passed, verdict.required) == (True, 0.0)
    assert "Nothing is called for" in verdict.sentence


@pytest.mark.parametrize(
    ("low", "high", "passed"),
    [
        ((strip(3),), [], (True, True)),
        ((), [RIDGE], (True, True)),
        ((strip(2),), [], (False, False)),
        ((strip(3),), [RIDGE], (True, True)),
    ],
)
def test_one_of_two_levels_is_enough(low, high, passed):
    """Well sealed ceiling, low resistance, open tiles: eaves or ridge."""
    roof = replace(
        PLAIN,
        ceiling=CeilingSeal.WELL_SEALED,
        underlay=UnderlayClass.LOW_RESISTANCE,
        covering=Covering.AIR_OPEN,
    )
    verdicts = judge(roof, BS, UK, [eaves(*low)], high).verdicts

    assert tuple(verdict.passed for verdict in verdicts) == passed


def test_verdict_names_clause_edition_and_what_was_not_read():
    """Clause and the state of the source travel with the verdict."""
    verdict = judge(PLAIN, BS, UK, [eaves(strip(10))], []).verdicts[0]

    assert "BS 5250 annex H" in verdict.clause
    assert "the standard was not read" in verdict.source


def test_memory_is_flagged_in_source_and_sentence():
    """Irish figures are never printed as fact."""
    verdict = judge(PLAIN, Regulation.TGD_F_2009, IRELAND, [eaves(strip(10))], []).verdicts[
        0
    ]

    assert "from memory" in verdict.source
    assert verdict.sentence.endswith("before you rely on it.")


def test_stated_rule_is_named_as_stated():
    """What a job overrides is no longer the standard's."""
    rules = UK.overridden({"ventilation.bs_5250.hr_eaves_mm": 12}, "job")
    verdict = judge(PLAIN, BS, rules, [eaves(strip(10))], []).verdicts[0]

    assert (verdict.passed, verdict.required) == (False, 12_000.0)
    assert "stated in the job" in verdict.source


pitches = st.floats(1.0, 80.0)
spans = st.floats(2.0, 30.0)


@given(pitches, spans, st.floats(0.0, 5.0))
def test_doubt_never_asks_for_less(degrees, metres, u_degrees):
    """A wider interval of the pitch keeps or enlarges what is called for."""
    roof = replace(at(degrees), span_mm=Measured(1000.0 * metres))
    sure = need_of(roof, BS, UK)
    doubtful = need_of(
        replace(roof, pitch_rad=Measured(roof.pitch_rad.value, math.radians(u_degrees))),
        BS,
        UK,
    )

    assert doubtful.low.slot_mm >= sure.low.slot_mm
    assert doubtful.high.slot_mm >= sure.high.slot_mm


@given(pitches, spans, spans)
def test_wider_roof_never_needs_less(degrees, one, other):
    """High-level openings do not shrink with the span."""
    narrow, broad = sorted((one, other))
    needs = [
        need_of(replace(at(degrees), span_mm=Measured(1000.0 * m)), BS, UK)
        for m in (narrow, broad)
    ]

    assert needs[0].high.slot_mm <= needs[1].high.slot_mm


@given(pitches, spans)
def test_lean_to_never_needs_less_than_a_duopitch(degrees, metres):
    """One slope has one eaves: it always needs the top as well."""
    roof = replace(at(degrees), span_mm=Measured(1000.0 * metres))
    duo = need_of(roof, BS, UK)
    mono = need_of(replace(roof, form=RoofForm.MONOPITCH), BS, UK)

    assert mono.low.slot_mm == duo.low.slot_mm
    assert mono.high.slot_mm >= duo.high.slot_mm


@given(st.floats(1.0, 50_000.0), st.floats(100.0, 5000.0), st.floats(0.0, 0.9))
def test_pieces_cover_and_one_fewer_does_not(length_mm, piece_mm, lap_share):
    """Defining property of the count of trays and strips."""
    lap = lap_share * piece_mm
    count = pieces_along(length_mm, piece_mm, lap)
    slack = 1e-6 * length_mm  # rounding of the division

    assert count * piece_mm - (count - 1) * lap >= length_mm - slack
    if count > 1:
        assert (count - 1) * piece_mm - (count - 2) * lap < length_mm + slack


@given(st.floats(1.0, 50_000.0), st.floats(1.0, 50_000.0), st.floats(20.0, 2000.0))
def test_longer_run_never_takes_fewer(one, other, spacing_mm):
    """Discs along a run."""
    short, long = sorted((one, other))

    assert spaced_along(short, spacing_mm) <= spaced_along(long, spacing_mm)
