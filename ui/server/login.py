"""The page that asks for the password."""

import html
from importlib.resources import files
from math import ceil
from typing import Final

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse
from starlette.concurrency import run_in_threadpool

from ui.server.guard import LOGIN, address_of, cookie_name, token_of
from ui.server.passwords import OLDEST_S, Sessions, Slowdown, matches
from ui.server.settings import Settings
from ui.texts import ENGLISH, said

_LONGEST_NEXT: Final = 500


def routes(settings: Settings, sessions: Sessions, slowdown: Slowdown) -> APIRouter:
    """Return the routes of logging in and out.

    Parameters
    ----------
    settings : Settings
    sessions : Sessions
    slowdown : Slowdown

    Returns
    -------
    fastapi.APIRouter
    """
    router = APIRouter()

    @router.get(LOGIN)
    def show(request: Request) -> Response:
        return _page(request.query_params.get("next", ""), "", 200)

    @router.get("/login.css")
    def style() -> Response:
        palette = files("ui") / "drawing" / "palette.css"
        own = files("ui.server") / "login.css"
        text = palette.read_text("utf-8") + own.read_text("utf-8")
        return Response(text, media_type="text/css")

    @router.post(LOGIN)
    async def enter(request: Request) -> Response:
        async with request.form(max_files=0, max_fields=4) as form:
            password, wanted = str(form.get("password", "")), str(form.get("next", ""))
        hash_ = settings.password_hash
        if hash_ is None:
            return RedirectResponse("/", 303)
        address = address_of(request.scope)
        if (wait := slowdown.wait_s(address)) > 0.0:
            refusal = _page(wanted, said("login", "wait", seconds=ceil(wait)), 429)
            refusal.headers["retry-after"] = str(ceil(wait))
            return refusal
        slowdown.tried(address)
        if not await run_in_threadpool(matches, password, hash_):
            return _page(wanted, said("login", "wrong"), 403)
        slowdown.succeeded(address)
        return _entered(request, sessions.open(), own_path(wanted))

    @router.post("/logout")
    def leave(request: Request) -> Response:
        sessions.close(token_of(request.headers, request.scope))
        answer = RedirectResponse(LOGIN, 303)
        answer.delete_cookie(cookie_name(request.scope))
        return answer

    return router


def _entered(request: Request, token: str, wanted: str) -> Response:
    answer = RedirectResponse(wanted, 303)
    answer.set_cookie(
        cookie_name(request.scope),
        token,
        max_age=int(OLDEST_S),
        httponly=True,
        samesite="strict",
        secure=request.url.scheme == "https",
    )
    return answer


def own_path(wanted: str) -> str:
    r"""Return where to go after logging in: a place on this server and nowhere else.

    Examples
    --------
    >>> own_path("/?job=1f"), own_path("//evil.example"), own_path("/\\evil.example")
    ('/?job=1f', '/', '/')
    """
    plain = wanted.isprintable() and wanted.isascii() and len(wanted) <= _LONGEST_NEXT
    own = wanted.startswith("/") and not wanted.startswith(("//", "/\\"))
    return wanted if plain and own and "\\" not in wanted else "/"


def _page(wanted: str, told: str, status: int) -> HTMLResponse:
    """Return the form; it works without any script."""
    alert = f'<p role="alert">{html.escape(told)}</p>' if told else ""
    text = (files("ui.server") / "login.html").read_text("utf-8")
    words = {
        "language": ENGLISH,
        "title": said("login", "title"),
        "label": said("login", "label"),
        "button": said("login", "button"),
        "next": own_path(wanted),
    }
    for key, word in words.items():
        text = text.replace(f"%{key}%", html.escape(word))
    return HTMLResponse(text.replace("%alert%", alert), status)
