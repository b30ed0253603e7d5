"""The whole server: the door, the routes, and the panels behind them."""

import hashlib
import os
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any, Final

from fastapi import FastAPI, Request, Response
from fastapi.exceptions import RequestValidationError
from fastapi.responses import FileResponse, JSONResponse
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware

from calibration.brick_formats import FORMATS
from calibration.errors import MeasureError
from photomeasure.store import Store
from ui.server import failures, login
from ui.server.guard import Guard, Pace
from ui.server.lanes import Lanes
from ui.server.office import Office
from ui.server.passwords import Sessions, Slowdown
from ui.server.routes import routes
from ui.server.settings import Settings
from ui.texts import catalogue

FOLDERS: Final = {"drawing": "drawing", "web": "panels/web"}
"""Folders of script and style that browsers may have, by their name in addresses."""

ENTRIES: Final = {"drawing": "mount.mjs", "web": "index.mjs"}
"""What a folder's module is entered by."""

_TYPES: Final = {
    ".mjs": "text/javascript",
    ".js": "text/javascript",
    ".css": "text/css",
    ".svg": "image/svg+xml",
}
"""Nothing else is given out, whatever lies in the folders."""

_FOREVER: Final = {"cache-control": "private, max-age=31536000, immutable"}


@dataclass(frozen=True, slots=True)
class Gate:
    """Who may come in, kept between requests.

    Attributes
    ----------
    sessions : Sessions
    slowdown : Slowdown
    """

    sessions: Sessions = field(default_factory=Sessions)
    slowdown: Slowdown = field(default_factory=Slowdown)


def build_server(store: Store, settings: Settings, gate: Gate | None = None) -> FastAPI:
    """Return the server without its panels.

    Parameters
    ----------
    store : Store
    settings : Settings
    gate : Gate, optional

    Returns
    -------
    fastapi.FastAPI
    """
    gate = gate or Gate()
    limits = settings.limits
    door = Middleware(
        Guard,
        settings=settings,
        sessions=gate.sessions,
        pace=Pace(limits.requests_per_s, limits.burst),
    )
    # The documentation pages of the framework load scripts from elsewhere.
    app = FastAPI(docs_url=None, redoc_url=None, openapi_url=None, middleware=[door])
    office = Office(store, settings)
    app.state.office = office
    app.include_router(login.routes(settings, gate.sessions, gate.slowdown))
    app.include_router(routes(office, Lanes(limits)))
    _add_files(app)
    _add_refusals(app)
    return app


def build_page(store: Store, settings: Settings, gate: Gate | None = None) -> FastAPI:
    """Return the server with its panels.

    Parameters
    ----------
    store : Store
    settings : Settings
    gate : Gate, optional

    Returns
    -------
    fastapi.FastAPI
    """
    # Before the import: the framework asks its maker's hosts at start otherwise.
    os.environ["GRADIO_ANALYTICS_ENABLED"] = "False"
    from ui.panels.page import mount

    app = build_server(store, settings, gate)
    return mount(app, app.state.office)


def _add_refusals(app: FastAPI) -> None:
    app.add_exception_handler(MeasureError, failures.on_refusal)

    @app.exception_handler(RequestValidationError)
    def _malformed(request: Request, error: RequestValidationError) -> JSONResponse:  # noqa: ARG001
        return failures.refused(404, failures.NOT_FOUND)

    @app.exception_handler(HTTPException)
    def _refused(request: Request, error: HTTPException) -> JSONResponse:  # noqa: ARG001
        sentence = failures.NOT_FOUND if error.status_code == 404 else str(error.detail)
        return failures.refused(error.status_code, sentence)

    @app.exception_handler(Exception)
    def _broken(request: Request, error: Exception) -> JSONResponse:  # noqa: ARG001
        return failures.refused(500, failures.BROKEN)


def _add_files(app: FastAPI) -> None:
    @app.get("/page.json")
    def page() -> dict[str, Any]:
        return page_facts()

    @app.get("/files/{folder}/{version}/{path:path}")
    def file(folder: str, version: str, path: str) -> Response:
        known = listing(folder) if folder in FOLDERS else {}
        if path not in known:
            raise HTTPException(404)
        # An address with an old version is answered too, but not to be kept.
        kept = _FOREVER if version == version_of(folder) else {}
        media_type = _TYPES[known[path].suffix]
        return FileResponse(known[path], media_type=media_type, headers=kept)


def page_facts() -> dict[str, Any]:
    """Return what the page's scripts need to begin: addresses and texts."""
    texts = {group: dict(words) for group, words in catalogue().items()}
    drawing = address("drawing") if ENTRIES["drawing"] in listing("drawing") else None
    formats = [
        {"name": entry.name, "said": f"{entry.name}, {entry.country}"}
        for entry in FORMATS.values()
    ]
    return {"drawing": drawing, "texts": texts, "formats": formats}


def address(folder: str) -> str:
    """Return the address of a folder's module, new whenever anything in it changed."""
    return f"/files/{folder}/{version_of(folder)}/{ENTRIES[folder]}"


@cache
def listing(folder: str) -> dict[str, Path]:
    """Return the files of a folder that browsers may have, by their path in it."""
    root = Path(str(files("ui"))) / FOLDERS[folder]
    return {
        path.relative_to(root).as_posix(): path
        for path in sorted(root.rglob("*"))
        if path.suffix in _TYPES and path.is_file() and "node_modules" not in path.parts
    }


@cache
def version_of(folder: str) -> str:
    """Return a hash of everything in a folder."""
    engine = hashlib.sha256()
    for name, path in listing(folder).items():
        engine.update(name.encode() + b"\0" + path.read_bytes())
    return engine.hexdigest()[:16]
