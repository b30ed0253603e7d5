"""What went wrong as a status and one sentence."""

from typing import Any, Final

from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from calibration.errors import (
    InputError,
    JobChangedElsewhere,
    MeasureError,
    NotInStore,
    StorageError,
    StoreBusy,
    StoreUnavailable,
    printable,
)
from ui.texts import said

_STATUS: Final[tuple[tuple[type[MeasureError], int], ...]] = (
    (NotInStore, 404),
    (JobChangedElsewhere, 409),
    (StoreBusy, 503),
    (StoreUnavailable, 507),
    (StorageError, 500),
    (MeasureError, 422),
)
"""The first that fits."""

NOT_FOUND: Final = said("server", "not_found")
BROKEN: Final = said("server", "broken")


class NoSuchJob(NotInStore):
    """The address names no job of this store."""

    def __init__(self) -> None:
        super().__init__("job", said("server", "no_job"), said("server", "no_job_do"))


class BadRequest(InputError):
    """The browser sent something that the page never sends."""

    def __init__(self, what: str) -> None:
        super().__init__("request", what, said("server", "reload"))


def status_of(error: MeasureError) -> int:
    """Return the status that a refusal means."""
    return next(status for kind, status in _STATUS if isinstance(error, kind))


def refused(status: int, sentence: str, **more: object) -> JSONResponse:
    """Return a refusal: one sentence, and what a program needs beside it."""
    content: dict[str, Any] = {"message": printable(sentence), **more}
    return JSONResponse(content, status, {"cache-control": "no-store"})


def answer(error: MeasureError) -> JSONResponse:
    """Return what is answered to a request that was refused."""
    if isinstance(error, JobChangedElsewhere):
        return refused(409, str(error), revision=error.latest)
    return refused(status_of(error), str(error))


async def on_refusal(_: Request, error: Exception) -> Response:
    """Answer a refusal that a route raised."""
    if isinstance(error, MeasureError):
        return answer(error)
    raise error
