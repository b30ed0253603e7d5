"""The password of a page that is open to the network."""

import stat

import pytest
from fastapi.testclient import TestClient

from calibration.errors import InputError
from tests.ui.server.kit import BASE
from ui.server import passwords
from ui.server.app import Gate, build_server
from ui.server.passwords import FREE_TRIES, Sessions, Slowdown, hashed, matches
from ui.server.settings import Settings

PASSWORD = "ten slates and a ridge"


class Clock:
    """A clock that tests turn."""

    def __init__(self) -> None:
        self.now = 1000.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture(scope="module")
def hash_():
    """Return the hash of the password: slow on purpose, so made once."""
    return hashed(PASSWORD)


@pytest.fixture
def clock():
    """Return a clock that stands until it is turned."""
    return Clock()


@pytest.fixture
def gate(clock):
    """Return sessions and slowdown on that clock."""
    return Gate(Sessions(clock), Slowdown(clock))


@pytest.fixture
def client(serve, gate, hash_):
    """Return a browser before a server with a password."""
    return serve(Settings(host="0.0.0.0", password_hash=hash_), gate)


def login(client, password=PASSWORD, wanted="/"):
    return client.post("/login", data={"password": password, "next": wanted})


@pytest.mark.parametrize(
    "path", ["/page.json", "/work-on/x", "/files/web/x/page.css", "/gradio_api/queue/data"]
)
def test_nothing_is_served_before_the_password(client, path):
    """Programs are told 401; only the form itself is open."""
    answer = client.get(path)

    assert answer.status_code == 401
    assert answer.json()["message"].endswith(".")


def test_browsers_are_led_to_the_form_and_back(client):
    """Where one wanted to go is remembered over the password."""
    answer = client.get("/?job=1f&tab=check", headers={"accept": "text/html"})
    assert answer.status_code == 303
    form = client.get(answer.headers["location"])
    assert 'value="/?job=1f&amp;tab=check"' in form.text

    assert login(client, wanted="/?job=1f&tab=check").headers["location"] == (
        "/?job=1f&tab=check"
    )


def test_the_right_password_opens_the_page(client):
    """After it the session's cookie is enough."""
    assert login(client).status_code == 303
    assert client.get("/page.json").status_code == 200


def test_the_cookie_is_closed_to_scripts_and_other_sites(client):
    """HttpOnly, SameSite=Strict, and named after the port."""
    cookie = login(client).headers["set-cookie"]

    assert cookie.startswith("photomeasure-7421=")
    assert "HttpOnly" in cookie
    assert "SameSite=strict" in cookie
    assert "Path=/" in cookie
    assert "Secure" not in cookie


def test_the_cookie_is_secure_on_https(store, gate, hash_):
    """Over https it never travels in the open."""
    app = build_server(store, Settings(host="0.0.0.0", password_hash=hash_), gate)
    client = TestClient(
        app, base_url=BASE.replace("http:", "https:"), follow_redirects=False
    )

    assert "Secure" in login(client).headers["set-cookie"]


@pytest.mark.parametrize("wrong", ["", "ten slates", PASSWORD + " ", "x" * 100_000])
def test_a_wrong_password_opens_nothing(client, wrong):
    """It is told on the form, which runs no script."""
    answer = login(client, wrong)

    assert answer.status_code == 403
    assert "That is not the password." in answer.text
    assert "<script" not in answer.text
    assert "set-cookie" not in answer.headers
    assert client.get("/page.json").status_code == 401


def test_guessing_is_slowed_down(client, clock):
    """After a few wrong guesses the right one has to wait too."""
    for _ in range(FREE_TRIES):
        assert login(client, "guess").status_code == 403
    answer = login(client)
    assert answer.status_code == 429
    assert int(answer.headers["retry-after"]) >= 1
    clock.now += 60.0

    assert login(client).status_code == 303


