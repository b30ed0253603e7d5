"""Zeta scores and E_n numbers by their published definitions, and what they lead to."""

from math import sqrt
from pathlib import Path

import pytest

from calibration.errors import BadReference, InputError, UnknownName
from photomeasure.checking import Check, Outcome, as_reference, check_line, in_words
from photomeasure.job.build import build_elevation
from photomeasure.job.load import load_job
from photomeasure.job.schema import ElevationSpec
from photomeasure.measure import measure_elevation

SAMPLE = Path(__file__).parents[2] / "sample_images" / "house.job.json"

PRINTED = [(1.006, 0.785, 0.393), (0.996, -0.523, -0.262), (0.998, -0.261, -0.131)]
"""Value, zeta score and E_n number that the NIST Dataplot reference manual prints under
"ISO 13528 zeta score" and "ISO 13528 En score" for its first batch."""

PRINTED_ULAB = 0.004345
PRINTED_UREF = 0.006278
"""Standard uncertainties of that batch and of the assigned value. The manual prints the
first to three decimals (0.004, and 0.009 expanded); these agree with all it prints."""


def check(difference, u_measured, u_taped):
    return Check(
        measured_mm=5000.0 + difference,
        u_measured_mm=u_measured,
        taped_mm=5000.0,
        u_taped_mm=u_taped,
    )


@pytest.mark.parametrize(("value", "zeta", "e_n"), PRINTED)
def test_printed_scores(value, zeta, e_n):
    """Definitions and factor two of the expanded uncertainty, to all printed digits."""
    found = Check(
        measured_mm=value,
        u_measured_mm=PRINTED_ULAB,
        taped_mm=1.0,
        u_taped_mm=PRINTED_UREF,
    )

    assert round(found.zeta, 3) == pytest.approx(zeta, abs=0.0011)
    assert round(found.e_n, 3) == pytest.approx(e_n, abs=0.0011)


def test_the_textbook_case():
    """10.010 m against 10.000 m with expanded 8 and 6 mm is an E_n of exactly one."""
    found = Check(
        measured_mm=10_010.0, u_measured_mm=4.0, taped_mm=10_000.0, u_taped_mm=3.0
    )

    assert found.e_n == pytest.approx(1.0)
    assert found.zeta == pytest.approx(2.0)


@pytest.mark.parametrize(
    ("difference", "outcome"),
    [
        (0.0, Outcome.AGREES),
        (10.0, Outcome.AGREES),
        (-10.0, Outcome.AGREES),
        (10.1, Outcome.DOUBTFUL),
        (14.9, Outcome.DOUBTFUL),
        (15.0, Outcome.DISAGREES),
        (-400.0, Outcome.DISAGREES),
    ],
)
def test_outcomes(difference, outcome):
    """Two is a warning, three an action (ISO 13528); here one standard step is 5 mm."""
    assert check(difference, 3.0, 4.0).outcome is outcome


def test_honest_checks_agree_as_often_as_they_should():
    """Of true lengths and honest tapes about 5 % are doubtful, 0.3 % wrong."""
    import numpy as np

    random = np.random.default_rng(5)
    found = [
        check(sum(random.normal(0.0, (8.0, 3.0))), 8.0, 3.0).outcome for _ in range(4000)
    ]
    doubtful = sum(one is not Outcome.AGREES for one in found) / len(found)
    wrong = sum(one is Outcome.DISAGREES for one in found) / len(found)

    # Four standard errors of a share of 4000.
    assert abs(doubtful - 0.0455) < 4 * sqrt(0.0455 * 0.9545 / 4000)
    assert abs(wrong - 0.0027) < 4 * sqrt(0.0027 * 0.9973 / 4000)


def test_the_words_name_all_numbers():
    """Verdict, expanded uncertainties, both scores, and what to do."""
    verdict, numbers, scores, advice = in_words(check(12.0, 3.0, 4.0), "front eaves")

    assert verdict == "front eaves: the tape hardly agrees with the photo."
    assert "Measured 5.012 m ± 6 mm, taped 5.000 m ± 8 mm" in numbers
    assert "12 mm longer" in numbers
    assert "+2.40" in scores
    assert "+1.20" in scores
    assert advice.startswith("About one honest check in twenty")


@pytest.mark.parametrize(
    ("taped", "u"),
    [(0, 3), (-5, 3), (float("nan"), 3), (2e6, 3), (5000, -1), (5000, float("inf"))],
)
def test_tapes_that_cannot_be(taped, u):
    """Nonsense is refused in words."""
    with pytest.raises(InputError):
        Check(measured_mm=5000.0, u_measured_mm=5.0, taped_mm=taped, u_taped_mm=u)


def measured(index, **changes):
    spec = load_job(SAMPLE).elevations[index]
    document = spec.model_dump(mode="json", exclude_none=True)
    spec = ElevationSpec.model_validate({**document, **changes})
    return spec, measure_elevation(build_elevation(spec, SAMPLE.parent))


def test_a_true_tape_as_a_reference_tightens_the_others():
    """Both rakes of the gable get narrower when one of them is taped."""
    spec, before = measured(1)
    line = before.measured[0]
    reference = as_reference(before, line.name, round(line.length_mm), 3.0)
    document = spec.model_dump(mode="json", exclude_none=True)
    _, after = measured(1, references=[*document["references"], reference])

    assert reference["name"] == f"tape on {line.name}"
    for old, new in zip(before.measured, after.measured, strict=True):
        assert new.u_mm < 0.9 * old.u_mm


def test_a_wrong_tape_as_a_reference_is_found_out():
    """A decimetre misread is told, and the interval grows to hold both."""
    spec, before = measured(0)
    line = before.measured[0]
    reference = as_reference(before, line.name, line.length_mm + 300.0, 3.0)
    document = spec.model_dump(mode="json", exclude_none=True)
    _, after = measured(0, references=[*document["references"], reference])

    assert any("ape on front eaves says 3.9% more" in one for one in after.cautions)
    assert after.measured[0].u_mm > line.u_mm


def test_the_reference_lies_where_the_line_hangs():
    """A traced soffit says how far, and how well that is known."""
    _, before = measured(0)
    reference = as_reference(before, "front eaves", 7650.0, 3.0)

    assert reference["projection_mm"] == pytest.approx(301, abs=2)
    assert reference["projection_sd_mm"] == pytest.approx(11.6, abs=1)


def test_lines_whose_plane_nobody_knows_give_no_scale():
    """An assumed projection would pass its error on to the wall."""
    spec, _ = measured(1)
    document = spec.model_dump(mode="json", exclude_none=True)
    lines = [
        {key: line[key] for key in ("name", "role", "picks")} for line in document["lines"]
    ]
    _, before = measured(1, lines=lines, soffits=[])

    with pytest.raises(BadReference, match="nobody said"):
        as_reference(before, lines[0]["name"], 4600.0, 3.0)


def test_unknown_lines():
    """The refusal lists those there are."""
    _, before = measured(0)
    with pytest.raises(UnknownName, match="front eaves"):
        check_line(before, "back eaves", 5000.0, 3.0)
