"""What the door of the server refuses, and what every answer carries."""

import asyncio

import pytest

from tests.ui.server.kit import jpeg, new_job, opened, send
from ui.server.app import listing, page_facts
from ui.server.guard import Guard, Pace
from ui.server.passwords import Sessions
from ui.server.settings import Limits, Settings

NETWORK = Settings(host="0.0.0.0", names=("office-pc",), password_hash=None)


@pytest.mark.parametrize(
    "host",
    [
        "evil.example",
        "evil.example:7421",
        "127.0.0.1.evil.example",
        "localhost.evil.example",
        "192.168.1.5",
        "",
        "[::1",
        "127.0.0.1@evil.example",
    ],
)
def test_foreign_hosts_are_refused(client, host):
    """A name that somebody made to lead to this machine opens nothing."""
    answer = client.get("/page.json", headers={"host": host})

    assert answer.status_code == 421
    assert answer.json()["message"].endswith(".")


@pytest.mark.parametrize("host", ["127.0.0.1", "localhost:7421", "[::1]:7421", "LOCALHOST"])
def test_own_hosts_are_served(client, host):
    """The loopback's own names work, with any port."""
    assert client.get("/page.json", headers={"host": host}).status_code == 200


@pytest.mark.parametrize(
    ("host", "status"),
    [
        ("192.168.1.5:7421", 200),
        ("[fe80::1]:7421", 200),
        ("office-pc", 200),
        ("Office-PC:7421", 200),
        ("other-pc", 421),
        ("evil.example", 421),
    ],
)
def test_hosts_on_the_network(serve, host, status):
    """On the network bare addresses and stated names are served, other names are not."""
    client = serve(NETWORK)

    assert client.get("/page.json", headers={"host": host}).status_code == status


@pytest.mark.parametrize(
    "origin",
    [
        "http://evil.example",
        "https://127.0.0.1:7421",
        "http://127.0.0.1:9999",
        "http://localhost:7421",
        "null",
        "http://127.0.0.1:7421.evil.example",
    ],
)
def test_foreign_pages_can_post_nothing(client, origin):
    """A page that somebody visits elsewhere cannot send a photo here."""
    job = new_job(client)
    answer = client.post(
        f"/work-on/{job}/photos",
        files=[("photos", ("a.jpg", jpeg()))],
        headers={"origin": origin},
    )

    assert answer.status_code == 403
    assert opened(client, job)["revision"] == 1


def test_the_own_page_can_post(client):
    """The page's own origin is let in."""
    answer = client.post(
        "/jobs", json={"title": "x"}, headers={"origin": "http://127.0.0.1:7421"}
    )

    assert answer.status_code == 200


@pytest.mark.parametrize(
    ("site", "mode", "method", "status"),
    [
        ("cross-site", "no-cors", "GET", 403),
        ("same-site", "no-cors", "GET", 403),
        ("cross-site", "navigate", "GET", 200),
        ("cross-site", "navigate", "POST", 403),
        ("none", "navigate", "GET", 200),
        ("same-origin", "cors", "GET", 200),
    ],
)
def test_pages_of_other_sites_can_embed_nothing(client, site, mode, method, status):
    """A link from elsewhere works; a picture, script or form from elsewhere does not."""
    headers = {"sec-fetch-site": site, "sec-fetch-mode": mode}
    path = "/page.json" if method == "GET" else "/jobs"
    answer = client.request(
        method, path, headers=headers, content="{}" * (method == "POST")
    )

    assert answer.status_code == status


def test_bodies_that_are_too_large(serve):
    """Each route has its own limit, told before the body is read."""
    client = serve(
        Settings(limits=Limits(photo_bytes=5000, document_bytes=2000, body_bytes=100))
    )
    job = new_job(client)
    document = '{"base": 1, "document": "' + "x" * 3000 + '"}'

    assert client.post("/jobs", content='{"title": "' + "x" * 200 + '"}').status_code == 413
    assert client.put(f"/work-on/{job}", content=document).status_code == 413
    assert send(client, job, ("a.jpg", jpeg())).status_code == 413


def test_bodies_of_unknown_size_are_refused(client):
    """A body in pieces could be endless."""
    answer = client.post("/jobs", content=iter([b'{"title":', b' "x"}']))

    assert answer.status_code == 411


