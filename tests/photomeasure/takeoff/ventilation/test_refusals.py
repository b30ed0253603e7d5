"""Nothing is sized that nobody described, and nonsense is refused in one sentence."""

from dataclasses import replace

import pytest

from calibration.errors import InputError
from photomeasure.job.ventilation import (
    CeilingSeal,
    Covering,
    Regulation,
    RoofForm,
    UnderlayClass,
)
from photomeasure.takeoff.measured import Measured
from photomeasure.takeoff.ventilation import (
    Continuous,
    Roof,
    Run,
    Spaced,
    judge,
    pieces_along,
    spaced_along,
)
from tests.photomeasure.takeoff.ventilation.roofs import (
    IRELAND,
    PLAIN,
    UK,
    USA,
    eaves,
    strip,
)

BS = Regulation.BS_5250
LOW = replace(PLAIN, underlay=UnderlayClass.LOW_RESISTANCE)
SEALED = replace(LOW, ceiling=CeilingSeal.WELL_SEALED)
FLAT = replace(PLAIN, pitch_rad=Measured(0.1))


@pytest.mark.parametrize(
    ("roof", "regulation", "says"),
    [
        (PLAIN, None, "state the regulation"),
        (replace(PLAIN, form=None), BS, "the roof's form"),
        (replace(PLAIN, underlay=None), BS, "the class of the underlay"),
        (replace(PLAIN, ceiling=None), BS, "the kind of ceiling"),
        (replace(PLAIN, pitch_rad=None), BS, "the pitch is not known"),
        (replace(LOW, pitch_rad=None), BS, "the pitch is not known"),
        (replace(PLAIN, form=RoofForm.HIPPED), BS, "hipped"),
        (replace(PLAIN, underlay=UnderlayClass.NONE), BS, "without an underlay"),
        (SEALED, BS, "whether air passes between the tiles"),
        (replace(SEALED, covering=Covering.AIR_TIGHT), BS, "no air passes over"),
        (replace(LOW, dwelling=False), BS, "larger building"),
        (replace(LOW, pitch_rad=FLAT.pitch_rad), BS, "25 mm of one of high resistance"),
        (replace(LOW, form=RoofForm.ROOM_IN_ROOF), BS, "are the safe side"),
        (LOW, Regulation.TGD_F_2009, "TGD F 2009 is held for an underlay of low"),
        (
            replace(PLAIN, form=RoofForm.ROOM_IN_ROOF),
            Regulation.TGD_F_2009,
            "a room in the roof",
        ),
        (PLAIN, Regulation.IRC_2018, "hold no slots"),
        (Roof(), None, "the regulation, the roof's form, the class of the underlay"),
    ],
)
def test_eaves_are_not_judged_without_the_facts(roof, regulation, says):
    """Passed is None, nothing is required, and the sentence says what is missing."""
    # The rules of Ireland are those of the United Kingdom and a regulation more.
    verdict = judge(roof, regulation, IRELAND, [eaves(strip(25))], []).verdicts[0]

    assert (verdict.passed, verdict.required) == (None, None)
    assert says in verdict.sentence


def test_means_that_nobody_stated_are_not_taken_as_none():
    """Unknown means: cannot be judged. No means at all: fails."""
    unknown = Run(name="front", length_mm=Measured(8000.0), means=None)
    verdicts = judge(PLAIN, BS, UK, [unknown, eaves()], []).verdicts

    assert [verdict.passed for verdict in verdicts[:2]] == [None, False]


def test_span_alone_missing_leaves_the_eaves_judged():
    """The eaves go by the pitch; high level cannot be told."""
    roof = replace(PLAIN, span_mm=None)
    low, high = judge(roof, BS, UK, [eaves(strip(10))], []).verdicts

    assert (low.passed, high.passed) == (True, None)
    assert "the span is not known" in high.sentence


def test_steep_roof_with_low_resistance_underlay_is_not_guessed():
    """The figures held give high openings under high resistance only."""
    steep = replace(LOW, pitch_rad=Measured(0.8))
    low, high = judge(steep, BS, UK, [eaves(strip(7))], []).verdicts

    assert (low.passed, high.passed) == (True, None)
    assert "their 5 mm are the safe side" in high.sentence


@pytest.mark.parametrize(
    "change",
    [
        {"pitch_rad": Measured(0.8)},
        {"span_mm": Measured(12_000.0)},
        {"form": RoofForm.MONOPITCH},
    ],
)
def test_one_of_two_levels_is_not_enough_for_certain_on_such_a_roof(change):
    """The choice of eaves or ridge was read for a plain roof: the rest stays open."""
    roof = replace(SEALED, covering=Covering.AIR_OPEN, **change)
    low, high = judge(roof, BS, UK, [eaves(strip(3))], []).verdicts

    assert (low.passed, high.passed) == (True, None)


def test_country_without_slots_says_so():
    """The American rules hold areas, not slots."""
    verdict = judge(PLAIN, BS, USA, [eaves(strip(10))], []).verdicts[0]

    assert verdict.passed is None
    assert "United States of America hold no slots of BS 5250" in verdict.sentence


@pytest.mark.parametrize(
    ("make", "arguments"),
    [
        (Continuous, {"name": "strip", "free_mm2_per_m": 0.0}),
        (Spaced, {"name": "disc", "free_mm2_each": -1.0, "spacing_mm": 200.0}),
        (Spaced, {"name": "disc", "free_mm2_each": 1.0, "spacing_mm": float("nan")}),
        (Run, {"name": "front", "length_mm": Measured(0.0), "means": ()}),
        (pieces_along, {"length_mm": 0.0, "piece_mm": 1000.0}),
        (pieces_along, {"length_mm": 1000.0, "piece_mm": 100.0, "lap_mm": 100.0}),
        (pieces_along, {"length_mm": 1000.0, "piece_mm": 100.0, "lap_mm": -1.0}),
        (spaced_along, {"length_mm": 1000.0, "spacing_mm": 0.0}),
        (Measured, {"value": float("inf")}),
        (Measured, {"value": 1.0, "u": -0.1}),
    ],
)
def test_nonsense_is_refused_in_one_sentence(make, arguments):
    """An impossible number never becomes a verdict."""
    with pytest.raises(InputError, match=r"^[^\n]+ give [^\n]+\.$"):
        make(**arguments)
