"""The whole story by keys alone: WCAG 2.1.1, 2.1.2, 2.4.3, 2.4.7, 2.4.11, 4.1.3."""

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.ui.stories.rounds import SAMPLES

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("default")]

MOST_TABS = 90
"""Nothing lies further away than this many presses."""

PRESSES, LOOKS = 3, 80
"""How often a key is pressed that seems lost, and how often the page is looked at then."""

FOCUSED = """() => {
    const one = document.activeElement;
    if (!one || one === document.body) return null;
    const outlined = (element) => {
        const style = element && getComputedStyle(element);
        return Boolean(style) && style.outlineStyle !== "none"
            && Number.parseFloat(style.outlineWidth) >= 2;
    };
    const ring = one.querySelector?.(".dr-ring, .dr-casing, .dr-mark circle");
    const shown = outlined(one) || outlined(one.closest("label"))
        || outlined(one.closest(".wrap:has(> .wrap-inner)"))
        || (ring && getComputedStyle(ring).stroke !== "none"); // 2.4.7
    const box = one.getBoundingClientRect();
    const bar = document.querySelector("#pm-tabs > .tab-wrapper");
    const fixed = bar && getComputedStyle(bar).position === "fixed";
    const under = fixed && !bar.contains(one) && box.top >= bar.getBoundingClientRect().top;
    const away = box.bottom <= 0 || box.top >= innerHeight || under; // 2.4.11
    return { shown: Boolean(shown), away: Boolean(away), html: one.outerHTML.slice(0, 99) };
}"""


class Keys:
    """A person with a keyboard and nothing else."""

    def __init__(self, page) -> None:
        self.page = page

    def press(self, *keys: str) -> None:
        """Press keys, one after another."""
        for key in keys:
            self.page.keyboard.press(key)

    def press_until(
        self, key: str, done: Callable[[], bool], what: str, at: str | None = None
    ) -> None:
        """Press a key; on a busy machine a person presses it again."""
        for _ in range(PRESSES):
            assert at is None or self.at(at), f"the focus left {at}"
            self.press(key)
            for _ in range(LOOKS):
                if done():
                    return
                self.page.wait_for_timeout(250)
        pytest.fail(f"{PRESSES} presses of {key} did not {what}")

    def type(self, text: str) -> None:
        """Type a text."""
        self.page.keyboard.type(text)

    def reach(self, selector: str, key: str = "Tab") -> None:
        """Press a key until something is focused; all on the way shows its focus."""
        passed = []
        for _ in range(MOST_TABS):
            self.press(key)
            focus = self._focus()
            if focus is not None:
                passed.append(focus)
                assert focus["shown"], f"no visible focus: {focus['html']}"
                assert not focus["away"], f"focus out of sight: {focus['html']}"
            if self.page.evaluate("s => document.activeElement?.matches(s)", selector):
                return
        raise AssertionError(
            f"no way to {selector} by {key}: {[f['html'] for f in passed]}"
        )

    def _focus(self) -> dict | None:
        """Return what is focused, once the page has scrolled to it."""
        for patience_ms in (15, 100, 400, 1500):
            self.page.wait_for_timeout(patience_ms)
            focus = self.page.evaluate(FOCUSED)
            if focus is None or not focus["away"]:
                break
        return focus

    def at(self, selector: str) -> bool:
        """Return whether something is focused."""
        return self.page.evaluate("s => document.activeElement?.matches(s)", selector)


@pytest.fixture(params=["desktop", "phone"])
def keys(person, request):
    """Return the keys of a person at a desk, or with a folding keyboard at a phone."""
    one = person(request.param)
    one.page.locator("#pm-new").wait_for()
    return Keys(one.page)


def test_from_photo_to_papers_by_keys_alone(keys):
    """Open a job, send a photo, take what was found, trace, nudge, Boards, papers."""
    page = keys.page
    keys.reach("#pm-title textarea")
    keys.type("By keys")
    keys.press("Enter")
    page.wait_for_url("**/?job=*")
    page.locator(".pm-drop").wait_for()

    _choose(keys, SAMPLES / "gable.jpg")
    page.get_by_text("kept", exact=True).wait_for()
    keys.reach(".pm-next")
    keys.press("Enter")
    page.wait_for_selector(".dr-proposal")
    _take_and_trace(keys)

    page.wait_for_selector(".dr-saved[data-phase=saved]")
    keys.reach(".pm-next")
    keys.press("Enter")
    page.locator("#pm-takeoff .pm-alert").wait_for()
    assert keys.at('[role="tab"][aria-selected="true"]')
    _fill_boards(keys)

    keys.reach(".pm-next")
    keys.press("Enter")
    page.locator("#pm-which input:checked").first.wait_for()
    keys.reach("#pm-make")
    keys.press("Enter")
    page.locator("#pm-papers a").first.wait_for()
    keys.reach("#pm-papers a")


