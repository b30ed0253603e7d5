"""Save and load jobs: every saving is a revision, and none is ever overwritten."""

import uuid
from dataclasses import dataclass, replace
from typing import Final

from sqlalchemy import select

from calibration.errors import JobChangedElsewhere, NotInStore
from photomeasure.job.load import Job, job_from_document
from photomeasure.job.reading import parse
from photomeasure.job.schema import ElevationSpec
from photomeasure.store import photos, shelf
from photomeasure.store.clock import moment
from photomeasure.store.documents import LONGEST_NOTE, LONGEST_PERSON, Draft, one_line
from photomeasure.store.names import search_key
from photomeasure.store.records import JobEntry, Revision, StoredJob
from photomeasure.store.store import Store
from photomeasure.store.tables import JOBS

NOBODY: Final = "unknown"
_LISTED: Final = "see 'photomeasure jobs list'"


@dataclass(frozen=True, slots=True)
class Signature:
    """Who saves, and what they say about it.

    Attributes
    ----------
    who : str
    note : str
    """

    who: str = NOBODY
    note: str = ""


UNSIGNED: Final = Signature()


def create(store: Store, draft: Draft, signature: Signature = UNSIGNED) -> Revision:
    """Save a new job.

    Parameters
    ----------
    store : Store
    draft : Draft
    signature : Signature, optional

    Returns
    -------
    Revision
        Number 1 of a job with an id of its own.

    Raises
    ------
    StorageError
    """
    job_id = uuid.uuid4().hex
    revision = _signed(store, job_id, draft, signature)
    with store.database.writing() as connection:
        photos.require(connection, store, draft.photos)
        shelf.insert_job(connection, revision)
        shelf.insert_revision(connection, revision, draft.document)
    return revision


def save(
    store: Store,
    job_id: str,
    draft: Draft,
    base: int,
    signature: Signature = UNSIGNED,
) -> Revision:
    """Save a job that was read and changed.

    Parameters
    ----------
    store : Store
    job_id : str
    draft : Draft
    base : int
        Number of the revision that was read.
    signature : Signature, optional

    Returns
    -------
    Revision
        The new one; the last one if nothing differs from it.

    Raises
    ------
    JobChangedElsewhere
        If `base` is no longer the last revision; nothing is saved.
    NotInStore
        If the job or a photo is not there.
    """
    revision = _signed(store, job_id, draft, signature)
    with store.database.writing() as connection:
        last = shelf.last(connection, job_id)
        if last.number != base:
            raise JobChangedElsewhere(shelf.shown(last), base, last.number, last.saved_by)
        if (last.sha256, last.photos) == (draft.sha256, draft.photos):
            return last
        photos.require(connection, store, draft.photos)
        return shelf.append(connection, last, revision, draft.document)


def restore(
    store: Store, job_id: str, number: int, signature: Signature = UNSIGNED
) -> Revision:
    """Bring an earlier revision back as the newest one; what lies between stays.

    Parameters
    ----------
    store : Store
    job_id : str
    number : int
    signature : Signature, optional

    Returns
    -------
    Revision

    Raises
    ------
    NotInStore
    StoreDamaged
        If that revision is damaged.
    """
    with store.database.writing() as connection:
        last = shelf.last(connection, job_id)
        old = shelf.stored(connection, job_id, number)
        if number == last.number:
            return last
        signed = replace(
            old.revision,
            restored_from=number,
            saved_at=moment(store.clock()),
            saved_by=one_line(signature.who, LONGEST_PERSON) or NOBODY,
            note=one_line(signature.note, LONGEST_NOTE),
        )
        photos.require(connection, store, signed.photos)
        return shelf.append(connection, last, signed, old.document)


def load(store: Store, job_id: str, number: int | None = None) -> StoredJob:
    """Return a revision with its job file.

    Parameters
    ----------
    store : Store
    job_id : str
    number : int, optional
        The last one by default.

    Returns
    -------
    StoredJob

    Raises
    ------
    NotInStore
    StoreDamaged
        If the job file no longer matches its hash.
    """
    with store.database.reading() as connection:
        return shelf.stored(connection, job_id, number)


