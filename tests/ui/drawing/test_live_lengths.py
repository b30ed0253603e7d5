"""A length is shown beside the line that it was measured from, or not at all."""

import pytest

from tests.ui.drawing.hands import EAVES, lines_of

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("default")]

OTHER = (1000.0, 2000.0), (1700.0, 1980.0)


@pytest.fixture
def hand(house, work):
    """Return a hand on two measured lines."""
    house.document["elevations"][0]["lines"] = [
        {"name": "e", "role": "eaves", "picks": EAVES},
        {"name": "w", "role": "wall", "picks": OTHER},
    ]
    hand = work(house)
    labels(hand, "±", "±")
    return hand


def labels(hand, *parts):
    """Wait until the labels hold these, and return them."""
    hand.page.wait_for_function(
        """parts => {
            const labels = [...document.querySelectorAll('.dr-label')];
            return labels.length === parts.length
                && parts.every((part, i) => labels[i].textContent.includes(part));
        }""",
        arg=list(parts),
    )
    return hand.labels()


def shorten(hand):
    """Drag an end of the first line."""
    x, y = EAVES[1]
    hand.slide((x, y), (x - 500, y - 10))


def test_on_a_slow_connection_a_moved_line_says_that_it_is_being_measured(hand):
    before = hand.labels()
    held, slow = [], [True]

    def pass_on(route):
        held.append(route) if slow else route.continue_()

    hand.page.route("**/measure", pass_on)
    shorten(hand)
    waiting = labels(hand, "measuring", "±")

    assert waiting[1] == before[1]

    slow.clear()
    for route in held:
        route.continue_()
    after = labels(hand, "±", "±")

    assert after[0] != before[0]
    assert after[1] == before[1]


def test_without_a_connection_a_moved_line_has_no_length(hand, house):
    before = hand.labels()
    hand.page.route("**/measure", lambda route: route.abort())
    shorten(hand)
    hand.wait_saved(2)

    assert labels(hand, "±") == before[1:]
    assert "not up to date" in hand.page.locator(".dr-scale-said").text_content()

    hand.press("Undo")  # the line is again what was measured

    assert labels(hand, "±", "±") == before
    assert len(lines_of(house)) == 2
