"""Eyes, fingers and ears: WCAG 2.2 AA over every panel and state, in light and dark.

Beside our own checks (looks.js) runs axe-core, an independent engine, if npm brought it.
"""

import json
import re
from itertools import chain
from pathlib import Path

import pytest

from tests.ui.drawing.hands import Hand
from tests.ui.stories.conftest import ROOT, SCREENS
from tests.ui.stories.rounds import fresh_job, sample_job
from ui.server import login
from ui.texts import said

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("default")]

LOOKS = (Path(__file__).parent / "looks.js").read_text("utf-8")
AXE = ROOT / "ui/drawing/node_modules/axe-core/axe.min.js"
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
RUN_AXE = f"""axe.run(document, {{
    runOnly: {json.dumps(TAGS)}, resultTypes: ["violations"],
    // Ours looks at colours in both schemes, and through the photo.
    rules: {{ "color-contrast": {{ enabled: false }} }},
}}).then(({{ violations }}) => violations.flatMap(({{ id, tags, nodes }}) =>
    nodes.map((n) => `axe ${{id}} (${{tags.filter((t) => /^wcag\\d{{3}}/.test(t))}}): `
        + n.html.slice(0, 120))))"""

SPACED = """* { line-height: 1.5 !important; letter-spacing: 0.12em !important;
    word-spacing: 0.16em !important; } p { margin-bottom: 2em !important; }"""
"""1.4.12 Text Spacing: what a reader may ask for."""


class Looker:
    """Looks at one state after another and writes down what is wrong."""

    def __init__(self, hand: Hand, screen: str) -> None:
        self.page = hand.page
        self.found: dict[str, list[str]] = {}
        self._screen = screen
        self.page.emulate_media(reduced_motion="reduce")  # nothing fades
        self._axe = AXE.read_text("utf-8") if AXE.is_file() else ""

    def look(self, state: str) -> None:
        """Look at a state: in light, in dark, narrow, with large and with spaced text."""
        page = self.page
        page.mouse.move(1, 1)  # nothing is hovered
        self._note(state, page.evaluate(LOOKS))
        if self._axe:
            page.evaluate(self._axe)
            self._note(state, page.evaluate(RUN_AXE))
        self._shot(state, "light")
        page.emulate_media(color_scheme="dark")
        self._note(f"{state}, dark", page.evaluate(LOOKS))
        self._shot(state, "dark")
        page.emulate_media(color_scheme="light")

    def strain(self, state: str) -> None:
        """Look at a state as 1.4.4, 1.4.10 and 1.4.12 ask: enlarged, narrow, spaced."""
        page, size = self.page, self.page.viewport_size
        narrow = {"width": 320, "height": 640}
        page.set_viewport_size(narrow if self._screen == "phone" else _half(size))
        self._note(f"{state}, narrow", page.evaluate(LOOKS))
        page.set_viewport_size(size)
        style = page.add_style_tag(content=SPACED)
        self._note(f"{state}, spaced", page.evaluate(LOOKS))
        style.evaluate("(s, text) => { s.textContent = text; }", "html { font-size: 200% }")
        self._note(f"{state}, large text", page.evaluate(LOOKS))
        style.evaluate("(s) => s.remove()")

    def told(self) -> str:
        """Return everything that was found, state by state."""
        return "\n".join(
            f"{state}: {sentence}"
            for state, sentences in self.found.items()
            for sentence in sentences
        )

    def _note(self, state: str, sentences: list[str]) -> None:
        if sentences:
            self.found[state] = sentences

    def _shot(self, state: str, scheme: str) -> None:
        SCREENS.mkdir(parents=True, exist_ok=True)
        name = re.sub(r"\W+", "-", f"{self._screen} {state} {scheme}")
        self.page.screenshot(path=SCREENS / f"{name}.png")


def _half(size: dict[str, int]) -> dict[str, int]:
    """Return the window that is left at 200 %."""
    return {side: length // 2 for side, length in size.items()}


@pytest.mark.parametrize("screen", ["phone", "desktop"])
def test_every_panel_can_be_seen_reached_and_heard(person, screen, tmp_path):
    """Contrast, names, targets and room, in whatever state a panel is."""
    one = person(screen)
    looker = Looker(one, screen)
    if screen == "phone":  # on a desk the same parts stand side by side
        for state in fresh_job(one, tmp_path):
            looker.look(state)
        one.page.goto("/")
    for state in sample_job(one):
        looker.look(state)

    assert not looker.found, looker.told()


def test_text_may_be_enlarged_and_spaced(person):
    """A reader's own sizes cut off no word and never make the page go sideways.

    A desk of 1280 pixels at 400 % is a phone of 320: one screen stands for both.
    """
    one = person("phone")
    looker = Looker(one, "phone")
    for state in chain(["first screen"], sample_job(one)):
        if "list open" not in state:  # it closes when a window changes
            looker.strain(state)

    assert not looker.found, looker.told()


@pytest.mark.parametrize("screen", ["phone", "desktop"])
def test_the_log_in_page_too(person, screen):
    """It stands alone, without the framework."""
    one = person(screen)
    text = login._page("", said("login", "wrong"), 403).body.decode()
    one.page.goto("/login.css")
    style = one.page.locator("body").inner_text()
    one.page.goto("/page.json")
    one.page.set_content(
        re.sub(r'<link rel="stylesheet"[^>]*>', f"<style>{style}</style>", text)
    )
    looker = Looker(one, screen)
    looker.look("log in")
    looker.strain("log in")

    assert not looker.found, looker.told()