def measurable(store: Store, stored: StoredJob) -> Job:
    """Return a stored job for :func:`photomeasure.measure.measure_job`.

    Parameters
    ----------
    store : Store
    stored : StoredJob

    Returns
    -------
    Job
        Its photos lead to the stored copies, which have been checked.

    Raises
    ------
    StoreDamaged
        If a photo is missing or changed.
    """
    job = job_from_document(parse(stored.document, "job"), store.home)
    paths = {
        name: str(photos.verified_path(store, sha256, name))
        for name, sha256 in stored.revision.photos
    }
    elevations = tuple(
        entry.model_copy(update={"photo": paths[entry.photo]})
        if isinstance(entry, ElevationSpec) and entry.photo
        else entry
        for entry in job.elevations
    )
    return replace(job, elevations=elevations)


def listed(store: Store, search: str = "", limit: int | None = None) -> list[JobEntry]:
    """List jobs, the last saved first.

    Parameters
    ----------
    store : Store
    search : str, optional
        Words that the title holds, in any order, capitals and accents aside.
    limit : int, optional
        How many at most.

    Returns
    -------
    list of JobEntry

    Raises
    ------
    StorageError
    """
    query = select(
        JOBS.c.id, JOBS.c.title, JOBS.c.latest, JOBS.c.saved_us, JOBS.c.saved_by
    ).order_by(JOBS.c.saved_us.desc(), JOBS.c.id)
    for word in search_key(search).split():
        query = query.where(JOBS.c.title_key.contains(word, autoescape=True))
    with store.database.reading() as connection:
        return [
            JobEntry(id=i, title=title, latest=n, saved_at=moment(us), saved_by=who)
            for i, title, n, us, who in connection.execute(query.limit(limit))
        ]


def find(store: Store, beginning: str) -> JobEntry:
    """Return the one job whose id begins with some letters.

    Parameters
    ----------
    store : Store
    beginning : str

    Returns
    -------
    JobEntry

    Raises
    ------
    NotInStore
        If there is none, or more than one.
    """
    wanted = beginning.strip().lower()
    query = select(JOBS).where(JOBS.c.id.startswith(wanted, autoescape=True)).limit(2)
    with store.database.reading() as connection:
        rows = connection.execute(query).all() if wanted else []
    shown = f"job {beginning[:40]!r}"
    if not rows:
        raise NotInStore(shown, "is not in the store", _LISTED)
    if len(rows) > 1:
        raise NotInStore(shown, "begins the id of several jobs", "write more of the id")
    return shelf.entry(rows[0])


def history(store: Store, job_id: str) -> list[Revision]:
    """Return every revision of a job, the newest first.

    Parameters
    ----------
    store : Store
    job_id : str

    Returns
    -------
    list of Revision

    Raises
    ------
    NotInStore
    """
    with store.database.reading() as connection:
        found = shelf.revisions(connection, job_id)
    if not found:
        raise shelf.no_job(job_id)
    return found


def photos_of(store: Store, job_id: str) -> dict[str, str]:
    """Return every photo that any revision of a job names.

    Parameters
    ----------
    store : Store
    job_id : str

    Returns
    -------
    dict of str to str
        SHA-256 by name; of a name that was used again, the newest.

    Raises
    ------
    NotInStore
    """
    with store.database.reading() as connection:
        shelf.last(connection, job_id)  # refuses a job that is not there
        return shelf.photos_ever(connection, job_id)


def _signed(store: Store, job_id: str, draft: Draft, signature: Signature) -> Revision:
    """Return the first revision of a job; :func:`shelf.append` numbers a later one."""
    return Revision(
        job_id=job_id,
        number=1,
        parent=None,
        restored_from=None,
        saved_at=moment(store.clock()),
        saved_by=one_line(signature.who, LONGEST_PERSON) or NOBODY,
        note=one_line(signature.note, LONGEST_NOTE),
        title=draft.title,
        sha256=draft.sha256,
        photos=draft.photos,
    )


def delete(store: Store, job_id: str) -> None:
    """Delete a job with its history, papers and photos that no other job uses.

    Nothing of it can be read back from the store's files afterwards. Copies of the
    folder, and what a disk keeps of overwritten blocks, are beyond this program.

    Parameters
    ----------
    store : Store
    job_id : str

    Raises
    ------
    NotInStore
    StorageError
    """
    with store.database.writing() as connection:
        used = shelf.photos_used(connection, job_id)
        if not connection.execute(JOBS.delete().where(JOBS.c.id == job_id)).rowcount:
            raise shelf.no_job(job_id)
    photos.sweep(store, used)
    store.database.forget()
