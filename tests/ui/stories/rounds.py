"""A round through every panel and state of the page, for those who look at it."""

from collections.abc import Iterator
from pathlib import Path

SAMPLES = Path(__file__).parents[3] / "sample_images"


def fresh_job(person, tmp_path: Path) -> Iterator[str]:
    """Yield the states of a job from its first minute on."""
    page = person.page
    page.locator("#pm-new").wait_for()
    yield "first screen"
    page.get_by_label("New job").fill("Semi, Mill Lane, two gables and a long back eaves")
    person.touch(page.locator("#pm-new"))
    page.wait_for_url("**/?job=*")
    page.locator(".pm-drop").wait_for()
    yield "no photo yet"
    for tab in ("Lines", "Wall", "Check"):
        person.go(tab)
        page.wait_for_timeout(300)
        yield f"nothing on {tab}"
    person.go("Photos")
    broken = tmp_path / "notes.jpg"
    broken.write_text("not a picture")
    page.locator("input[type=file][multiple]").first.set_input_files(
        [SAMPLES / "front-messenger.jpg", broken]
    )
    page.locator(".pm-refused").wait_for()
    yield "photos, one refused, one doubtful"
    person.draw()
    page.wait_for_selector(".dr-proposal")
    yield "what was found"
    person.press("Add a reference")
    yield "menu of references"
    person.touch(page.locator(".dr-menu [data-tool=distance]"))
    yield "a tool in hand"
    person.tap((500.0, 760.0))
    person.tap((900.0, 770.0))
    page.get_by_label("The tape read").fill("a lot")
    person.press("Put it in")
    page.locator(".dr-complaint:not(:empty)").first.wait_for()
    yield "a wrong length"
    person.press("Drop it")
    person.go("Boards")
    page.locator("#pm-takeoff .pm-alert").wait_for()
    yield "boards, stopped"


def sample_job(person) -> Iterator[str]:
    """Yield the states of the sample house, that has lines and lengths."""
    page = person.page
    person.sample()
    page.locator(".pm-card").first.wait_for()
    yield "photos of the sample"
    person.draw()
    page.wait_for_selector(".dr-label")
    yield "lines with lengths"
    person.touch(page.locator(".dr-panel .dr-row").first)
    page.locator(".dr-form-card select").first.wait_for()
    yield "a line's form"
    person.go("Wall")
    page.locator("#pm-walls svg").first.wait_for()
    yield "walls"
    person.go("Boards")
    page.locator("#pm-takeoff .pm-verdict").first.wait_for()
    closed = page.locator(".gr-accordion > .label-wrap:not(.open):visible")
    while closed.count():
        person.touch(closed.first)
    page.evaluate(
        "document.querySelectorAll('.pm-fold').forEach((f) => { f.open = true; })"
    )
    yield "boards, everything open"
    yield from checks(person)
    yield from papers(person)


def checks(person) -> Iterator[str]:
    """Yield the answers to a taped length."""
    page = person.page
    person.go("Check")
    page.wait_for_function(
        "document.querySelector('#pm-check-line input')?.value?.includes('eaves')"
    )
    page.locator("#pm-check-line input").click()
    page.get_by_role("option").first.wait_for()
    yield "check, a list open"
    page.keyboard.press("Escape")
    for taped, word in (
        ("7668", "agrees"),
        ("7300", "does not agree"),
        ("far", "no length"),
    ):
        page.locator("#pm-check-taped textarea").fill(taped)
        person.touch(page.locator("#pm-check-go"))
        page.locator("#pm-check-told", has_text=word).wait_for()
        yield f"check, {word}"
    page.locator("#pm-check-taped textarea").fill("7668")
    person.touch(page.locator("#pm-check-use"))
    page.locator("#pm-check-told", has_text="is a reference now").wait_for()
    yield "check, used"


def papers(person) -> Iterator[str]:
    """Yield the papers: made, and looked at."""
    page = person.page
    person.go("Papers")
    page.locator("#pm-which input:checked").first.wait_for()
    for paper in ("Order", "Cut list", "Drawing"):
        page.locator("#pm-which label", has_text=paper).locator("input").uncheck()
    person.touch(page.locator(".gr-accordion > .label-wrap:visible"))
    person.touch(page.locator("#pm-make"))
    page.locator("#pm-papers a").first.wait_for()
    page.locator("#pm-look input").click()
    page.get_by_role("option", name="Take-off", exact=True).click()
    page.locator("#pm-paper-view table").first.wait_for()
    yield "papers, made and shown"
    page.goto("/?job=" + "0" * 32)
    page.locator(".pm-alert").wait_for()
    yield "an address of no job"
