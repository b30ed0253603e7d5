"""Drawing with mouse, finger and keyboard on the sample house."""

import pytest

from tests.ui.drawing.hands import EAVES, SCREENS, Hand, lines_of, quiet
from tests.ui.drawing.host import sample_house

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("default")]

BOTH = pytest.mark.parametrize("screen", SCREENS)


@BOTH
def test_two_taps_make_a_measured_line(house, work, screen):
    hand = work(house, screen)
    hand.press("Draw a line")
    for end in EAVES:
        hand.tap(end)
    hand.wait_saved(2)
    hand.page.wait_for_selector(".dr-label")

    (line,) = lines_of(house)

    assert line["role"] == "eaves"
    assert line["name"] == "front eaves"
    assert hand.touches == 3
    pixel = 1.0 if screen == "desktop" else 4.0  # a touch goes by whole device pixels
    assert all(
        abs(a - b) <= pixel
        for pick, end in zip(line["picks"], EAVES, strict=True)
        for a, b in zip(pick, end, strict=True)
    )


@BOTH
def test_one_slide_makes_a_line(house, work, screen):
    hand = work(house, screen)
    hand.press("Draw a line")
    hand.slide(*EAVES)
    hand.wait_saved(2)

    assert len(lines_of(house)) == 1
    assert hand.touches == 2


def test_the_label_is_the_length_that_the_library_computes(house, work):
    house.document["elevations"][0] = sample_house().document["elevations"][0]
    hand = work(house)
    hand.page.wait_for_selector(".dr-label")

    assert hand.labels() == ["7.659 m ± 40 mm"]


@BOTH
def test_a_dragged_end_keeps_the_grab_offset_and_is_one_step_back(house, work, screen):
    house.document["elevations"][0]["lines"] = [
        {"name": "e", "role": "eaves", "picks": EAVES}
    ]
    hand = work(house, screen)
    x, y = EAVES[1]
    grabbed = x + 30, y - 30
    hand.slide(grabbed, (grabbed[0] - 400, grabbed[1] + 300))
    hand.wait_saved(2)
    moved = lines_of(house)[0]["picks"][1]

    assert moved == pytest.approx([x - 400, y + 300], abs=8.0)

    hand.press("Undo")
    hand.wait_saved(3)

    assert lines_of(house)[0]["picks"][1] == list(EAVES[1])


def test_a_resting_finger_aims_finely(house, work):
    house.document["elevations"][0]["lines"] = [
        {"name": "e", "role": "eaves", "picks": EAVES}
    ]
    hand = work(house, "phone")
    x, y = EAVES[1]
    hand.slide((x, y), (x - 200, y), rest_ms=500)
    hand.wait_saved(2)
    moved = lines_of(house)[0]["picks"][1][0]

    assert x - moved == pytest.approx(40, abs=8)  # a fifth of the way


def test_the_magnifier_is_away_from_the_finger(house, work):
    hand = work(house, "phone")
    hand.press("Draw a line")
    place = hand.place((700, 900))
    hand.down(place)
    hand.page.wait_for_timeout(450)
    box = hand.page.locator(".dr-loupe").bounding_box()
    hand.up(place)

    assert box["x"] > place[0] + 44


@BOTH
def test_ends_are_joined_and_then_move_together(house, work, screen):
    apex = (2001.95, 538.12)
    house.document["elevations"][0]["lines"] = [
        {"name": "l", "role": "rake", "picks": [(1073.85, 1317.91), apex]}
    ]
    hand = work(house, screen)
    hand.press("Draw a line")
    near = 25 if screen == "phone" else 10
    hand.slide((3070.0, 1175.0), (apex[0] + near, apex[1] + near))
    hand.wait_saved(2)

    assert lines_of(house)[1]["picks"][1] == list(apex)

    hand.slide(apex, (apex[0], apex[1] + 200))
    hand.wait_saved(3)
    left, right = lines_of(house)

    assert left["picks"][1] == right["picks"][1] != list(apex)


