"""Rows of jobs and revisions, within a transaction that the caller opened."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from sqlalchemy import ColumnElement, Connection, Row, select

from calibration.errors import NotInStore, StoreDamaged
from photomeasure.store.clock import after, microseconds, moment
from photomeasure.store.documents import pack, unpack
from photomeasure.store.names import search_key
from photomeasure.store.records import JobEntry, Revision, StoredJob
from photomeasure.store.tables import JOBS, REVISION_PHOTOS, REVISIONS

_FACTS = [column for column in REVISIONS.c if column.name != "document"]

Photos = tuple[tuple[str, str], ...]


def no_job(job_id: str) -> NotInStore:
    """Return the refusal of an id."""
    return NotInStore(
        f"job {job_id[:40]!r}", "is not in the store", "see 'photomeasure jobs list'"
    )


def shown(revision: Revision) -> str:
    """Return what messages call a job: its title may be a customer's name."""
    return f"job {revision.job_id[:8]}"


def last(connection: Connection, job_id: str) -> Revision:
    """Return the last revision of a job.

    Parameters
    ----------
    connection : sqlalchemy.Connection
    job_id : str

    Returns
    -------
    Revision

    Raises
    ------
    NotInStore
    """
    latest = _latest(connection, job_id)
    row = connection.execute(select(*_FACTS).where(*_key(job_id, latest))).first()
    if row is None:
        raise _lost(job_id, latest)
    return _revision(row, photos_of(connection, job_id, latest))


def stored(connection: Connection, job_id: str, number: int | None) -> StoredJob:
    """Return a revision with its job file, the last one without a number.

    Parameters
    ----------
    connection : sqlalchemy.Connection
    job_id : str
    number : int or None

    Returns
    -------
    StoredJob

    Raises
    ------
    NotInStore
    StoreDamaged
        If the job file no longer matches its hash.
    """
    latest = _latest(connection, job_id)
    wanted = latest if number is None else number
    row = connection.execute(select(REVISIONS).where(*_key(job_id, wanted))).first()
    if row is None and wanted == latest:
        raise _lost(job_id, latest)
    if row is None:
        raise NotInStore(
            f"job {job_id[:8]}",
            f"has no revision {wanted}",
            f"see 'photomeasure jobs history {job_id[:8]}'",
        )
    revision = _revision(row, photos_of(connection, job_id, wanted))
    where = f"job {job_id[:8]}, revision {wanted}"
    return StoredJob(revision=revision, document=unpack(row.document, row.sha256, where))


def revisions(connection: Connection, job_id: str) -> list[Revision]:
    """Return every revision of a job, the newest first; none if there is no job."""
    mine = select(*_FACTS).where(REVISIONS.c.job_id == job_id)
    rows = connection.execute(mine.order_by(REVISIONS.c.number.desc())).all()
    return [_revision(row, photos_of(connection, job_id, row.number)) for row in rows]


def photos_of(connection: Connection, job_id: str, number: int) -> Photos:
    """Return names and hashes of a revision's photos, by name."""
    named = select(REVISION_PHOTOS.c.name, REVISION_PHOTOS.c.sha256).where(
        REVISION_PHOTOS.c.job_id == job_id, REVISION_PHOTOS.c.number == number
    )
    # Sorted here: databases sort by rules of their own.
    return tuple(sorted((name, sha256) for name, sha256 in connection.execute(named)))


def photos_used(connection: Connection, job_id: str) -> list[str]:
    """Return the hashes of all photos of all revisions."""
    mine = select(REVISION_PHOTOS.c.sha256).where(REVISION_PHOTOS.c.job_id == job_id)
    return [row.sha256 for row in connection.execute(mine.distinct())]


def photos_ever(connection: Connection, job_id: str) -> dict[str, str]:
    """Return the photos of all revisions by name, the newest of each."""
    mine = (
        select(REVISION_PHOTOS.c.name, REVISION_PHOTOS.c.sha256)
        .where(REVISION_PHOTOS.c.job_id == job_id)
        .order_by(REVISION_PHOTOS.c.number)
    )
    return {row.name: row.sha256 for row in connection.execute(mine)}


def append(
    connection: Connection, before: Revision, revision: Revision, document: bytes
) -> Revision:
    """Write a revision behind the last one.

    Parameters
    ----------
    connection : sqlalchemy.Connection
        Of a writer, who read `before` within the same transaction.
    before : Revision
        The last one so far.
    revision : Revision
        Its number, parent and too early a time are set here.
    document : bytes

    Returns
    -------
    Revision
        As written.
    """
    time_us = microseconds(revision.saved_at)
    later_us = after(lambda: time_us, microseconds(before.saved_at))
    numbered = replace(
        revision,
        number=before.number + 1,
        parent=before.number,
        saved_at=moment(later_us),
    )
    insert_revision(connection, numbered, document)
    connection.execute(
        JOBS.update()
        .where(JOBS.c.id == before.job_id)
        .values(
            title=numbered.title,
            title_key=search_key(numbered.title),
            latest=numbered.number,
            saved_us=later_us,
            saved_by=numbered.saved_by,
        )
    )
    return numbered


def insert_job(connection: Connection, revision: Revision) -> None:
    """Write the row of a job that a revision is the last one of."""
    saved_us = microseconds(revision.saved_at)
    connection.execute(
        JOBS.insert().values(
            id=revision.job_id,
            title=revision.title,
            title_key=search_key(revision.title),
            latest=revision.number,
            created_us=saved_us,
            saved_us=saved_us,
            saved_by=revision.saved_by,
        )
    )


def insert_revision(connection: Connection, revision: Revision, document: bytes) -> None:
    """Write the rows of a revision as it is."""
    connection.execute(
        REVISIONS.insert().values(
            job_id=revision.job_id,
            number=revision.number,
            parent=revision.parent,
            restored_from=revision.restored_from,
            saved_us=microseconds(revision.saved_at),
            saved_by=revision.saved_by,
            note=revision.note,
            title=revision.title,
            sha256=revision.sha256,
            document=pack(document),
        )
    )
    named = [
        {
            "job_id": revision.job_id,
            "number": revision.number,
            "name": name,
            "sha256": sha256,
        }
        for name, sha256 in revision.photos
    ]
    if named:
        connection.execute(REVISION_PHOTOS.insert(), named)


def entry(row: Row[Any]) -> JobEntry:
    """Return a row of the jobs as an entry of a list."""
    return JobEntry(
        id=row.id,
        title=row.title,
        latest=row.latest,
        saved_at=moment(row.saved_us),
        saved_by=row.saved_by,
    )


def _key(job_id: str, number: int) -> Sequence[ColumnElement[bool]]:
    return REVISIONS.c.job_id == job_id, REVISIONS.c.number == number


def _latest(connection: Connection, job_id: str) -> int:
    found = connection.execute(select(JOBS.c.latest).where(JOBS.c.id == job_id)).scalar()
    if found is None:
        raise no_job(job_id)
    return int(found)


def _lost(job_id: str, number: int) -> StoreDamaged:
    return StoreDamaged(
        f"job {job_id[:8]}",
        f"has lost its revision {number}",
        "put back a copy of the folder, as docs/keeping.md says",
    )


def _revision(row: Row[Any], photos: Photos) -> Revision:
    return Revision(
        job_id=row.job_id,
        number=row.number,
        parent=row.parent,
        restored_from=row.restored_from,
        saved_at=moment(row.saved_us),
        saved_by=row.saved_by,
        note=row.note,
        title=row.title,
        sha256=row.sha256,
        photos=photos,
    )
