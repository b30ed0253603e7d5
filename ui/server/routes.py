"""The addresses that the drawing module and the panels ask."""

import json
from pathlib import Path
from typing import Any, Final

from fastapi import APIRouter, Request, Response
from fastapi.responses import FileResponse
from starlette.datastructures import UploadFile

from calibration.errors import MeasureError, NotInStore
from photomeasure import previews
from photomeasure.display import Display
from photomeasure.job.edit import new_job, written
from photomeasure.job.reading import parse
from photomeasure.job.schema import ElevationSpec
from photomeasure.photo_look import about_lines
from photomeasure.result_json import job_json
from photomeasure.results import MeasuredElevation
from photomeasure.store import jobs, papers, price_books
from photomeasure.store import photos as stored_photos
from photomeasure.store.documents import make_draft
from photomeasure.store.jobs import NOBODY, Signature
from photomeasure.store.names import plain_name
from photomeasure.takeoff.pricing.reader import book_from_bytes
from photomeasure.wall_view import describe
from ui.server import answers, intake, pictures
from ui.server.failures import BadRequest
from ui.server.lanes import Lanes
from ui.server.lengths import display_of, measure_answer, print_size_answer
from ui.server.office import Office, Opened, specs_of
from ui.server.seeing import Eyes
from ui.texts import said

Json = dict[str, Any]

_FOREVER: Final = {"cache-control": "private, max-age=31536000, immutable"}
"""For what lies under the hash of its content."""

_ASK: Final = {"cache-control": "private, no-cache"}


def routes(office: Office, lanes: Lanes) -> APIRouter:
    """Return the routes of jobs, photos, lengths and papers.

    Parameters
    ----------
    office : Office
    lanes : Lanes

    Returns
    -------
    fastapi.APIRouter
    """
    router = APIRouter()
    for add in (_add_jobs, _add_lengths, _add_pictures, _add_papers, _add_books):
        add(router, office, lanes)
    return router


def _add_jobs(router: APIRouter, office: Office, lanes: Lanes) -> None:
    @router.post("/jobs")
    async def create(request: Request) -> Json:
        body = await _body(request)
        return await lanes.work(_create, office, body)

    @router.get("/work-on/{job}")
    async def read(job: str) -> Json:
        return await lanes.work(lambda: job_answer(office, office.open(job)))

    @router.put("/work-on/{job}")
    async def save(job: str, request: Request) -> Json:
        body = await _body(request)
        return await lanes.work(_save, office, job, body)

    @router.post("/work-on/{job}/photos")
    async def add_photos(job: str, request: Request) -> Json:
        async with request.form(max_files=intake.MOST_FILES, max_fields=10) as form:
            sent = [
                intake.Sent(part.filename or "", part.file)
                for _, part in form.multi_items()
                if isinstance(part, UploadFile)
            ]
            who = Signature(str(form.get("who") or NOBODY), "photos")
            return await lanes.photo(_add_photos, office, job, sent, who)


def _create(office: Office, body: Json) -> Json:
    title = body.get("title", "")
    if not isinstance(title, str):
        raise BadRequest("gives no title")
    draft = make_draft(written(new_job(title)), {})
    return {"job": jobs.create(office.store, draft, _who(body)).job_id}


def _who(body: Json) -> Signature:
    who = body.get("who")
    return Signature(who) if isinstance(who, str) else Signature()


def _save(office: Office, job: str, body: Json) -> Json:
    document, base = body.get("document"), body.get("base")
    if not isinstance(document, dict) or not isinstance(base, int) or base is True:
        raise BadRequest("holds no job, or not the revision that was changed")
    opened = office.open(job)
    try:
        revision = office.save(opened, document, _who(body), base=base)
    except (TypeError, ValueError):  # a word given twice, NaN: no plain JSON
        raise BadRequest("gives a word twice or a number that is none") from None
    measured = office.measured(office.open(job))
    return {"revision": revision.number, "result": job_json(measured)}


def _add_photos(
    office: Office, job: str, sent: list[intake.Sent], signature: Signature
) -> Json:
    opened, refused = intake.take_in(office, job, sent, signature)
    told = [{"name": one.name, "message": one.message} for one in refused]
    return {**job_answer(office, opened), "refused": told}


def job_answer(office: Office, opened: Opened) -> Json:
    """Return a job as the page shows it.

    Parameters
    ----------
    office : Office
    opened : Opened

    Returns
    -------
    dict
    """
    return {
        "title": opened.title,
        "revision": opened.number,
        "document": opened.document,
        "elevations": [
            {"name": name, "photo": _photo(office, opened, spec)}
            for name, spec in specs_of(opened.document)
        ],
        "rules": answers.rules_answer(),
    }


def _photo(
    office: Office, opened: Opened, spec: ElevationSpec | MeasureError
) -> Json | None:
    if not isinstance(spec, ElevationSpec) or spec.photo is None:
        return None
    sha256 = opened.photos[spec.photo]
    stored = stored_photos.get(office.store, sha256)
    size = stored.width_px, stored.height_px
    try:
        seen = pictures.look(office.store, sha256, spec.photo)
    except MeasureError as error:
        told: Json = {"facts": [], "warnings": [str(error)]}
    else:
        warnings = [*seen.warnings, *about_lines(spec, size)]
        told = {"facts": list(seen.facts), "warnings": warnings}
    return {
        "name": spec.photo,
        **answers.photo_answer(opened.id, sha256, size),
        **told,
    }