def test_pinching_keeps_the_points_under_the_fingers(house, work):
    hand = work(house, "phone")
    box = hand.page.locator(".dr-stage").bounding_box()
    middle = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    at = lambda dx: (middle[0] + dx, middle[1])  # noqa: E731
    ask = "([x, y]) => window.mounted.pointAt(x, y)"
    before = hand.page.evaluate(ask, list(at(-40)))
    hand.fingers("touchStart", at(-40), at(40))
    for step in range(1, 11):
        hand.fingers("touchMove", at(-40 - 8 * step), at(40 + 8 * step))
    hand.fingers("touchEnd")
    after = hand.page.evaluate(ask, list(at(-120)))

    assert after == pytest.approx(before, abs=3.0)
    assert lines_of(house) == []


def test_a_clear_edge_is_taken_and_an_unclear_one_is_asked(house, work):
    edge = [[750.0, 930.0], [3160.0, 1006.0]]
    house.snap = {
        "candidates": [
            {"ends": edge, "across_sd_px": 0.3, "probability": 0.97, "said": "x"}
        ],
        "clear": True,
    }
    hand = work(house)
    hand.press("Draw a line")
    hand.slide(*EAVES)
    hand.page.wait_for_function("document.querySelector('.dr-word').textContent !== ''")
    hand.wait_saved(2)
    quiet(hand)

    assert lines_of(house)[0]["picks"] == edge

    other = [[750.0, 950.0], [3160.0, 1026.0]]
    house.snap = {
        "candidates": [
            {"ends": edge, "across_sd_px": 0.3, "probability": 0.5, "said": "upper edge"},
            {"ends": other, "across_sd_px": 0.3, "probability": 0.4, "said": "lower edge"},
        ],
        "clear": False,
    }
    hand.press("Lay on the edge")
    hand.press("2: lower edge")
    quiet(hand)

    assert lines_of(house)[0]["picks"] == other


def test_snapping_moves_no_other_line(house, work):
    apex = [2001.95, 538.12]
    house.document["elevations"][0]["lines"] = [
        {"name": "l", "role": "rake", "picks": [[1073.85, 1317.91], apex]}
    ]
    edge = [[3080.0, 1180.0], [2011.0, 541.0]]
    house.snap = {
        "candidates": [
            {
                "ends": edge,
                "across_sd_px": 0.3,
                "pick_sd_px": 0.4,
                "probability": 1,
                "said": "",
            }
        ],
        "clear": True,
    }
    hand = work(house)
    hand.press("Draw a line")
    hand.slide((3070.0, 1175.0), (2005.0, 540.0))
    hand.page.wait_for_function("document.querySelector('.dr-word').textContent !== ''")
    quiet(hand)
    left, right = lines_of(house)

    assert left["picks"][1] == apex
    assert right["picks"] == [edge[0], apex]
    assert "pick_sd_px" not in right  # one end lies where a hand put it


def test_a_proposal_is_taken_by_one_touch(house, work):
    house.read["proposals"] = [
        {
            "role": "eaves",
            "picks": EAVES,
            "confidence": 0.9,
            "said": "7.6 m along the eaves",
        }
    ]
    hand = work(house, "phone")
    hand.press("Read the photo")
    hand.page.wait_for_selector(".dr-proposal")
    hand.tap((1950.0, 969.0))
    hand.wait_saved(2)

    assert [line["role"] for line in lines_of(house)] == ["eaves"]
    assert hand.page.locator(".dr-proposal").count() == 0


