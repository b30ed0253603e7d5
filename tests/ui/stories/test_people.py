"""Three people's work from beginning to end, and what may happen to it."""

import io
import json
import shutil
from pathlib import Path

import pytest
from pypdf import PdfReader

from photomeasure.display import said
from photomeasure.job.load import load_job
from photomeasure.measure import measure_job

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("default")]

SAMPLES = Path(__file__).parents[3] / "sample_images"
HOSTILE_TITLE = "<img src=x onerror=window.hurt=1> ${window.hurt=1} {{constructor}}"
HOSTILE_FILE = "<svg onload=window.hurt=1> ${7*7}.jpg"
MOST_TOUCHES = 15

BOTH = pytest.mark.parametrize("screen", ["desktop", "phone"])


def truth(name: str) -> dict:
    """Return what is true of a rendered photo."""
    return json.loads((SAMPLES / f"{name}.truth.json").read_text("utf-8"))


@BOTH
def test_office_sees_the_lengths_of_the_command_line(person, screen):
    """The sample house: every label is the length that the library computes."""
    office = person(screen)
    office.sample()
    office.draw()
    office.page.wait_for_selector(".dr-label")
    measured = measure_job(load_job(SAMPLES / "house.job.json"))
    for entry in measured.elevations[:2]:
        wall = office.page.locator(".pm-elevation select")
        wall.select_option(entry.name)
        expected = sorted(said(line.length_mm, line.u_mm) for line in entry.measured)
        office.page.wait_for_function(
            "n => document.querySelectorAll('.dr-label').length === n", arg=len(expected)
        )

        assert sorted(office.labels()) == expected


def test_office_has_the_papers_of_the_sample_house(person):
    """Every paper that is usual, with nothing refused; the PDF arrives."""
    office = person("desktop")
    office.sample()
    office.go("Papers")
    office.page.locator("#pm-which input:checked").first.wait_for()
    office.touch(office.page.locator("#pm-make"))
    link = office.page.locator("#pm-papers a").first
    link.wait_for()
    paper = office.page.request.get(link.get_attribute("href"))

    assert office.page.locator("#pm-papers-told").inner_text() == ""
    assert paper.body().startswith(b"%PDF")


@BOTH
def test_surveyor_goes_from_photo_to_papers(person, screen, tmp_path):
    """A new job with a hostile title and file: few touches, and no harm."""
    photo = tmp_path / HOSTILE_FILE.replace("/", "")
    shutil.copy(SAMPLES / "front.jpg", photo)
    surveyor = person(screen)
    surveyor.page.get_by_label("New job").fill(HOSTILE_TITLE)
    surveyor.touch(surveyor.page.locator("#pm-new"))
    surveyor.page.wait_for_url("**/?job=*")
    surveyor.page.locator("input[type=file][multiple]").first.set_input_files(photo)
    surveyor.touches += 1
    surveyor.page.get_by_text("kept", exact=True).wait_for()

    surveyor.draw()
    surveyor.press("Add a reference")
    surveyor.touch(surveyor.page.locator(".dr-menu [data-tool=rectangle]"))
    door = next(o for o in truth("front")["openings"] if "door" in o["name"])
    for corner in door["corners"]:
        surveyor.tap(corner["px"])
    surveyor.page.get_by_label("Width").fill(str(round(door["width_mm"])))
    surveyor.page.get_by_label("Height").fill(str(round(door["height_mm"])))
    surveyor.press("Put it in")
    surveyor.press("Read the photo")
    surveyor.page.wait_for_selector(".dr-proposal")
    surveyor.tap((1950.0, 968.0))
    surveyor.page.wait_for_selector(".dr-label")
    surveyor.wait_kept()
    (line,) = surveyor.document()["elevations"][0]["lines"]

    assert line["role"] == "eaves"

    surveyor.go("Papers")
    surveyor.page.locator("#pm-which input:checked").first.wait_for()
    surveyor.touch(surveyor.page.locator("#pm-make"))
    told = surveyor.page.locator("#pm-papers-told")
    told.get_by_text("asbestos").first.wait_for()

    surveyor.page.locator("#pm-papers a").first.wait_for()
    cut_list = surveyor.page.locator("#pm-papers a", has_text="Cut list").first
    paper = surveyor.page.request.get(cut_list.get_attribute("href"))
    text = PdfReader(io.BytesIO(paper.body())).pages[0].extract_text()

    # Nobody said how old the house is: no paper tells people to cut its boards.
    assert "There is nothing to cut." in text
    assert "asbestos" in text
    assert surveyor.page.evaluate("window.hurt") is None
    assert surveyor.touches <= MOST_TOUCHES