@pytest.mark.parametrize("length", ["-1", "1e3", "9" * 30, b"\xb2", ""])
def test_lengths_that_are_none(client, length):
    """A length that is no plain number is no length."""
    answer = client.post("/jobs", headers={"content-length": length})

    assert answer.status_code in (411, 413)


def test_too_many_requests(serve):
    """Who asks faster than a page does has to wait a little."""
    client = serve(Settings(limits=Limits(requests_per_s=0.001, burst=5)))
    answers = [client.get("/page.json").status_code for _ in range(8)]

    assert answers == [200] * 5 + [429] * 3


def test_pace_fills_again():
    """After a pause the requests are allowed again, each address by itself."""
    now = [0.0]
    pace = Pace(per_s=1.0, burst=2.0, clock=lambda: now[0])
    assert [pace.allows("a") for _ in range(3)] == [True, True, False]
    assert pace.allows("b")
    now[0] = 1.5

    assert [pace.allows("a") for _ in range(2)] == [True, False]


def test_every_answer_is_closed_to_others(client):
    """Refusals and results carry the same headers."""
    for path in ("/page.json", "/nothing", f"/work-on/{'0' * 32}"):
        headers = client.get(path).headers
        policy = headers["content-security-policy"]
        assert "default-src 'self'" in policy
        assert "frame-ancestors 'none'" in policy
        assert "object-src 'none'" in policy
        assert "http" not in policy
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["x-frame-options"] == "DENY"
        assert headers["referrer-policy"] == "same-origin"
        assert headers["cross-origin-resource-policy"] == "same-origin"


def test_answers_about_jobs_are_not_kept_between(client):
    """No proxy and no shared cache may hold a job."""
    job = new_job(client)

    assert client.get(f"/work-on/{job}").headers["cache-control"].startswith("private")


@pytest.mark.parametrize(
    "path",
    [
        "/docs",
        "/redoc",
        "/openapi.json",
        "/gradio_api/file=/etc/passwd",
        "/gradio_api/file/etc/passwd",
        "/gradio_api/upload",
        "/gradio_api/proxy=http://evil.example",
        "/gradio_api/info",
        "/gradio_api/call/x",
        "/file=/etc/passwd",
        "/monitoring",
        "/files/web/x/../../../../etc/passwd",
        "/files/web/x/%2e%2e/%2e%2e/server/passwords.py",
        "/files/web/x/__init__.py",
        "/files/server/x/app.py",
        "/files/web/x/page.css%00.py",
        "/static/x",
    ],
)
def test_nothing_else_is_served(client, path):
    """Only this program's own scripts and styles are files of the server."""
    answer = client.get(path)

    assert answer.status_code == 404
    assert answer.json() == {
        "message": "There is no such page; go back to the list of jobs."
    }


def test_own_scripts_have_an_address_of_their_content(client):
    """Scripts and style are kept under a hash, and no other kind of file is listed."""
    web = listing("web")
    assert {"index.mjs", "photos.mjs", "lines.mjs", "page.css"} <= set(web)
    assert {path.suffix for path in web.values()} <= {".mjs", ".js", ".css", ".svg"}

    for name in web:
        answer = client.get(f"/files/web/x/{name}")
        assert answer.status_code == 200
        assert "javascript" in answer.headers["content-type"] or name.endswith(".css")
        assert "immutable" not in answer.headers["cache-control"]


def test_the_page_is_told_its_texts(client):
    """Scripts hold no words of their own: they come from the catalogue."""
    told = client.get("/page.json").json()

    assert told == page_facts()
    assert told["texts"]["photos"]["choose"] == "Choose photos"


def test_no_other_protocol_is_spoken():
    """A socket that a page elsewhere opens is closed at once."""
    sent = []

    async def send(message):
        sent.append(message)

    async def never(*_):
        raise AssertionError

    guard = Guard(never, Settings(), Sessions(), Pace(1.0, 1.0))
    asyncio.run(guard({"type": "websocket", "path": "/"}, never, send))

    assert sent == [{"type": "websocket.close", "code": 1008}]


@pytest.mark.parametrize("method", ["GET", "DELETE", "PATCH"])
def test_methods_that_are_not_there(client, method):
    """A wrong method is a sentence as well."""
    answer = client.request(method, "/jobs", headers={"content-length": "0"})

    assert answer.status_code == 405
    assert "message" in answer.json()
