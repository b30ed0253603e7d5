"""What cannot be assumed is refused in one sentence that names the field."""

import pytest

from calibration.errors import InputError
from photomeasure.job.takeoff import TakeoffSpec
from photomeasure.takeoff.assemble import take_off
from tests.photomeasure.run import is_one_sentence
from tests.photomeasure.takeoff.houses import (
    GABLED,
    SOUND,
    depth,
    eaves,
    elevation,
    ends,
    gabled,
    measured,
    rakes,
    soffit,
    spec,
)

FRONT = eaves("front eaves", 6000.0)
BOXED = ends(front_eaves=("box end", "box end"))


def stops(job, **words):
    """Return the reasons of the stops."""
    takeoff = take_off(job, spec(**words), draws=0).takeoff
    assert all(is_one_sentence(stop.reason) for stop in takeoff.stops)
    return takeoff, [stop.reason for stop in takeoff.stops]


def house(*lines, soffits=()):
    return measured(elevation("front", lines, soffits))


UNKNOWN = {
    "fascia depth": (house(FRONT), {}, "takeoff.roof.fascia_depth_mm"),
    "soffit width": (house(FRONT, depth(200.0)), {}, "takeoff.roof.soffit_width_mm"),
    "pitch of a box end": (
        house(FRONT, depth(200.0), soffits=(soffit("s", 300.0),)),
        {"lines": BOXED},
        "roof.pitch_deg",
    ),
    "barge depth": (house(*rakes(8000.0, 3000.0)), {}, "takeoff.roof.barge_depth_mm"),
}


@pytest.mark.parametrize("reason", UNKNOWN)
def test_a_size_that_nobody_knows_stops_its_line(reason):
    """The sentence names what to measure and the field to state instead."""
    job, words, field = UNKNOWN[reason]

    takeoff, reasons = stops(job, **words)

    assert field in reasons[0]
    assert takeoff.quantities == ()
    assert takeoff.plan is None


def test_a_stopped_line_costs_no_other():
    """The rear has a depth and a soffit, the front has neither."""
    rear = (eaves("rear eaves", 5000.0, photo="rear"), depth(200.0, photo="rear"))
    job = measured(
        elevation("front", (FRONT,)), elevation("rear", rear, (soffit("s", 250.0),))
    )

    takeoff, reasons = stops(job)

    assert len(reasons) == 1
    assert {piece.line for piece in takeoff.pieces} == {"rear: rear eaves"}


ASBESTOS = {
    "nothing stated": ({}, True),
    "old sheet": ({"year_built": 1975, "soffit_look": "cement sheet"}, True),
    "old unknown": ({"year_built": 1999}, True),
    "old timber": ({"year_built": 1975, "soffit_look": "timber"}, False),
    "age unknown, plastic": ({"soffit_look": "plastic"}, False),
    "late sheet": ({"year_built": 2000, "soffit_look": "cement sheet"}, False),
    "surveyed": ({"year_built": 1975, "asbestos_survey": "not found"}, False),
    "removed": ({"year_built": 1975, "asbestos_survey": "removed"}, False),
    "found": ({"year_built": 1975, "asbestos_survey": "found"}, True),
    "found in a late house": ({"year_built": 2005, "asbestos_survey": "found"}, True),
}


@pytest.mark.parametrize("reason", ASBESTOS)
def test_boards_that_may_hold_asbestos_stop_the_take_off(reason):
    """By age and look, until somebody states a survey's result."""
    words, stopped = ASBESTOS[reason]
    takeoff = take_off(gabled(), TakeoffSpec.model_validate({**GABLED, **words}), draws=0)

    assert bool(takeoff.takeoff.stops) == stopped
    assert bool(takeoff.takeoff.pieces) != stopped
    for stop in takeoff.takeoff.stops:
        assert "asbestos" in stop.reason
        assert "takeoff.asbestos_survey" in stop.reason
    assert len(takeoff.takeoff.stops) == stopped  # said once, not for each line
    if stopped:
        (stop,) = takeoff.takeoff.stops
        assert len(stop.lines) == 4
        assert all(line in stop.reason for line in stop.lines)


def test_one_line_of_another_look_is_stopped_alone():
    """A rear extension with sheet soffits."""
    lines = [
        *GABLED["lines"][:1],
        {**GABLED["lines"][1], "soffit_look": "cement sheet"},
    ]
    words = {**GABLED, "year_built": 1975, "soffit_look": "timber", "lines": lines}

    takeoff = take_off(gabled(), TakeoffSpec.model_validate(words), draws=0).takeoff

    assert [stop.lines for stop in takeoff.stops] == [("rear: rear eaves",)]
    assert "front: front eaves" in {piece.line for piece in takeoff.pieces}


