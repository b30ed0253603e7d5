"""What every request passes before anything else sees it, and what every answer carries.

Refused here: hosts that this server is not called by, pages of other origins, too many
requests, bodies that are too large or do not say how large they are, whoever has not given
the password, and those addresses of the page's framework that this program has no use for.
"""

import time
from collections.abc import Callable
from dataclasses import dataclass, field
from http.cookies import CookieError, SimpleCookie
from typing import Final
from urllib.parse import quote, urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from ui.server.failures import NOT_FOUND, refused
from ui.server.passwords import Sessions
from ui.server.settings import Settings
from ui.texts import said

COOKIE: Final = "photomeasure"
LOGIN: Final = "/login"
OPEN: Final = frozenset({LOGIN, "/login.css", "/favicon.ico"})
"""What is answered without the password."""

_READING: Final = frozenset({"GET", "HEAD", "OPTIONS"})
_UNUSED: Final = (
    "/gradio_api/upload",
    "/gradio_api/file",
    "/gradio_api/stream",
    "/gradio_api/proxy",
    "/gradio_api/call",
    "/gradio_api/info",
    "/gradio_api/openapi",
    "/gradio_api/mcp",
    "/gradio_api/vibe",
    "/gradio_api/monitoring",
    "/monitoring",
    "/file=",
    "/file/",
    "/upload",
    "/proxy=",
    "/pwa_icon",
    "/login_check",
    "/mcp",
)
"""Of the framework: photos, books and papers go through this program's own routes."""

POLICY: Final = "; ".join(
    (
        "default-src 'self'",
        # The framework's page has scripts of its own in it and makes functions of text.
        "script-src 'self' 'unsafe-inline' 'unsafe-eval'",
        "style-src 'self' 'unsafe-inline'",
        "img-src 'self' data: blob:",
        "font-src 'self' data:",
        "connect-src 'self'",
        "worker-src 'self' blob:",
        "object-src 'none'",
        "base-uri 'self'",
        "form-action 'self'",
        "frame-src 'none'",
        "frame-ancestors 'none'",
    )
)

HEADERS: Final = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    # Not no-referrer: forms would then send "Origin: null".
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "geolocation=(), microphone=(), payment=(), usb=()",
}

_MOST_ADDRESSES: Final = 10_000


@dataclass(slots=True)
class Pace:
    """How many requests an address may make: a bucket that fills with time.

    Attributes
    ----------
    per_s, burst : float
    clock : callable
        Seconds that never go backwards.
    """

    per_s: float
    burst: float
    clock: Callable[[], float] = time.monotonic
    _left: dict[str, tuple[float, float]] = field(default_factory=dict)

    def allows(self, address: str) -> bool:
        """Tell whether an address may make one more request, and count it."""
        now = self.clock()
        left, then = self._left.get(address, (self.burst, now))
        left = min(self.burst, left + (now - then) * self.per_s)
        if len(self._left) >= _MOST_ADDRESSES and address not in self._left:
            self._left.pop(next(iter(self._left)))
        self._left[address] = (max(left - 1.0, 0.0), now)
        return left >= 1.0


class Guard:
    """The door of the server.

    Parameters
    ----------
    app : ASGI application
    settings : Settings
    sessions : Sessions
    pace : Pace
    """

    def __init__(
        self, app: ASGIApp, settings: Settings, sessions: Sessions, pace: Pace
    ) -> None:
        self._app = app
        self._settings = settings
        self._sessions = sessions
        self._pace = pace

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request in, or refuse it."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
        elif scope["type"] == "http":
            refusal = self._refusal(scope, Headers(scope=scope))
            await (refusal or self._app)(scope, receive, _with_headers(send))
        else:
            # The page opens no other connections.
            await send({"type": "websocket.close", "code": 1008})

    def _refusal(self, scope: Scope, headers: Headers) -> Response | None:
        checks = (self._host, self._origin, self._rate, self._unused, self._size)
        for check in (*checks, self._login):
            refusal = check(scope, headers)
            if refusal is not None:
                return refusal
        return None

    def _host(self, scope: Scope, headers: Headers) -> Response | None:  # noqa: ARG002
        named = headers.getlist("host")
        if len(named) == 1 and self._settings.knows(_name_of(named[0])):
            return None
        return refused(421, said("server", "name"))

    def _origin(self, scope: Scope, headers: Headers) -> Response | None:
        origin = headers.get("origin")
        own = f"{scope['scheme']}://{headers['host']}".casefold()
        site = headers.get("sec-fetch-site", "same-origin")
        reading = scope["method"] in _READING
        opened = headers.get("sec-fetch-mode") == "navigate" and reading
        foreign = origin is not None and origin.casefold() != own
        if foreign or (site not in ("same-origin", "none") and not opened):
            return refused(403, said("server", "foreign"))
        return None

    def _rate(self, scope: Scope, headers: Headers) -> Response | None:  # noqa: ARG002
        if self._pace.allows(address_of(scope)):
            return None
        refusal = refused(429, said("server", "pace"))
        refusal.headers["retry-after"] = "5"
        return refusal

    def _unused(self, scope: Scope, headers: Headers) -> Response | None:  # noqa: ARG002
        path = scope["path"]
        unused = path.startswith(_UNUSED) or "\0" in path
        return refused(404, NOT_FOUND) if unused else None

    def _size(self, scope: Scope, headers: Headers) -> Response | None:
        if scope["method"] in _READING:
            return None
        stated = headers.get("content-length", "")
        if "transfer-encoding" in headers or not (stated.isascii() and stated.isdigit()):
            return refused(411, said("server", "no_size"))
        limit = self._most(scope)
        if int(stated[:15]) <= limit and len(stated) <= 15:
            return None
        return refused(413, said("server", "large", mega=limit // 2**20))

    def _most(self, scope: Scope) -> int:
        limits = self._settings.limits
        if scope["path"].startswith("/work-on/"):
            if scope["path"].endswith("/photos") and scope["method"] == "POST":
                return limits.photo_bytes
            if scope["method"] == "PUT":
                return limits.document_bytes
        return limits.body_bytes

    def _login(self, scope: Scope, headers: Headers) -> Response | None:
        if self._settings.password_hash is None or scope["path"] in OPEN:
            return None
        if self._sessions.knows(token_of(headers, scope)):
            return None
        if scope["method"] == "GET" and "text/html" in headers.get("accept", ""):
            query = scope["query_string"].decode("latin-1")
            wanted = scope["path"] + (f"?{query}" if query else "")
            return RedirectResponse(f"{LOGIN}?next={quote(wanted, safe='')}", 303)
        return refused(401, said("server", "locked"))


def cookie_name(scope: Scope) -> str:
    """Return the cookie's name: browsers do not keep the cookies of ports apart."""
    server = scope.get("server") or ("", 0)
    return f"{COOKIE}-{server[1]}"


def token_of(headers: Headers, scope: Scope) -> str:
    """Return the session's token that a browser sent, or nothing."""
    try:
        found = SimpleCookie(headers.get("cookie", "")).get(cookie_name(scope))
    except CookieError:
        return ""
    return found.value if found else ""


def address_of(scope: Scope) -> str:
    """Return the address that a request comes from."""
    client = scope.get("client")
    return str(client[0]) if client else "unknown"


def _name_of(host: str) -> str:
    """Return the host without its port, brackets of an address left out."""
    try:
        return urlsplit(f"//{host}").hostname or ""
    except ValueError:
        return ""


def _with_headers(send: Send) -> Send:
    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers[name] = value
            del headers["server"]
            if "cache-control" not in headers:
                headers["cache-control"] = "private, no-cache"
        await send(message)

    return sending
