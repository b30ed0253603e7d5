"""IRC R806.2 in both wordings.

Older: text of a city's code page, ci.sauk-rapids.mn.us. Newer: from memory.
"""

import pytest

from calibration.errors import InputError
from photomeasure.job.ventilation import Regulation, Retarder
from photomeasure.takeoff.measured import Measured
from photomeasure.takeoff.ventilation import Attic, judge_attic
from photomeasure.takeoff.ventilation.attic import MM2_PER_FT2, MM2_PER_IN2
from tests.photomeasure.takeoff.ventilation.roofs import UK, USA

AREA = Measured(40 * 30 * MM2_PER_FT2)
"""40 by 30 ft: 1/150 is 8 sq ft or 1,152 sq in; 1/300 is 576 sq in (exact)."""
ROUNDING = 1e-9


def attic(low_in2, high_in2, **facts):
    """Return that attic with these openings, in square inches."""
    return Attic(
        name="attic",
        area_mm2=facts.pop("area_mm2", AREA),
        low_mm2=low_in2 * MM2_PER_IN2,
        high_mm2=high_in2 * MM2_PER_IN2,
        **facts,
    )


def verdict_of(space, edition):
    """Return the one verdict."""
    return judge_attic(space, edition, USA).verdicts[0]


@pytest.mark.parametrize("edition", [Regulation.IRC_OLDER, Regulation.IRC_2018])
def test_plain_ratio_of_a_40_by_30_attic(edition):
    """1,200 sq ft at 1/150 are 1,152 sq in, in both wordings."""
    verdict = verdict_of(attic(1152, 0), edition)

    assert verdict.required == pytest.approx(1152 * MM2_PER_IN2, rel=ROUNDING)
    assert verdict.passed is True
    assert verdict_of(attic(1151, 0), edition).passed is False


REDUCED, FULL = 576, 1152
HIGH_UP = {"high_above_eaves_mm": Measured(914.0)}
NEAR_TOP = {"high_below_top_mm": Measured(914.0)}


@pytest.mark.parametrize(
    ("low", "high", "facts", "required"),
    [
        # 50 to 80 % high, 3 ft above the eaves' openings
        (288, 288, HIGH_UP, REDUCED),
        (115.2, 460.8, HIGH_UP, REDUCED),
        (289, 287, HIGH_UP, FULL),
        (115, 461, HIGH_UP, FULL),
        (288, 288, {"high_above_eaves_mm": Measured(913.0)}, FULL),
        (288, 288, {"high_above_eaves_mm": Measured(915.0, 5.0)}, FULL),
        (288, 288, {}, FULL),
        # or a retarder within 1 perm
        (576, 0, {"retarder": Retarder.CLASS_II}, REDUCED),
        (576, 0, {"retarder": Retarder.CLASS_I}, REDUCED),
        (576, 0, {"retarder": Retarder.CLASS_III_OR_NONE}, FULL),
    ],
)
def test_older_wording_reduces_by_place_or_by_retarder(low, high, facts, required):
    """Either condition is enough; what is not stated is not granted."""
    verdict = verdict_of(attic(low, high, **facts), Regulation.IRC_OLDER)

    assert verdict.required == pytest.approx(required * MM2_PER_IN2, rel=ROUNDING)


@pytest.mark.parametrize(
    ("low", "high", "facts", "required"),
    [
        # 40 to 50 % high, within 3 ft of the top; zones 6 to 8 a retarder too
        (288, 288, {"climate_zone": 4, **NEAR_TOP}, REDUCED),
        (345.6, 230.4, {"climate_zone": 5, **NEAR_TOP}, REDUCED),
        (346, 230, {"climate_zone": 5, **NEAR_TOP}, FULL),
        (287, 289, {"climate_zone": 5, **NEAR_TOP}, FULL),
        (288, 288, {"climate_zone": 6, **NEAR_TOP}, FULL),
        (288, 288, {"climate_zone": 6, "retarder": Retarder.CLASS_II, **NEAR_TOP}, REDUCED),
        (288, 288, NEAR_TOP, FULL),
        (288, 288, {"climate_zone": 4}, FULL),
        (288, 288, {"climate_zone": 4, "high_below_top_mm": Measured(915.0)}, FULL),
        # the older wording's retarder alone no longer does
        (576, 0, {"climate_zone": 7, "retarder": Retarder.CLASS_I, **NEAR_TOP}, FULL),
    ],
)
def test_newer_wording_asks_both(low, high, facts, required):
    """Place of the openings, and in cold zones a retarder as well."""
    verdict = verdict_of(attic(low, high, **facts), Regulation.IRC_2018)

    assert verdict.required == pytest.approx(required * MM2_PER_IN2, rel=ROUNDING)


def test_newer_wording_is_flagged_as_memory_and_the_older_is_not():
    """Only one of the two was read."""
    older = verdict_of(attic(600, 600), Regulation.IRC_OLDER)
    newer = verdict_of(attic(600, 600), Regulation.IRC_2018)

    assert "from memory" not in older.source
    assert "from memory" in newer.source
    assert newer.sentence.endswith("before you rely on it.")


def test_uncertain_area_counts_at_its_upper_end():
    """Enough for the best estimate only is not enough, and is said."""
    space = attic(1152, 0, area_mm2=Measured(AREA.value, 0.02 * AREA.value))
    verdict = verdict_of(space, Regulation.IRC_OLDER)

    assert verdict.passed is False
    assert "not for the upper end of its interval" in verdict.sentence


@pytest.mark.parametrize(
    ("space", "edition", "rules", "says"),
    [
        (attic(600, 600), None, USA, "edition"),
        (attic(600, 600), Regulation.IRC_2018, UK, "edition"),
        (attic(600, 600, area_mm2=None), Regulation.IRC_2018, USA, "area of the attic"),
        (Attic(name="a", area_mm2=AREA, low_mm2=1.0), Regulation.IRC_2018, USA, "high up"),
    ],
)
def test_attic_is_not_judged_without_the_facts(space, edition, rules, says):
    """The sentence says what is missing."""
    verdict = judge_attic(space, edition, rules).verdicts[0]

    assert verdict.passed is None
    assert says in verdict.sentence


@pytest.mark.parametrize("low_in2", [-1.0, float("nan")])
def test_impossible_area_is_refused(low_in2):
    """An impossible opening never becomes a verdict."""
    with pytest.raises(InputError, match="free area"):
        attic(low_in2, 0)