def _add_lengths(router: APIRouter, office: Office, lanes: Lanes) -> None:
    eyes = Eyes(office)

    @router.post("/work-on/{job}/measure")
    async def measure(job: str, request: Request) -> Json:
        body = await _body(request)
        return await lanes.work(lambda: measure_answer(office, office.open(job), body))

    @router.post("/work-on/{job}/print-size")
    async def print_size(job: str, request: Request) -> Json:
        body = await _body(request)
        return await lanes.work(lambda: print_size_answer(office.open(job), body))

    @router.post("/work-on/{job}/snap")
    async def snap(job: str, request: Request) -> Json:
        body = await _body(request)
        return await lanes.work(lambda: eyes.snap(office.open(job), body))

    @router.post("/work-on/{job}/read")
    async def read(job: str, request: Request) -> Json:
        body = await _body(request)
        return await lanes.photo(lambda: eyes.read(office.open(job), body))


def _add_pictures(router: APIRouter, office: Office, lanes: Lanes) -> None:
    async def folder(job: str, sha256: str) -> Path:
        known = await lanes.work(lambda: _known(office, job))
        name = pictures.of_job(known, sha256)
        if previews.are_made(path := stored_photos.previews_of(office.store, sha256)):
            return path
        return await lanes.photo(pictures.made, office.store, sha256, name)

    @router.get("/work-on/{job}/photos/{sha256}/{which}.jpg")
    async def picture(job: str, sha256: str, which: str) -> Response:
        if which not in ("preview", "thumb"):
            raise NotInStore("picture", "is not there", "reload the page")
        made = await folder(job, sha256)
        path = previews.preview_path(made) if which == "preview" else None
        return _jpeg(path or previews.thumb_path(made))

    @router.get("/work-on/{job}/photos/{sha256}/tiles/{level}/{column}/{row}.jpg")
    async def tile(job: str, sha256: str, level: int, column: int, row: int) -> Response:
        made = await folder(job, sha256)
        path = previews.tile_path(made, level, column, row)
        if min(level, column, row) < 0 or not path.is_file():
            raise NotInStore("tile", "is not there", "reload the page")
        return _jpeg(path)

    @router.get("/work-on/{job}/wall/{elevation:path}")
    async def wall(job: str, elevation: str, unit: str = "") -> Response:
        return await lanes.work(_wall, office, job, elevation, display_of({"unit": unit}))


def _known(office: Office, job: str) -> dict[str, str]:
    office.open(job)
    return jobs.photos_of(office.store, job)


def _jpeg(path: Path) -> FileResponse:
    return FileResponse(path, media_type="image/jpeg", headers=_FOREVER)


def _wall(office: Office, job: str, elevation: str, display: Display) -> Response:
    opened = office.open(job)
    specs = dict(specs_of(opened.document))
    name = elevation.removesuffix(".jpg")
    wanted = name if elevation.endswith(".jpg") and elevation not in specs else elevation
    entry = office.elevation(opened, wanted)
    if not isinstance(entry, MeasuredElevation):
        raise entry.error
    if wanted == elevation:
        text = json.dumps(describe(entry, display), allow_nan=False)
        return Response(text, media_type="application/json", headers=_ASK)
    spec = specs[wanted]
    photo = spec.photo if isinstance(spec, ElevationSpec) else None
    if photo is None:
        raise NotInStore("photo", "is missing from this elevation", "add it")
    jpeg = pictures.wall(office.store, opened.photos[photo], entry)
    return Response(jpeg, media_type="image/jpeg", headers=_ASK)


def _add_papers(router: APIRouter, office: Office, lanes: Lanes) -> None:
    @router.get("/work-on/{job}/papers/{number}/{kind}/{name}")
    async def paper(job: str, number: int, kind: str, name: str) -> Response:
        return await lanes.work(_paper, office, job, (number, kind, name))


def _paper(office: Office, job: str, key: tuple[int, str, str]) -> Response:
    office.open(job)
    found = papers.of_job(office.store, job)
    wanted = next((p for p in found if (p.number, p.kind, p.name) == key), None)
    if wanted is None:
        raise NotInStore("paper", "is not one of this job", "make it again")
    safe = "".join(c if c.isalnum() or c in "-._" else "_" for c in wanted.name)
    ascii_name = safe.encode("ascii", "replace").decode().replace("?", "_")
    headers = {
        **_ASK,
        "content-disposition": f'attachment; filename="{ascii_name}"',
    }
    content = papers.content(office.store, wanted)
    return Response(content, media_type=wanted.media_type, headers=headers)


def _add_books(router: APIRouter, office: Office, lanes: Lanes) -> None:
    @router.post("/price-books")
    async def keep(request: Request) -> Json:
        async with request.form(max_files=1, max_fields=4) as form:
            part = form.get("book")
            if not isinstance(part, UploadFile):
                raise BadRequest("holds no price book")
            content = await part.read()
            return await lanes.work(_keep_book, office, part.filename or "", content)


def _keep_book(office: Office, name: str, content: bytes) -> Json:
    plain = plain_name(name)
    read = book_from_bytes(content, plain)
    kept = {book.name: book.number for book in price_books.listed(office.store)}
    price_books.save(office.store, plain, content, kept.get(plain, 0))
    told = said("books", "kept", name=plain, count=len(read.prices))
    return {"name": plain, "said": told}


async def _body(request: Request) -> Json:
    body = parse(await request.body(), "request")
    if not isinstance(body, dict):
        raise BadRequest("is no block of words and values")
    return body