def wide(**words):
    return {"boards": {"fascia": {"widths_mm": [100]}}, **words}


STOCK = {"board": "fascia board", "width_mm": 225, "colour": "white", "length_mm": 5000}
REFUSED = {
    "country": ({"country": "atlantis"}, "takeoff.country: 'atlantis' is not known"),
    "rule": ({"rules": {"saw.kurf_mm": 3}}, 'write "saw.kerf_mm"'),
    "rule's value": ({"rules": {"saw.kerf_mm": None}}, "None is not a number"),
    "rule's list": ({"rules": {"saw.kerf_mm": [3]}}, "3 is not a number"),
    "line": ({"lines": [{"name": "frnt"}]}, "takeoff.lines[0].name: 'frnt' is not known"),
    "line twice": (
        {"lines": [{"name": "front eaves"}, {"name": "front eaves"}]},
        "takeoff.lines[1].name: 'front eaves' is there already",
    ),
    "board too narrow": (wide(), "state wider boards in takeoff.boards.fascia.widths_mm"),
    "price": ({"stock": [{**STOCK, "price": "dear"}]}, 'stock[0].price: "dear"'),
    "price of nothing": ({"stock": [{**STOCK, "price": "0"}]}, "give a price above zero"),
    "price not a number": ({"stock": [{**STOCK, "price": "NaN"}]}, "the price is NaN"),
    "one price missing": (
        {"stock": [{**STOCK, "price": "30"}, {**STOCK, "length_mm": 4000}]},
        "the 4000 mm board has no price",
    ),
    "offcut without a count": ({"stock": [{**STOCK, "in_hand": True}]}, "say how many"),
    "level foot too long": (
        {
            "rules": {"boards.barge.foot_cut": "level"},
            "roof": {**GABLED["roof"], "pitch_deg": 1},
        },
        "correct the ends of the run or the cut of the foot",
    ),
}


@pytest.mark.parametrize("reason", REFUSED)
def test_what_cannot_be_is_refused(reason):
    """One sentence with the place in the job."""
    words, sentence = REFUSED[reason]

    with pytest.raises(InputError) as caught:
        take_off(gabled(), spec(**{**GABLED, **words}), draws=0)

    assert sentence in str(caught.value)
    assert is_one_sentence(str(caught.value))


ASSUMED = {
    "ends": ({"lines": []}, "assumed that its left end meets nothing"),
    "barge depth": ({"roof": {}}, "assumed that the barge board is as deep as the fascia"),
    "rafters": ({"roof": {"barge_depth_mm": 220}}, "rafters assumed to lie 600 mm apart"),
    "odd corner": (
        {"lines": ends(front_eaves=("gable", "hip"), rear_eaves=("gable", "gable"))},
        "a corner joins two",
    ),
    "unused stock": ({"stock": [{**STOCK, "colour": "green"}]}, "Stock not used here"),
    "stated pitch": ({"roof": {"pitch_deg": 50}}, "the stated one was used, check it"),
    "few boards": ({"stock": [{**STOCK, "count": 50}]}, None),
}


@pytest.mark.parametrize("reason", ASSUMED)
def test_what_is_assumed_is_said(reason):
    """Each default is a caution that names its field, and no caution comes for nothing."""
    words, sentence = ASSUMED[reason]
    said = take_off(gabled(), spec(**{**GABLED, **words}), draws=0).takeoff.cautions
    usual = take_off(gabled(), spec(**GABLED), draws=0).takeoff.cautions

    if sentence:
        assert any(sentence in caution for caution in said)
        assert not any(sentence in caution for caution in usual)


def test_a_size_near_a_stock_width_is_said():
    """224 +- 3 may be wider than the 225 board."""
    front = (FRONT, depth(224.0))
    job = measured(elevation("front", front, (soffit("s", 280.0),)))

    takeoff, _ = stops(job, lines=ends(front_eaves=("gable", "gable")))

    assert any("lies near the 225 mm board" in text for text in takeoff.cautions)


def test_sound_facts_stop_nothing():
    """The facts all these tests begin with."""
    assert take_off(gabled(), spec(**GABLED), draws=0).takeoff.stops == ()
    assert set(SOUND) == {"year_built", "soffit_look"}
