"""Questions that a photo leaves open are answered beside it, with one touch each."""

import shutil
from pathlib import Path

import pytest

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("default")]

SAMPLES = Path(__file__).parents[3] / "sample_images"
OWN_BRICK = "uk-metric, United Kingdom, Ireland"

BOTH = pytest.mark.parametrize("screen", ["desktop", "phone"])


def read_front(surveyor, tmp_path):
    """Make a job of the sample front, with all that was read and fits together."""
    photo = tmp_path / "front.jpg"
    shutil.copy(SAMPLES / "front.jpg", photo)
    surveyor.page.get_by_label("New job").fill("read")
    surveyor.touch(surveyor.page.locator("#pm-new"))
    surveyor.page.wait_for_url("**/?job=*")
    surveyor.page.locator("input[type=file][multiple]").first.set_input_files(photo)
    surveyor.page.get_by_text("kept", exact=True).wait_for()
    surveyor.draw()
    surveyor.press("Read the photo")
    surveyor.touch(surveyor.page.get_by_role("button", name="Use all"))


def bricks(surveyor):
    """Return the courses that the server keeps."""
    surveyor.wait_kept()
    (front,) = surveyor.document()["elevations"]
    return [one for one in front["references"] if one["kind"] == "courses"]


def half_mm(surveyor):
    """Return the half-width of the one length beside its line."""
    label = surveyor.page.locator(".dr-label", has_text="±")
    return float(label.text_content().split("±")[1].split()[0])


@BOTH
def test_brick_is_answered_and_asked_again_after_undo(person, screen, tmp_path):
    """By each answer a length; one touch, one step; a reload asks nothing again."""
    surveyor = person(screen)
    read_front(surveyor, tmp_path)
    asked = surveyor.page.get_by_text("Which brick is it?")
    asked.wait_for()
    surveyor.page.locator(".dr-label", has_text="±").wait_for()
    wide = half_mm(surveyor)
    ways = surveyor.page.locator(".dr-question button", has_text=OWN_BRICK)
    ways.filter(has_text="front eaves").wait_for()
    promised = ways.text_content().split("front eaves ")[1]
    surveyor.touch(ways)
    asked.wait_for(state="detached")
    surveyor.page.locator(".dr-label", has_text=promised).wait_for()

    assert half_mm(surveyor) < wide / 2
    assert {one["format"] for one in bricks(surveyor)} == {"uk-metric"}

    surveyor.press("Undo")
    asked.wait_for()

    assert all("format" not in one and one["may_be"] for one in bricks(surveyor))

    surveyor.press("Redo")
    asked.wait_for(state="detached")
    surveyor.wait_kept()
    surveyor.page.reload()
    surveyor.wait_drawing()
    surveyor.page.locator(".dr-label", has_text=promised).wait_for()

    assert surveyor.page.locator(".dr-question").count() == 0


def test_taped_courses_settle_the_brick(person, tmp_path):
    """The question of a job that was read before is still there, and takes the tape."""
    surveyor = person("desktop")
    read_front(surveyor, tmp_path)
    surveyor.wait_kept()
    surveyor.page.reload()
    surveyor.wait_drawing()
    surveyor.page.get_by_text("Which brick is it?").wait_for()
    surveyor.press("Taped courses, or another brick")
    surveyor.page.get_by_label("The run measured").fill("751")
    surveyor.press("Use the tape")
    surveyor.page.get_by_text("Which brick is it?").wait_for(state="detached")
    taped = [one for one in bricks(surveyor) if "taped_mm" in one]

    assert [(one["direction"], one["taped_count"], one["taped_mm"]) for one in taped] == [
        ("up", 10, 751)
    ]
