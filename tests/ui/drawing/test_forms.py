"""What is rarely said has its place too: how sure a reference is, and where it lies."""

import pytest

from tests.ui.drawing.hands import quiet
from tests.ui.drawing.host import sample_house

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("default")]


def front(house):
    """Return the front as the server keeps it."""
    return house.document["elevations"][0]


@pytest.fixture
def whole(house):
    """Return the sample house with its line and its soffit."""
    house.document["elevations"][0] = sample_house().document["elevations"][0]
    return house


def test_a_tape_says_how_sure_it_is_and_where_it_was_held(house, work):
    front(house)["references"] = []
    hand = work(house)
    hand.press("Add a reference")
    hand.page.locator(".dr-menu [data-tool=distance]").click()
    hand.slide((725.0, 2521.0), (1992.0, 2475.0))
    hand.page.get_by_label("The tape read").fill("3597")
    hand.press("How sure, and where it lies")
    hand.page.get_by_label("Give or take (sd)", exact=True).fill("25")
    hand.page.get_by_label("It lies").select_option("behind")
    hand.press("Put it in")

    assert front(house)["references"] == []  # behind by how much?

    hand.page.get_by_label("By how much").fill("90")
    hand.press("Put it in")
    quiet(hand)
    (tape,) = front(house)["references"]

    assert (tape["sd_mm"], tape["projection_mm"], tape["projection_sd_mm"]) == (25, -90, 10)

    hand.page.locator(".dr-row", has_text="Taped length").click()
    hand.press("How sure, and where it lies")
    hand.page.get_by_label("It lies").select_option("face")
    hand.press("Keep")
    quiet(hand)

    assert "projection_mm" not in front(house)["references"][0]
    assert front(house)["references"][0]["sd_mm"] == 25


def test_what_was_not_touched_is_not_written(house, work):
    before = dict(front(house)["references"][2])
    hand = work(house)
    hand.page.locator(".dr-row", has_text="left quoin to door jamb").click()
    hand.press("Keep")
    hand.page.wait_for_timeout(100)
    quiet(hand)

    assert front(house)["references"][2] == before


@pytest.mark.parametrize("screen", ["desktop", "phone"])
def test_the_ground_below_a_soffit_is_pointed_at_moved_and_taken_out(whole, work, screen):
    front(whole)["soffits"][0].pop("ground", None)
    hand = work(whole, screen)
    hand.page.locator(".dr-row", has_text="front soffit").click()
    hand.press("Point to the ground below it")
    hand.tap((1950.0, 2590.0))
    quiet(hand)
    ground = front(whole)["soffits"][0]["ground"]

    assert ground == pytest.approx([1950.0, 2590.0], abs=5.0)

    handle = hand.page.locator("[data-shape='soffits/0/ground'][data-at='0']")
    handle.focus()
    hand.page.keyboard.press("ArrowDown")
    quiet(hand)

    assert front(whole)["soffits"][0]["ground"][1] == pytest.approx(ground[1] + 1.0)

    handle.focus()
    hand.page.keyboard.press("Delete")
    quiet(hand)
    (soffit,) = front(whole)["soffits"]

    assert "ground" not in soffit
    assert len(soffit["outer_edge"]) == 2


def test_lens_picks_and_wall_are_stated(whole, work):
    hand = work(whole)
    hand.page.wait_for_selector(".dr-label")
    before = hand.labels()
    hand.press("Photo and wall")
    hand.page.get_by_label("How well points are placed").fill("3")
    hand.page.get_by_label("How flat the wall is").fill("20")
    lens = hand.page.get_by_label("Focal length of the lens")
    lens.fill("26")
    lens.press("Tab")
    quiet(hand)
    kept = front(whole)

    assert (kept["pick_sd_px"], kept["wall_relief_sd_mm"]) == (3, 20)
    assert kept["camera"]["focal_35mm"] == 26

    hand.page.wait_for_function(
        "before => document.querySelector('.dr-label')?.textContent !== before",
        arg=before[0],
    )
    lens.fill("")
    lens.press("Tab")
    quiet(hand)

    assert "focal_35mm" not in front(whole)["camera"]


def test_everything_in_the_forms_is_large_enough(whole, work):
    hand = work(whole, "phone")
    hand.page.locator(".dr-row", has_text="left quoin to door jamb").click()
    hand.press("How sure, and where it lies")
    hand.press("Photo and wall")
    small = hand.page.evaluate(
        """() => [...document.querySelectorAll(".dr-panel :is(button, select, input)")]
          .filter((one) => one.offsetParent)
          .map((one) => [one.textContent || one.id, one.getBoundingClientRect()])
          .filter(([, box]) => box.height < 43.5 || box.width < 43.5)
          .map(([name]) => name)"""
    )

    assert small == []
    assert hand.page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
