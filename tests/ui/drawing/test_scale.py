"""What gives the scale is drawn, typed, counted, or found and confirmed."""

import pytest

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("default")]


def test_a_taped_length_waits_for_its_size(house, work):
    house.document["elevations"][0]["references"] = []
    hand = work(house)
    hand.press("Add a reference")
    hand.page.locator(".dr-menu [data-tool=distance]").click()
    hand.slide((725.0, 2521.0), (1992.0, 2475.0))
    hand.press("Put it in")

    assert house.document["elevations"][0]["references"] == []

    hand.page.get_by_label("The tape read").fill("3.597 m")
    hand.press("Put it in")
    hand.wait_saved(2)
    (tape,) = house.document["elevations"][0]["references"]

    assert (tape["kind"], tape["length_mm"], tape["direction"]) == (
        "distance",
        3597,
        "level",
    )


def test_courses_are_counted(house, work):
    house.document["elevations"][0]["references"] = []
    hand = work(house)
    hand.press("Add a reference")
    hand.page.locator(".dr-menu [data-tool=courses_up]").click()
    hand.tap((732.0, 2576.0))
    hand.tap((2560.0, 1132.0))
    hand.press("Done")
    hand.page.get_by_label("Point 2").fill("58")
    hand.page.get_by_label("Bricks", exact=True).select_option("uk-metric")
    hand.press("Put it in")
    hand.wait_saved(2)
    (run,) = house.document["elevations"][0]["references"]

    assert run["counts"] == [0, 58]
    assert run["format"] == "uk-metric"


def test_a_found_reference_is_confirmed_or_left(house, work):
    level = {"kind": "level", "name": "sill", "ends": [[900.0, 1700.0], [1600.0, 1690.0]]}
    other = {"kind": "plumb", "name": "jamb", "ends": [[2000.0, 2500.0], [1990.0, 1900.0]]}
    house.read["references"] = [
        {
            "reference": one,
            "confidence": 0.9,
            "said": said,
            "drawn": {"lines": [one["ends"]]},
        }
        for one, said in ((level, "a sill"), (other, "a jamb"))
    ]
    before = len(house.document["elevations"][0]["references"])
    hand = work(house)
    hand.press("Read the photo")
    hand.press("Not this: a jamb")
    hand.press("Use it: a sill")
    hand.wait_saved(2)

    assert house.document["elevations"][0]["references"][before:] == [level]
    assert hand.page.locator(".dr-found-reference").count() == 0
