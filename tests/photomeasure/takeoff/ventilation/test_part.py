"""Ventilation of a whole house: words of the job, verdicts, and what is bought."""

from dataclasses import replace

import pytest
from pydantic import ValidationError

from photomeasure.job.ventilation import MeansSpec
from photomeasure.takeoff.ventilation.part import verdicts_and_quantities
from tests.photomeasure.takeoff.small_house import work
from tests.photomeasure.takeoff.ventilation.roofs import UK, USA

STRIP = {"kind": "over-fascia strip", "free_mm2_per_m": 10_000}
DISCS = {"kind": "soffit discs", "free_mm2_each": 2000, "spacing_mm": 200}
PLAIN = {
    "regulation": "BS 5250",
    "form": "duopitch",
    "eaves": [STRIP],
    "high": [],
}
ROOF = {"ceiling": "normal", "underlay": "high resistance"}


def part(rules=UK, pitch_deg=30.0, **changes):
    """Return the part of the small house with this block."""
    block = {**PLAIN, **changes}
    return verdicts_and_quantities(
        work(pitch_deg=pitch_deg, ventilation=block, roof=ROOF), rules
    )


def bought(found):
    """Return code and amount of each quantity."""
    return [(q.item.code, int(q.amount)) for q in found.quantities]


def test_job_without_the_block_gets_nothing():
    """Nothing is judged or bought unasked."""
    assert verdicts_and_quantities(work(), UK) == verdicts_and_quantities(work(), USA)
    assert verdicts_and_quantities(work(), UK).verdicts == ()


def test_each_eaves_and_the_ridge_are_judged():
    """Two eaves with a 10 mm strip pass; nothing is called for high up."""
    found = part()

    assert [v.subject for v in found.verdicts] == [
        "eaves ventilation, front eaves",
        "eaves ventilation, side eaves",
        "high-level ventilation",
    ]
    assert [v.passed for v in found.verdicts] == [True, True, True]


def test_local_control_is_named():
    """Every judgement defers to whoever decides."""
    assert any("building control" in caution for caution in part().cautions)


def test_rules_that_were_used_are_named():
    """Every key exists, and the clause is among them."""
    found = part()

    assert "ventilation.bs_5250.clause" in found.rules
    assert all(UK.has(key) for key in found.rules)


def test_strips_by_hand():
    """8 m and 6 m in lengths of 1 m."""
    assert bought(part()) == [
        ("over-fascia-strip/10000-mm2", 8),
        ("over-fascia-strip/10000-mm2", 6),
    ]


def test_discs_and_trays_by_hand():
    """Discs every 200 mm: 40 and 30. Trays of 1.5 m that lap 100: 7.9 / 1.4, 5.9 / 1.4."""
    assert bought(part(eaves=[DISCS], trays=True)) == [
        ("soffit-discs/2000-mm2-each", 40),
        ("underlay-support-tray/1500-mm", 6),
        ("soffit-discs/2000-mm2-each", 30),
        ("underlay-support-tray/1500-mm", 5),
    ]


def test_what_is_there_already_counts_but_is_not_bought():
    """An old strip ventilates."""
    found = part(eaves=[{**STRIP, "there_already": True}])

    assert found.verdicts[0].passed is True
    assert found.quantities == ()


def test_vented_soffit_is_bought_as_a_board():
    """It counts for air; the board is on the board list."""
    soffit = {"kind": "vented soffit board", "free_mm2_per_m": 12_000}
    found = part(eaves=[soffit])

    assert found.verdicts[0].passed is True
    assert found.quantities == ()


def test_ridge_is_as_long_as_the_longest_eaves():
    """8 m in lengths of 3 m, if nobody states its length; else that length."""
    ridge = {"kind": "ridge vent", "free_mm2_per_m": 5000}
    usual = part(pitch_deg=40.0, high=[ridge])
    stated = part(pitch_deg=40.0, high=[ridge], high_length_mm=4000)

    assert usual.verdicts[2].passed is True
    assert bought(usual)[-1] == ("ridge-vent/5000-mm2", 3)
    assert bought(stated)[-1] == ("ridge-vent/5000-mm2", 2)


def test_pitch_without_a_spread_is_not_taken_as_exact():
    """A measured 16 degrees whose spread nobody handed over may be 15."""
    job = work(pitch_deg=16.0, ventilation=PLAIN, roof=ROOF)
    blind = replace(job, house=replace(job.house, pitch_u_rad=None))
    sure = verdicts_and_quantities(job, UK).verdicts[0]
    doubtful = verdicts_and_quantities(blind, UK).verdicts[0]

    assert (sure.required, doubtful.required) == (10_000.0, 25_000.0)


@pytest.mark.parametrize("edition", ["IRC R806.2 older", "IRC R806.2 2018"])
def test_american_attic_is_judged_by_area(edition):
    """14 m of eaves at 10,000 mm2/m are 140,000; 1/150 of 60 m2 is 400,000 (by hand)."""
    found = part(USA, regulation=edition, attic_area_mm2=60e6)

    assert [v.passed for v in found.verdicts] == [False]
    assert found.verdicts[0].provided == pytest.approx(140_000.0)
    assert found.verdicts[0].required == pytest.approx(400_000.0)


def test_american_attic_without_its_area_asks_for_it():
    """Nothing is assumed of the plan."""
    found = part(USA, regulation="IRC R806.2 2018")

    assert found.verdicts[0].passed is None
    assert "area of the attic" in found.verdicts[0].sentence


@pytest.mark.parametrize(
    "wrong",
    [
        {"kind": "soffit discs"},
        {"kind": "soffit discs", "free_mm2_each": 2000},
        {"kind": "soffit discs", "free_mm2_per_m": 1000, "spacing_mm": 200},
        {"kind": "hole", "free_mm2_per_m": 1000},
        {"kind": "ridge vent", "free_mm2_per_m": 0},
    ],
)
def test_half_described_means_are_refused(wrong):
    """All along, or each at a spacing: one of the two."""
    with pytest.raises(ValidationError):
        MeansSpec.model_validate(wrong)
