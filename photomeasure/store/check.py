"""Look at everything that is kept: every hash, every reference."""

from collections.abc import Iterator
from dataclasses import dataclass

from sqlalchemy import Connection, Row, func, select

from calibration.errors import MeasureError, StoreDamaged
from photomeasure.job.reading import parse, photo_names
from photomeasure.store import photos, shelf
from photomeasure.store.documents import unpack
from photomeasure.store.records import Problem
from photomeasure.store.store import Store
from photomeasure.store.tables import (
    JOBS,
    PAPERS,
    PHOTOS,
    PRICE_BOOKS,
    REVISION_PHOTOS,
    REVISIONS,
)

_FEW = {"yield_per": 50}
"""Rows at a time: a firm's papers do not fit in memory together."""

_COPY = "put back a copy of the folder, as docs/keeping.md says"


@dataclass(frozen=True, slots=True, kw_only=True)
class Checkup:
    """What was looked at and found.

    Attributes
    ----------
    jobs, revisions, photos, papers, price_books : int
        How many were looked at.
    problems : tuple of Problem
        Empty if everything is as it was saved.
    unnamed : int
        Files in the photo folder that no job names: harmless traces of programs that
        were stopped, removed by :func:`photomeasure.store.photos.tidy`.
    """

    jobs: int
    revisions: int
    photos: int
    papers: int
    price_books: int
    problems: tuple[Problem, ...]
    unnamed: int


def check(store: Store) -> Checkup:
    """Read everything and compare it with its hashes and references.

    Parameters
    ----------
    store : Store

    Returns
    -------
    Checkup

    Raises
    ------
    StorageError
        If the database cannot be read at all.
    """
    with store.database.reading() as connection:
        problems = [
            *_engine(connection, store),
            *_jobs(connection),
            *_revisions(connection),
            *_photos(connection, store),
            *_contents(connection),
        ]
        known = {row.sha256 for row in connection.execute(select(PHOTOS.c.sha256))}
        counts = {
            table.name: connection.execute(select(func.count()).select_from(table)).scalar()
            for table in (JOBS, REVISIONS, PHOTOS, PAPERS, PRICE_BOOKS)
        }
    unnamed = sum(path.name not in known for path in photos.files(store))
    return Checkup(
        jobs=counts["jobs"] or 0,
        revisions=counts["revisions"] or 0,
        photos=counts["photos"] or 0,
        papers=counts["papers"] or 0,
        price_books=counts["price_books"] or 0,
        problems=tuple(problems),
        unnamed=unnamed,
    )


def _engine(connection: Connection, store: Store) -> Iterator[Problem]:
    """Ask SQLite to look at its own pages; a PostgreSQL server has its own tools."""
    if connection.dialect.name != "sqlite":
        return
    where = store.database.shown
    for (found,) in connection.exec_driver_sql("PRAGMA integrity_check(10)"):
        if found != "ok":
            yield Problem(where, f"is damaged ({found})", _COPY)
    if connection.exec_driver_sql("PRAGMA foreign_key_check").first():
        yield Problem(where, "holds rows that refer to nothing", _COPY)


def _jobs(connection: Connection) -> Iterator[Problem]:
    """Compare each job with its last revision."""
    newest = select(REVISIONS.c.job_id, func.max(REVISIONS.c.number).label("number"))
    last = newest.group_by(REVISIONS.c.job_id).subquery()
    query = select(JOBS.c.id, JOBS.c.latest, last.c.number).outerjoin(
        last, last.c.job_id == JOBS.c.id
    )
    for job_id, latest, number in connection.execute(query):
        if latest != number:
            yield Problem(f"job {job_id[:8]}", f"has lost its revision {latest}", _COPY)


def _revisions(connection: Connection) -> Iterator[Problem]:
    for row in connection.execute(select(REVISIONS), execution_options=_FEW):
        where = f"job {row.job_id[:8]}, revision {row.number}"
        try:
            document = unpack(row.document, row.sha256, where)
            named = sorted(photo_names(parse(document, where)))
        except MeasureError as error:
            yield _problem(where, error)
            continue
        kept = [name for name, _ in shelf.photos_of(connection, row.job_id, row.number)]
        if kept != named:
            yield Problem(where, "names other photos than are kept with it", _COPY)


def _problem(where: str, error: MeasureError) -> Problem:
    if isinstance(error, StoreDamaged):
        return Problem(error.where, error.what, error.remedy)
    return Problem(where, "is not a job file", _COPY)


def _photos(connection: Connection, store: Store) -> Iterator[Problem]:
    """Look at photos that a revision names.

    A program that was stopped while it removed a photo may leave a row without its
    file, which nobody names and whoever adds the photo next fills again.
    """
    named = select(REVISION_PHOTOS.c.sha256, func.min(REVISION_PHOTOS.c.name).label("name"))
    for row in connection.execute(named.group_by(REVISION_PHOTOS.c.sha256)):
        try:
            photos.verified_path(store, row.sha256, row.name)
        except StoreDamaged as error:
            yield _problem("", error)


def _contents(connection: Connection) -> Iterator[Problem]:
    for table in (PAPERS, PRICE_BOOKS):
        for row in connection.execute(select(table), execution_options=_FEW):
            where = _named(row, table.name)
            try:
                unpack(row.content, row.sha256, where)
            except StoreDamaged as error:
                yield _problem(where, error)


def _named(row: Row[tuple[object, ...]], table: str) -> str:
    if table == PRICE_BOOKS.name:
        return f"price book {row.name!r}, number {row.number}"
    return f"job {row.job_id[:8]}, revision {row.number}, paper {row.name!r}"
