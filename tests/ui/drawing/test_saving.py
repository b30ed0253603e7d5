"""What is drawn is saved once, in order, and lost by no fault of the net."""

import copy

import pytest

from photomeasure.job.schema import ElevationSpec
from tests.ui.drawing.hands import EAVES, lines_of, quiet
from tests.ui.drawing.host import answer, measured

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("default")]


def test_a_late_answer_is_never_shown_after_a_newer_one(house, work):
    house.document["elevations"][0]["lines"] = [
        {"name": "e", "role": "eaves", "picks": EAVES}
    ]
    hand = work(house)
    hand.page.wait_for_selector(".dr-label")
    asked = len(house.asked)
    x, y = EAVES[1]
    hand.slide((x, y), (x - 800, y), (x, y), (x - 500, y))
    hand.wait_saved(2)
    hand.page.wait_for_timeout(400)
    (label,), last = hand.labels(), house.asked[-1]["elevation"]
    (line,) = answer(0, measured(last, house.folder), ElevationSpec.model_validate(last))[
        "lines"
    ]

    assert len(house.asked) > asked
    assert last["lines"] == lines_of(house)
    assert label == line["said"]


def test_conflict_on_another_elevation_is_settled_without_asking(house, work):
    hand = work(house)
    other = copy.deepcopy(house.document)
    other["elevations"][1]["lines"][0]["name"] = "renamed elsewhere"
    house.document, house.revision = other, 2
    hand.press("Draw a line")
    hand.slide(*EAVES)
    hand.wait_saved(3)

    assert len(lines_of(house)) == 1
    assert house.document["elevations"][1]["lines"][0]["name"] == "renamed elsewhere"


@pytest.mark.parametrize("keep", ["Keep mine", "Take theirs"])
def test_conflict_on_one_elevation_is_asked_and_keeps_both(house, work, keep):
    hand = work(house)
    other = copy.deepcopy(house.document)
    theirs = {"name": "front eaves", "role": "rake", "picks": EAVES}
    other["elevations"][0]["lines"] = [theirs]
    house.document, house.revision = other, 2
    hand.press("Draw a line")
    hand.slide(*EAVES)
    hand.press(keep)
    quiet(hand)
    roles = ["eaves", "rake"] if keep == "Keep mine" else ["rake", "eaves"]

    assert [line["role"] for line in lines_of(house)] == roles[:1]

    hand.press("Undo")
    quiet(hand)

    assert [line["role"] for line in lines_of(house)] == roles[1:]


def test_others_work_waits_until_the_hand_is_off(house, work):
    """What comes in while an end is dragged is not undone by letting go."""
    house.document["elevations"][0]["lines"] = [
        {"name": "e", "role": "eaves", "picks": EAVES}
    ]
    hand = work(house)
    other = copy.deepcopy(house.document)
    theirs = {"name": "theirs", "role": "wall", "picks": [[1000, 2000], [1700, 1980]]}
    other["elevations"][0]["lines"].append(theirs)
    house.document, house.revision = other, 2
    (x, y), far = EAVES[1], 300
    hand.slide((x, y), (x - far, y))
    hand.down(hand.place((x - far, y)))
    hand.move(hand.place((x - far - 50, y)))
    hand.page.wait_for_selector(".dr-saved[data-phase=conflict]")
    hand.page.wait_for_timeout(300)
    hand.move(hand.place((x - 2 * far, y)))
    hand.up(hand.place((x - 2 * far, y)))
    hand.wait_saved(3)
    quiet(hand)
    mine, kept = lines_of(house)

    assert mine["picks"][1][0] == pytest.approx(x - 2 * far, abs=8.0)
    assert kept["name"] == "theirs"


def test_a_dropped_connection_is_tried_again(house, work):
    hand = work(house)
    hand.context.set_offline(True)
    hand.press("Draw a line")
    hand.slide(*EAVES)
    hand.page.wait_for_selector(".dr-saved[data-phase=dropped]")

    assert lines_of(house) == []

    hand.context.set_offline(False)
    hand.wait_saved(2)

    assert len(lines_of(house)) == 1


def test_unsaved_work_is_offered_after_a_reload(house, work):
    house.refuse_saves = True
    hand = work(house)
    hand.press("Draw a line")
    hand.slide(*EAVES)
    hand.page.wait_for_selector(".dr-saved[data-phase=refused]")
    house.refuse_saves = False
    hand.page.reload()
    hand.press("Take it up")
    hand.wait_saved(2)

    assert len(lines_of(house)) == 1
    assert hand.page.evaluate("localStorage.length") == 0


def test_no_other_host_is_asked(house, work):
    hand = work(house)
    hand.press("Draw a line")
    hand.slide(*EAVES)
    hand.wait_saved(2)

    assert len(hand.hosts) == 1
