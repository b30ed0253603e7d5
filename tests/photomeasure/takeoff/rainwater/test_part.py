"""Gutters of a whole house: words of the job, verdicts, and what is bought."""

from dataclasses import replace

import pytest
from pydantic import ValidationError

from calibration.errors import InputError
from photomeasure.job.rainwater import RainwaterSpec
from photomeasure.takeoff.rainwater.part import verdicts_and_quantities
from tests.photomeasure.takeoff.rainwater.eaves import UK, USA
from tests.photomeasure.takeoff.small_house import work

BOTH = [
    {"name": "front eaves", "outlets": ["left end"]},
    {"name": "side eaves", "outlets": ["middle"]},
]
RENEWED = {
    "work": "renew",
    "gutter": {"half_round_mm": 115},
    "outlet_mm": 63,
    "lines": BOTH,
}


def part(rules=UK, pitch_deg=40.0, **changes):
    """Return the part of the small house with this block."""
    block = {**RENEWED, **changes}
    return verdicts_and_quantities(work(pitch_deg=pitch_deg, rainwater=block), rules)


def bought(found, word):
    """Return the amounts of items whose code begins so."""
    return [int(q.amount) for q in found.quantities if q.item.code.startswith(word)]


def test_job_without_the_block_gets_nothing():
    """Nothing is judged or bought unasked."""
    found = verdicts_and_quantities(work(), UK)

    assert (found.verdicts, found.quantities, found.cautions) == ((), (), ())


def test_worked_eaves_pass_and_the_sum_uses_half_the_span():
    """8 m by half of 8 m at 40 degrees: 0.954 l/s, as the constructed example."""
    verdict = part().verdicts[0]

    assert verdict.subject == "gutter by formula, front eaves"
    assert round(verdict.required, 3) == 0.954


def test_new_gutters_by_hand():
    """Front: 4 + 4 m, one union. Side: 3 + 3 m either side of the outlet, none."""
    found = part()

    assert bought(found, "gutter-length") == [2, 2]
    assert bought(found, "gutter-union") == [1]
    assert bought(found, "gutter-outlet") == [1, 1]
    assert bought(found, "gutter-bracket") == [10, 8]


def test_corner_takes_one_angle_and_two_stop_ends_fewer():
    """Two ends meet at it; the other two are closed."""
    found = part()

    assert bought(found, "gutter-angle") == [1]
    assert bought(found, "gutter-stop-end") == [1, 1]


def test_an_angle_on_the_way_is_counted_and_takes_from_the_flow():
    """Round a bay at 1.5 m: within 2 m of the outlet 0.8 of the flow is left."""
    bay = [{**BOTH[0], "angles": [1500.0, 6500.0]}, BOTH[1]]
    plain, turned = part(), part(lines=bay)

    assert bought(turned, "gutter-angle") == [3]
    assert "2 on the way" in next(
        q.working for q in turned.quantities if q.item.code.startswith("gutter-angle")
    )
    left = turned.verdicts[0].provided / plain.verdicts[0].provided
    assert left == pytest.approx(0.8 * 0.85)
    assert {"rainwater.corner_near_factor"} <= set(turned.rules)


@pytest.mark.parametrize("places", [[9000.0], [1500.0, 1500.0]])
def test_an_angle_that_cannot_be_is_refused(places):
    """Off the gutter, or twice at one place."""
    with pytest.raises(InputError, match="angle"):
        part(lines=[{**BOTH[0], "angles": places}])


def test_a_line_given_twice_is_refused():
    """Neither of the two is believed."""
    with pytest.raises(InputError, match="'front eaves' is there twice"):
        part(lines=[BOTH[0], BOTH[0]])


def test_refitted_gutters_are_metres_and_nothing_is_bought():
    """They come off and go back."""
    found = part(work="take down and refit")

    assert [(q.item.code, str(q.amount)) for q in found.quantities] == [
        ("gutter-taken-down-and-refitted", "8.00"),
        ("gutter-taken-down-and-refitted", "6.00"),
    ]


