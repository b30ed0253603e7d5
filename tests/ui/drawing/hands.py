"""A page with a hand on it: mouse or real touch events, on places given in image pixels."""

from itertools import pairwise
from typing import Any, Final

SCREENS: Final = {
    "desktop": {"viewport": {"width": 1440, "height": 900}},
    "phone": {
        "viewport": {"width": 390, "height": 844},
        "device_scale_factor": 3,
        "has_touch": True,
        "is_mobile": True,
    },
}


WHERE: Final = """() => {
    const photo = document.querySelector(".dr-photo");
    const at = new DOMMatrix(getComputedStyle(photo).transform);
    const box = document.querySelector(".dr-stage").getBoundingClientRect();
    return [box.left + at.e, box.top + at.f, at.a];
}"""
"""Where the photo's corner lies in the window, and CSS pixels per image pixel."""


EAVES: Final = (749.37, 931.72), (3158.96, 1007.37)
"""The sample front's, in image pixels."""

PATIENCE_MS: Final = 60_000
"""A shared machine may take so long for what takes a second; nothing is measured by it."""


class Hand:
    """Works on one page as a person does.

    Attributes
    ----------
    page : Page
        Playwright's.
    touches : int
        How often a finger or the mouse went down, on the stage or a button.
    """

    def __init__(self, browser: Any, address: str, screen: str, **more: Any) -> None:
        self.context = browser.new_context(**SCREENS[screen], **more)
        self.page = self.context.new_page()
        self.page.set_default_timeout(PATIENCE_MS)
        self.faults: list[str] = []
        self.hosts: set[str] = set()
        self.page.on("pageerror", lambda error: self.faults.append(str(error)))
        self.page.on("request", lambda request: self.hosts.add(request.url.split("/")[2]))
        self._finger = screen == "phone"
        self._devtools = self.context.new_cdp_session(self.page) if self._finger else None
        self.touches = 0
        self.open(address)

    def open(self, address: str) -> None:
        """Go to the page and wait until it can be used."""
        self.page.goto(address)
        self.wait_drawing()

    def wait_drawing(self) -> None:
        """Wait until the photo is shown and the server has answered."""
        self.page.wait_for_function(
            "document.querySelector('.dr-preview')?.complete"
            " && document.querySelector('.dr-scale-said')?.textContent !== ''"
        )

    def press(self, words: str) -> None:
        """Press the button of this name."""
        button = self.page.get_by_role("button", name=words, exact=True).first
        button.tap() if self._finger else button.click()
        self.touches += 1

    def place(self, point: tuple[float, float]) -> tuple[float, float]:
        """Return where a point of the photo lies in the window."""
        x, y, scale = self.page.evaluate(WHERE)
        return x + (point[0] + 0.5) * scale, y + (point[1] + 0.5) * scale

    def tap(self, point: tuple[float, float]) -> None:
        """Touch a point of the photo, once it is in sight and lies still."""
        self.page.locator(".dr-stage").scroll_into_view_if_needed()
        before = None
        while before != (now := self.page.evaluate(WHERE)):
            before = now
            self.page.wait_for_timeout(60)
        self.slide(point)

    def slide(self, *points: tuple[float, float], rest_ms: int = 0) -> None:
        """Slide over points of the photo, the finger resting at the first."""
        places = [self.place(point) for point in points]
        self.down(places[0])
        if rest_ms:
            self.page.wait_for_timeout(rest_ms)
        for before, after in pairwise(places):
            for step in range(1, 11):
                self.move(
                    tuple(
                        a + (b - a) * step / 10 for a, b in zip(before, after, strict=True)
                    )
                )
        self.up(places[-1])

    def down(self, place: tuple[float, float]) -> None:
        """Put the finger down at a place of the window."""
        self.touches += 1
        if self._finger:
            self.fingers("touchStart", place)
        else:
            self.page.mouse.move(*place)
            self.page.mouse.down()

    def move(self, place: tuple[float, float]) -> None:
        """Move it."""
        self.fingers("touchMove", place) if self._finger else self.page.mouse.move(*place)

    def up(self, place: tuple[float, float]) -> None:  # noqa: ARG002
        """Lift it."""
        self.fingers("touchEnd") if self._finger else self.page.mouse.up()

    def fingers(self, kind: str, *places: tuple[float, float]) -> None:
        """Send one real touch event with some fingers."""
        touching = [{"x": x, "y": y, "id": i} for i, (x, y) in enumerate(places)]
        self._devtools.send(
            "Input.dispatchTouchEvent", {"type": kind, "touchPoints": touching}
        )

    def wait_saved(self, revision: int) -> None:
        """Wait until a revision of the work is on the server."""
        self.page.wait_for_function(f"window.revision >= {revision}")

    def labels(self) -> list[str]:
        """Return the lengths beside the lines."""
        return self.page.locator(".dr-label").all_text_contents()


def quiet(hand):
    """Wait until everything drawn is on the server."""
    hand.page.wait_for_timeout(60)  # a step is told to the saving in the same turn
    hand.page.wait_for_selector(".dr-saved[data-phase=saved]")


def lines_of(kept):
    """Return the lines of the first elevation as the server keeps them."""
    return kept.document["elevations"][0]["lines"]