@BOTH
def test_fitter_tapes_a_line_and_the_others_tighten(person, screen):
    """He tapes the eaves, sees that the photo agrees, and uses it as a reference."""
    fitter = person(screen)
    fitter.sample()
    fitter.draw()
    fitter.page.wait_for_selector(".dr-label")
    before = float(fitter.labels()[0].split("±")[1].split()[0])
    fitter.go("Check")
    taped = fitter.page.locator("#pm-check-taped textarea")
    taped.wait_for()
    fitter.page.wait_for_function(
        "document.querySelector('#pm-check-line input')?.value?.includes('eaves')"
    )
    taped.fill("7668")
    fitter.touch(fitter.page.locator("#pm-check-go"))
    fitter.page.wait_for_function(
        "/agree/.test(document.querySelector('#pm-check-told').textContent)"
    )
    fitter.touch(fitter.page.locator("#pm-check-use"))
    fitter.page.get_by_text("is a reference now").first.wait_for()
    fitter.draw()
    fitter.page.wait_for_selector(".dr-label")

    assert float(fitter.labels()[0].split("±")[1].split()[0]) < before


@BOTH
def test_reload_in_the_middle_loses_nothing(person, screen):
    """Reloaded while the line is still unsaved: it is there, or offered."""
    surveyor = person(screen)
    surveyor.sample()
    surveyor.draw()
    surveyor.press("Draw a line")
    surveyor.slide((1000.0, 2000.0), (1700.0, 1980.0))
    surveyor.page.reload()
    surveyor.wait_drawing()
    if surveyor.page.get_by_role("button", name="Take it up").count():
        surveyor.press("Take it up")
    surveyor.wait_kept()

    assert len(surveyor.document()["elevations"][0]["lines"]) == 2


def test_restarted_server_comes_back_to_the_same_job(person, page):
    """The server is killed while somebody draws; the drawing goes on and is saved after."""
    surveyor = person("phone")
    surveyor.sample()
    surveyor.draw()
    page.kill()
    surveyor.press("Draw a line")
    surveyor.slide((1000.0, 2000.0), (1700.0, 1980.0))
    surveyor.page.wait_for_selector(".dr-saved[data-phase=dropped]")
    page.start()
    surveyor.page.wait_for_selector(".dr-saved[data-phase=saved]")

    assert len(surveyor.document()["elevations"][0]["lines"]) == 2


def second_at_one_wall(person):
    """Return one who came to the sample's front before another had drawn a line there."""
    first, second = person("desktop"), person("phone")
    first.sample()
    second.page.goto(f"/?job={first.job}")
    for one in (first, second):
        one.draw()
    first.press("Draw a line")
    first.slide((1000.0, 2000.0), (1700.0, 1980.0))
    first.wait_kept()
    return second


def test_two_browsers_at_one_wall_are_put_together(person):
    """Lines of one and references of the other; Undo takes back one's own alone."""
    second = second_at_one_wall(person)
    second.press("Add a reference")
    second.touch(second.page.locator(".dr-menu [data-tool=level]"))
    second.slide((1000.0, 1500.0), (1700.0, 1480.0))
    second.page.locator(".dr-row", has_text="Level edge").wait_for()
    second.wait_kept()
    both = second.document()["elevations"][0]
    second.press("Undo")
    second.wait_kept()
    after = second.document()["elevations"][0]

    assert [one["kind"] for one in both["references"]][-1] == "level"
    assert len(both["lines"]) == len(after["lines"]) == 2
    assert len(after["references"]) == len(both["references"]) - 1


def test_two_browsers_keep_both_works(person):
    """Both draw on one wall: the second is asked, and what he gives up is a step back."""
    second = second_at_one_wall(person)
    second.press("Draw a line")
    second.slide((1000.0, 1500.0), (1700.0, 1480.0))
    second.press("Take theirs")
    second.wait_kept()
    theirs = second.document()["elevations"][0]["lines"]
    second.press("Undo")
    second.wait_kept()
    mine = second.document()["elevations"][0]["lines"]

    assert len(theirs) == len(mine) == 2
    assert theirs[1]["picks"] != mine[1]["picks"]