def test_downpipes_by_hand():
    """4.9 m and 300 mm back: 3 lengths, 2 sockets, 4 clips, 2 bends, a shoe."""
    found = part(downpipes=True)

    assert bought(found, "downpipe-length") == [3, 3]
    assert bought(found, "downpipe-socket") == [2, 2]
    assert bought(found, "downpipe-clip") == [4, 4]
    assert bought(found, "downpipe-offset") == [2, 2]
    assert bought(found, "downpipe-shoe") == [1, 1]


def test_snow_brings_brackets_closer():
    """3700 mm in five gaps of 740 instead of four of 925."""
    assert bought(part(snow=True), "gutter-bracket")[0] == 12


def test_every_quantity_names_rules_that_exist():
    """And every verdict's keys are handed over."""
    found = part(downpipes=True)
    keys = {key for q in found.quantities for key in q.rules} | set(found.rules)

    assert all(UK.has(key) for key in keys)
    assert "rainwater.gutter_table" in keys


def test_stated_storm_is_used():
    """75 mm/h exactly is a little less than the 0.021 of the tables."""
    usual, stated = (part(**c).verdicts[0].required for c in ({}, {"rain_mm_h": 75.0}))

    assert stated / usual == pytest.approx(75.0 / 3600.0 / 0.021)


def test_unknown_height_leaves_downpipes_out_and_says_so():
    """No height, no pipes."""
    block = {**RENEWED, "downpipes": True}
    job = work(pitch_deg=40.0, rainwater=block)
    low = tuple(replace(e, height_mm=None) for e in job.house.eaves)
    found = verdicts_and_quantities(replace(job, house=replace(job.house, eaves=low)), UK)

    assert bought(found, "downpipe") == []
    assert "front eaves: downpipes left out: its height is not known." in found.cautions


def test_unknown_span_is_asked_for_unless_the_width_is_stated():
    """Half the span is the plan width of a duopitch only."""
    job = work(pitch_deg=40.0, rainwater=RENEWED)
    found = verdicts_and_quantities(
        replace(job, house=replace(job.house, span_mm=None)), UK
    )
    wide = [{**line, "plan_width_mm": 4000} for line in BOTH]
    stated = work(pitch_deg=40.0, rainwater={**RENEWED, "lines": wide})

    assert found.verdicts == ()
    assert any("state the span" in caution for caution in found.cautions)
    assert len(verdicts_and_quantities(stated, UK).verdicts) == 6


@pytest.mark.parametrize(
    ("gutter", "first"),
    [
        ({"name": "square", "depth_mm": 60}, None),
        ({"name": "square", "depth_mm": 60, "capacity_l_s": 2.0}, True),
        ({"half_round_mm": 115, "capacity_l_s": 0.5}, False),
    ],
)
def test_stated_capacity_goes_before_the_formula(gutter, first):
    """0.954 l/s come along the front."""
    assert part(gutter=gutter).verdicts[0].passed is first


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"lines": BOTH[:1]}, "side eaves: gutter left out: say where its outlets are"),
        ({"gutter": None}, "say which gutter it is"),
        ({"pitch_deg": None}, "the pitch of the roof is not known"),
        (
            {"lines": [*BOTH, {"name": "back", "outlets": ["middle"]}]},
            "back: no eaves of that name",
        ),
    ],
)
def test_what_is_left_out_is_said(changes, says):
    """A gutter that is not judged is a caution, not a silence."""
    assert any(says in caution for caution in part(**changes).cautions)


def test_country_without_figures_counts_but_does_not_judge():
    """American rules hold lengths and spacings only."""
    found = part(USA)

    assert [v.passed for v in found.verdicts] == [None, None]
    assert bought(found, "gutter-length") == [3, 2]


@pytest.mark.parametrize(
    "wrong",
    [
        {},
        {"work": "paint"},
        {"work": "renew", "gutter": {}},
        {"work": "renew", "gutter": {"half_round_mm": 100, "depth_mm": 50}},
        {"work": "renew", "lines": [{"name": "front eaves", "outlets": []}]},
        {"work": "renew", "lines": [{"name": "front eaves", "outlets": ["somewhere"]}]},
        {"work": "renew", "rain_mm_h": 0},
    ],
)
def test_half_described_gutters_are_refused(wrong):
    """What cannot be is refused at the door."""
    with pytest.raises(ValidationError):
        RainwaterSpec.model_validate(wrong)
