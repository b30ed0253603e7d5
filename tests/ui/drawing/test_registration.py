"""What is aimed at is what is picked: pixels on the screen against picked coordinates."""

import io
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from tests.ui.drawing.host import Kept
from tests.ui.drawing.spots import Spots, found_at

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("default")]

TOLERANCE_PX = 0.2
"""Image pixels: a fifth of what a careful pick scatters, so it never shows in a length."""

SCREENS = {
    "desktop": {"viewport": {"width": 1440, "height": 900}, "device_scale_factor": 1},
    "enlarged": {"viewport": {"width": 1152, "height": 720}, "device_scale_factor": 1.25},
    "phone": {
        "viewport": {"width": 390, "height": 844},
        "device_scale_factor": 3,
        "has_touch": True,
        "is_mobile": True,
    },
}

NOTHING = {"references": [], "lines": [], "soffits": []}


def job_of(spots: Spots, preview_px: int) -> Kept:
    """Return a job whose photo is a picture of spots."""
    document = {
        "photomeasure_job": 1,
        "title": "",
        "elevations": [{"name": "e", **NOTHING}],
    }
    return Kept(document, {"e": spots.picture()}, Path(), preview_px=preview_px)


def opened(browser, server, screen):
    """Return the page once the photo is shown, without what lies over the photo."""
    page = browser.new_context(**SCREENS[screen]).new_page()
    page.goto(server.address)
    page.wait_for_function("window.mounted")
    page.add_style_tag(
        content=".dr-overlay, .dr-zoom, .dr-prompt { visibility: hidden !important }"
    )
    settle(page)
    return page


def settle(page) -> None:
    """Wait until every picture is there and drawn."""
    page.wait_for_function(
        "[...document.querySelectorAll('.dr-stage img')].every((i) => i.complete)"
        " && document.querySelector('.dr-scale-said').textContent !== ''"
    )
    page.evaluate(
        "new Promise((r) => requestAnimationFrame(() => requestAnimationFrame(r)))"
    )


def point_at(page, x: float, y: float) -> tuple[float, float]:
    """Return what would be picked at a place of the window."""
    return tuple(page.evaluate("([x, y]) => window.mounted.pointAt(x, y)", [x, y]))


def misses(page, spots: Spots) -> list[float]:
    """Return how far each visible spot is drawn from where it is picked, image pixels."""
    settle(page)
    ratio = page.evaluate("devicePixelRatio")
    stage = page.locator(".dr-stage")
    box = stage.bounding_box()
    shot = np.asarray(Image.open(io.BytesIO(stage.screenshot())).convert("L"), dtype=float)
    corner, aside = (point_at(page, box["x"] + dx, box["y"]) for dx in (0.0, 100.0))
    scale = 100.0 / (aside[0] - corner[0])
    far = []
    for x, y in spots.centres:
        expected = tuple(
            (at - from_) * scale * ratio for at, from_ in zip((x, y), corner, strict=True)
        )
        drawn = found_at(shot, expected, spots.sd_px * scale * ratio)
        if drawn is not None:
            picked = point_at(
                page, box["x"] + drawn[0] / ratio, box["y"] + drawn[1] / ratio
            )
            far.append(max(abs(picked[0] - x), abs(picked[1] - y)))
    return far


@pytest.mark.parametrize("screen", SCREENS)
def test_whole_photo_is_picked_where_it_is_drawn(browser, serve, screen):
    """At the fit of twelve megapixels, where a screen's pixel is up to ten of the photo."""
    spots = Spots((4032, 3024), 20.0)
    page = opened(browser, serve({"j": job_of(spots, 4032)}), screen)

    far = misses(page, spots)

    assert len(far) == 5
    assert max(far) < TOLERANCE_PX


@pytest.mark.parametrize("screen", SCREENS)
def test_every_corner_is_picked_where_it_is_drawn_when_near(browser, serve, screen):
    """From the preview of an odd size into tiles: neither may move what it shows."""
    spots = Spots((3001, 2003), 4.0)
    page = opened(browser, serve({"j": job_of(spots, 1500)}), screen)
    box = page.locator(".dr-stage").bounding_box()
    middle = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    for centre in spots.centres:
        page.locator(".dr-stage").focus()
        page.keyboard.press("0")
        page.mouse.move(*place_of(page, box, centre))
        page.mouse.down()
        page.mouse.move(*middle)
        page.mouse.up()
        seen = [misses_after(page, turn, spots) for turn in (-900, -640)]

        assert all(seen), "the spot left the stage"
        assert max(max(far) for far in seen) < TOLERANCE_PX


def misses_after(page, turn: int, spots: Spots) -> list[float]:
    """Return the misses after a turn of the wheel."""
    page.mouse.wheel(0, turn)
    page.wait_for_timeout(50)
    return misses(page, spots)


def place_of(page, box, point) -> tuple[float, float]:
    """Return where a point of the photo lies in the window."""
    corner = point_at(page, box["x"], box["y"])
    aside = point_at(page, box["x"] + 100.0, box["y"])
    scale = 100.0 / (aside[0] - corner[0])
    return (
        box["x"] + (point[0] - corner[0]) * scale,
        box["y"] + (point[1] - corner[1]) * scale,
    )


def test_a_click_on_a_spot_stores_its_centre(browser, serve):
    """The whole way: from the mouse to the job that the server keeps."""
    spots = Spots((3001, 2003), 4.0)
    server = serve({"j": job_of(spots, 1500)})
    page = opened(browser, server, "desktop")
    box = page.locator(".dr-stage").bounding_box()
    page.locator(".dr-bar [data-tool=line]").click()
    for centre in spots.centres[:2]:
        page.mouse.click(*place_of(page, box, centre))
    page.wait_for_function("window.revision === 2")

    picks = server.jobs["j"].document["elevations"][0]["lines"][0]["picks"]

    assert np.abs(np.array(picks) - spots.centres[:2]).max() < TOLERANCE_PX