def test_keyboard_alone_draws_moves_and_takes_back(house, work):
    hand = work(house)
    page = hand.page
    page.locator(".dr-bar [data-tool=line]").focus()
    page.keyboard.press("Enter")
    page.keyboard.press("Enter")
    for _ in range(5):
        page.keyboard.press("Shift+ArrowRight")
    page.keyboard.press("Enter")
    hand.wait_saved(2)
    start, end = lines_of(house)[0]["picks"]

    assert [end[0] - start[0], end[1] - start[1]] == pytest.approx([50.0, 0.0])

    for _ in range(30):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.dataset.at") == "1":
            break
    page.keyboard.press("Alt+ArrowDown")
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("ArrowLeft")
    hand.wait_saved(3)
    moved = lines_of(house)[0]["picks"][1]

    assert [moved[0] - end[0], moved[1] - end[1]] == pytest.approx([-2.0, 0.1])

    page.keyboard.press("Control+z")
    page.keyboard.press("Control+z")  # the keyboard is still on the stage
    hand.wait_saved(4)
    quiet(hand)

    assert lines_of(house) == []

    page.keyboard.press("Control+y")
    quiet(hand)

    assert len(lines_of(house)) == 1


def test_delete_on_a_line_takes_the_line_and_on_a_bend_the_bend(house, work):
    bent = [EAVES[0], (2000.0, 900.0), EAVES[1]]
    house.document["elevations"][0]["lines"] = [
        {"name": "e", "role": "eaves", "picks": bent}
    ]
    hand = work(house)
    hand.page.locator("[data-shape='lines/0/picks'][data-at='1']").focus()
    hand.page.keyboard.press("Delete")
    quiet(hand)

    assert len(lines_of(house)[0]["picks"]) == 2

    hand.page.locator(".dr-shape[data-shape='lines/0/picks']").focus()
    hand.page.keyboard.press("Delete")
    quiet(hand)

    assert lines_of(house) == []


def test_a_line_is_named_hung_and_deleted(house, work):
    house.document["elevations"][0]["lines"] = [
        {"name": "e", "role": "eaves", "picks": EAVES}
    ]
    hand = work(house)
    hostile = "<img src=x onerror=alert(1)> ${1+1} {{7*7}}"
    hand.tap((1950.0, 969.0))
    hand.page.get_by_label("Name").fill(hostile)
    hand.page.get_by_label("What it is").select_option("rake")
    hand.page.get_by_label("How far it hangs").select_option("known")
    projection = hand.page.get_by_role("textbox", name="In front of the wall")
    projection.fill("300")
    projection.press("Tab")
    hand.wait_saved(2)
    quiet(hand)
    line = lines_of(house)[0]

    assert (line["name"], line["role"], line["projection_mm"]) == (hostile, "rake", 300)
    assert hand.page.locator(".dr-row-name").first.text_content() == hostile
    assert hand.page.locator("img[src=x]").count() == 0

    hand.press("Delete")
    quiet(hand)

    assert lines_of(house) == []


@BOTH
def test_everything_to_touch_is_large_enough_and_named(house, work, screen):
    hand = work(house, screen)
    hand.press("Draw a line")
    hand.slide(*EAVES)
    hand.press("Add a reference")
    small = hand.page.evaluate(
        """() => [...document.querySelectorAll(".dr-root :is(button, select, input)")]
          .filter((one) => one.offsetParent && !one.hidden)
          .map((one) => [one.textContent || one.id, one.getBoundingClientRect()])
          .filter(([, box]) => box.height < 43.5 || box.width < 43.5)
          .map(([name]) => name)"""
    )
    nameless = hand.page.evaluate(
        """() => [...document.querySelectorAll(".dr-root [tabindex], .dr-root button")]
          .filter((one) => !(one.getAttribute("aria-label") || one.textContent))
          .length"""
    )
    wide = hand.page.evaluate("document.documentElement.scrollWidth - innerWidth")

    assert small == []
    assert nameless == 0
    assert wide <= 0


def test_feet_and_inches_are_shown_where_they_are_used(house, browser, serve):
    house.document["elevations"][0]["lines"] = [
        {"name": "e", "role": "eaves", "picks": EAVES}
    ]
    hand = Hand(browser, serve({"house": house}).address + "/?unit=ft-in", "desktop")
    hand.page.wait_for_selector(".dr-label")
    (label,) = hand.labels()
    hand.context.close()

    assert label.startswith("25 ft")
    assert "±" in label
