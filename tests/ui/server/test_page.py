"""The whole page: it starts, asks nobody else, and its events belong to it alone."""

import json
import re

import pytest
from fastapi.testclient import TestClient

from tests.ui.server.kit import BASE, HOSTILE, new_job, traced
from ui.server.app import build_page
from ui.server.settings import Settings
from ui.texts import catalogue


@pytest.fixture(scope="module")
def framework():
    """Import the page's framework once; its own warnings are not ours to mend."""
    import warnings

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import gradio

    return gradio


@pytest.fixture
def page(framework, store):
    """Return a browser before the whole page."""
    client = TestClient(build_page(store, Settings()), base_url=BASE)
    with client:
        yield client


def test_the_page_answers(page):
    """The first address shows the page, and our own routes come before the panels."""
    shown = page.get("/", headers={"accept": "text/html"})

    assert shown.status_code == 200
    assert catalogue()["page"]["title"] in shown.text
    assert page.get("/page.json").status_code == 200


def test_no_other_host_is_named_to_load_from(page):
    """Scripts, styles and fonts come from this server; the policy forbids all else."""
    shown = page.get("/").text
    loaded = re.findall(r'(?:src|href)="(https?://[^"]+)"', shown)
    policy = page.get("/").headers["content-security-policy"]

    assert not [url for url in loaded if not url.startswith(BASE)]
    assert "connect-src 'self'" in policy


def test_the_framework_reports_to_nobody(page, framework):
    """Its maker's hosts are never asked."""
    import os

    assert os.environ["GRADIO_ANALYTICS_ENABLED"] == "False"


def test_no_event_is_a_public_address(page):
    """Panels are no programming interface: none of their events is listed."""
    config = page.get("/config").json()

    assert config["dependencies"]
    assert {one["api_visibility"] for one in config["dependencies"]} == {"private"}


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
    assert page.get(path).status_code == 404
    assert page.post(path, content="{}").status_code == 404


def heard(page, query, data, target):
    """Run an event of the page as a browser does, and return what it answered."""
    config = page.get("/config").json()
    event = next(
        one for one in config["dependencies"] if target in [t[1] for t in one["targets"]]
    )
    body = {"data": data, "fn_index": event["id"], "session_hash": "s", "trigger_id": None}
    joined = page.post(f"/gradio_api/queue/join{query}", json=body)
    assert joined.status_code == 200, joined.text
    with page.stream("GET", "/gradio_api/queue/data?session_hash=s") as stream:
        for line in stream.iter_lines():
            if "process_completed" in line:
                return json.loads(line.removeprefix("data:"))["output"]["data"]
    raise AssertionError


def test_a_reload_comes_back_to_the_job(page):
    """What the page shows first follows from the address alone."""
    job = new_job(page, HOSTILE)
    shown = heard(page, f"?job={job}&tab=check&unit=ft-in", [], "load")

    assert shown[0] == job
    assert "&lt;img" in shown[1]
    assert "<img" not in shown[1]
    assert shown[2]["visible"] is False
    assert shown[3]["visible"] is True
    assert shown[5]["selected"] == "check"
    assert shown[6] == "ft-in"


def test_an_address_of_no_job_leads_to_the_list(page):
    """A deleted job is told, and the list is there."""
    shown = heard(page, "?job=" + "0" * 32, [], "load")

    assert shown[0] == ""
    assert "is not in the store" in shown[1]
    assert shown[2]["visible"] is True


def test_hostile_titles_never_become_markup(store, page):
    """The head and the list of jobs hold them as text."""
    from ui.panels.page import _head
    from ui.panels.start import jobs_markup

    traced(page, HOSTILE)
    office = page.app.state.office
    for markup in (jobs_markup(office, ""), _head(HOSTILE, in_job=True)):
        assert "<img" not in markup
        assert "&lt;img" in markup
