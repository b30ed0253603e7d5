"""The whole page: it starts, asks nobody else, and comes back to where one was."""

import json
import re

import pytest

from photomeasure.store import find_place, open_store
from photomeasure.store.intake import bring_in_job_file
from tests.ui.server.kit import HOSTILE, ROOT
from tests.ui.server.running import Page
from ui.panels.page import TABS, _head
from ui.panels.start import jobs_markup
from ui.server.office import Office
from ui.server.settings import Settings
from ui.texts import catalogue

SAMPLE = ROOT / "sample_images" / "house.job.json"


@pytest.fixture(scope="module")
def page(tmp_path_factory):
    """Return a running page."""
    running = Page(tmp_path_factory.mktemp("home"))
    yield running
    running.kill()


def test_the_page_answers(page):
    """The first address shows the page, and our own routes come before the panels."""
    shown = page.ask("/", headers={"accept": "text/html"})

    assert shown.status == 200
    assert catalogue()["page"]["title"] in shown.text
    assert page.ask("/page.json").status == 200


def test_no_other_host_is_named_to_load_from(page):
    """Scripts, styles and fonts come from this server; the policy forbids all else."""
    shown = page.ask("/")
    loaded = re.findall(r'<(?:script|img|iframe)[^>]* src="(https?://[^"]+)"', shown.text)
    sheets = re.findall(r'rel="stylesheet"[^>]* href="(https?://[^"]+)"', shown.text)

    assert not [url for url in (*loaded, *sheets) if not url.startswith(page.base)]
    assert "default-src 'self'" in shown.headers["content-security-policy"]


def test_no_event_is_a_public_address(page):
    """Panels are no programming interface: none of their events is listed."""
    events = page.ask("/config").json()["dependencies"]

    assert events
    assert {one["api_visibility"] for one in events} == {"private"}


@pytest.mark.parametrize(
    "path",
    [
        "/gradio_api/upload",
        "/gradio_api/file=/etc/passwd",
        "/gradio_api/info",
        "/gradio_api/proxy=http://evil.example/",
        "/gradio_api/openapi.json",
        "/monitoring",
        "/docs",
    ],
)
def test_the_frameworks_other_addresses_are_closed(page, path):
    """Files and uploads go through our own routes alone."""
    assert page.ask(path).status == 404
    assert page.ask(path, {}).status == 404


def test_foreign_pages_reach_no_event(page):
    """The door stands before the panels too."""
    origin = {"origin": "http://evil.example"}
    answer = page.ask("/gradio_api/queue/join", {"data": []}, headers=origin)

    assert answer.status == 403


def test_an_address_of_no_job_leads_to_the_list(page):
    """A deleted job is told, and the list is there."""
    shown = page.event("load", "?job=" + "0" * 32, [])

    assert shown[0] == ""
    assert "is not in the store" in shown[1]
    assert shown[2]["visible"] is True


def test_a_reload_and_a_killed_server_come_back_to_the_job(page):
    """What was acknowledged is there after a kill, and the address finds it."""
    job = page.ask("/jobs", {"title": HOSTILE}).json()["job"]
    query = f"?job={job}&tab=check&unit=ft-in"
    before = page.event("load", query, [])
    page.kill()
    page.start()
    after = page.event("load", query, [])

    assert before == after
    assert after[0] == job
    assert "&lt;img" in after[1]
    assert "<img" not in after[1]
    assert after[2]["visible"] is False
    assert after[3]["visible"] is True
    assert after[5]["selected"] == "check"
    assert after[6]["value"] == "ft-in"
    assert after[6]["visible"] is True


def test_hostile_titles_never_become_markup(tmp_path):
    """The head and the list of jobs hold them as text."""
    document = json.loads(SAMPLE.read_text())
    document["title"] = HOSTILE
    for entry in document["elevations"]:
        entry.pop("photo")
        entry.setdefault("camera", {})["size_px"] = [4032, 3024]
    path = tmp_path / "hostile.job.json"
    path.write_text(json.dumps(document))
    with open_store(find_place(tmp_path / "home", {})) as store:
        bring_in_job_file(store, path)
        listed = jobs_markup(Office(store, Settings()), "")

    for markup in (listed, _head(HOSTILE, in_job=True)):
        assert "<img" not in markup
        assert "&lt;img" in markup


def test_all_tabs_have_names():
    """The catalogue names every panel."""
    assert set(TABS) == set(catalogue()["tabs"])