def _choose(keys: Keys, photo: Path) -> None:
    """Open the file chooser and choose."""
    opened = []

    def remember(file_chooser) -> None:
        opened.append(file_chooser)

    keys.page.on("filechooser", remember)
    chooser = "input[type=file][multiple]"
    keys.reach(chooser)
    keys.press_until("Enter", lambda: bool(opened), "open the file chooser", at=chooser)
    opened[0].set_files(photo)


def _take_and_trace(keys: Keys) -> None:
    page = keys.page
    keys.reach(".dr-panel .dr-main")
    keys.press("Enter")
    page.wait_for_selector(".dr-label")
    said = page.locator(".dr-scale[aria-live=polite]").inner_text()  # 4.1.3
    assert "±" in said

    keys.reach(".dr-bar [data-tool=line]", "Shift+Tab")
    before = page.locator(".dr-lines").count()
    keys.press("Enter")
    assert keys.at(".dr-stage")
    keys.press("Shift+ArrowLeft", "Shift+ArrowUp", "Enter")
    keys.press(*["Shift+ArrowRight"] * 30, "Enter")
    page.wait_for_function(
        "n => document.querySelectorAll('.dr-lines').length > n", arg=before
    )

    keys.reach(".dr-lines.dr-selected .dr-handle")
    handle = page.locator(".dr-handle:focus")
    place = handle.get_attribute("aria-label")
    _nudge(keys, place)
    keys.reach(".dr-form-card select")
    keys.press("r")
    page.wait_for_function(
        "[...document.querySelectorAll('.dr-lines.dr-selected .dr-shape')]"
        ".some((s) => /rake.*±/.test(s.getAttribute('aria-label')))"
    )


def _nudge(keys: Keys, place: str | None) -> None:
    """Move a handle by an arrow key."""
    label = "document.activeElement.getAttribute('aria-label')"
    keys.press_until(
        "ArrowRight", lambda: keys.page.evaluate(label) != place, f"move {place}"
    )


def _fill_boards(keys: Keys) -> None:
    page = keys.page
    keys.reach('input[role="combobox"][aria-label="Asbestos survey or sample"]')
    page.get_by_role("option").first.wait_for()
    keys.press("ArrowDown", "Enter")
    page.wait_for_function(
        """() => document.querySelector('[aria-label="Asbestos survey or sample"]').value
            === 'found none'"""
    )
    keys.reach("#pm-boards-save")
    keys.press("Enter")
    page.locator("#pm-takeoff", has_text="depth of its barge board").wait_for()


def test_no_panel_is_a_trap_and_escape_steps_back(keys):
    """Tab leaves every panel at its end; Escape closes menu, tool and list (2.1.2)."""
    page = keys.page
    keys.reach("#pm-sample")
    keys.press("Enter")
    page.wait_for_url("**/?job=*")
    page.locator(".pm-card").first.wait_for()
    keys.reach('[role="tab"]')
    keys.press("ArrowRight")
    page.wait_for_selector(".dr-label")
    assert keys.at('[data-tab-id="lines"]')

    keys.reach(".dr-bar [aria-expanded]")
    keys.press("Enter")
    assert keys.at(".dr-menu button")
    keys.press("Escape")
    assert keys.at(".dr-bar [aria-expanded=false]")
    keys.reach(".dr-bar [data-tool=line]", "Shift+Tab")
    keys.press("Enter", "Escape")
    page.locator(".dr-prompt").wait_for(state="hidden")
    keys.reach(".pm-next")

    keys.reach('[role="tab"]', "Shift+Tab")
    for tab in ("wall", "boards", "check", "papers"):
        keys.press("ArrowRight")
        page.wait_for_selector(f'[data-tab-id="{tab}"][aria-selected="true"]')
        page.wait_for_timeout(400)
        if tab == "check":
            keys.reach("#pm-check-line input")
            keys.press("ArrowDown")
            page.get_by_role("option").first.wait_for()
            keys.press("Escape")
            page.get_by_role("option").first.wait_for(state="hidden")
            keys.reach("#pm-check-use")
            keys.reach('[role="tab"]', "Shift+Tab")