def test_waits_double_up_to_a_limit(clock):
    """Each further guess doubles the wait; it never grows beyond five minutes."""
    slow = Slowdown(clock)
    waits = []
    for _ in range(14):
        slow.tried("a")
        waits.append(slow.wait_s("a"))
        clock.now += 400.0

    assert waits[:6] == [0.0, 0.0, 2.0, 4.0, 8.0, 16.0]
    assert max(waits) == passwords.LONGEST_WAIT_S


def test_guesses_from_many_addresses_are_slowed_down_too(clock):
    """Each guess costs the server memory and time, whoever makes it."""
    slow = Slowdown(clock)
    for number in range(passwords.TRIES_PER_MINUTE):
        slow.tried(f"10.0.0.{number}")

    assert slow.wait_s("10.0.1.1") > 0.0
    clock.now += 61.0
    assert slow.wait_s("10.0.1.1") == 0.0


def test_sessions_end(clock):
    """After a day away, and after a week in any case."""
    sessions = Sessions(clock)
    idle, used = sessions.open(), sessions.open()
    for _ in range(15):
        clock.now += passwords.IDLE_S - 1
        assert sessions.knows(used) is (clock.now - 1000.0 <= passwords.OLDEST_S)
    assert not sessions.knows(idle)
    assert not sessions.knows(used)


def test_there_are_not_endlessly_many_sessions(clock):
    """The one that was used longest ago goes."""
    sessions = Sessions(clock)
    first = sessions.open()
    clock.now += 1.0
    others = [sessions.open() for _ in range(passwords.MOST_SESSIONS)]

    assert not sessions.knows(first)
    assert all(sessions.knows(other) for other in others)


def test_logging_out_ends_the_session(client, gate):
    """The cookie's token is worth nothing afterwards."""
    login(client)
    token = client.cookies["photomeasure-7421"]
    assert client.post("/logout").status_code == 303

    assert not gate.sessions.knows(token)


@pytest.mark.parametrize(
    "cookie", ["photomeasure-7421=x", "photomeasure-7421=", "a=b;;=", "\x01"]
)
def test_made_up_cookies_open_nothing(client, cookie):
    """A token that was never given out is none."""
    answer = client.get("/page.json", headers={"cookie": cookie})

    assert answer.status_code == 401


@pytest.mark.parametrize(
    "wanted",
    ["http://evil.example", "//evil.example", "/\\evil.example", "javascript:alert(1)", ""],
)
def test_the_form_leads_nowhere_else(client, wanted):
    """Whatever an address says, one stays on this server."""
    assert login(client, wanted=wanted).headers["location"] == "/"


def test_hostile_addresses_stay_text_on_the_form(client):
    """What stands in the address never becomes markup."""
    form = client.get("/login", params={"next": '/"><script>alert(1)</script>'})

    assert "<script>" not in form.text
    assert "&lt;script&gt;" in form.text


def test_no_password_file_holds_the_password(tmp_path):
    """The hash alone is kept, closed to other users; it is argon2id."""
    made = passwords.keep(tmp_path / "home", PASSWORD)
    path = tmp_path / "home" / passwords.FILE

    assert made.startswith("$argon2id$")
    assert PASSWORD not in path.read_text()
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert passwords.kept_hash(tmp_path / "home") == made
    assert matches(PASSWORD, made)
    assert not matches("other", made)
    assert not matches(PASSWORD, "no hash")


@pytest.mark.parametrize("password", ["", "short", "x" * 2000])
def test_passwords_that_are_none(password):
    """Too short or endless ones are refused in words."""
    with pytest.raises(InputError, match="password"):
        hashed(password)


def test_the_first_line_of_a_file(tmp_path):
    """A password file is one line; a missing one is a sentence."""
    path = tmp_path / "password.txt"
    path.write_text("ten slates and a ridge\nsecond line\n")

    assert passwords.read_password(path) == PASSWORD
    with pytest.raises(InputError, match="password file"):
        passwords.read_password(tmp_path / "none.txt")
