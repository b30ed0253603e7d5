"""Bring a package into the store: the whole job or nothing."""

import tempfile
import uuid
from dataclasses import dataclass, replace
from enum import StrEnum
from pathlib import Path
from typing import Final

from sqlalchemy import Connection

from calibration.errors import InputError, MeasureError, NotInStore, UnreadablePhoto
from photomeasure.disk import unwritable
from photomeasure.store import jobs, papers, photos, shelf
from photomeasure.store.documents import (
    LONGEST_NOTE,
    LONGEST_PERSON,
    make_draft,
    one_line,
)
from photomeasure.store.package.manifest import PaperEntry, RevisionEntry
from photomeasure.store.package.opening import Package, opened
from photomeasure.store.records import Paper, Revision
from photomeasure.store.store import Store

_AGAIN: Final = "export the job again"


class Duplicate(StrEnum):
    """What to do with a job that is in the store already, but different."""

    REFUSE = "refuse"
    COPY = "copy"
    REVISION = "revision"


@dataclass(frozen=True, slots=True)
class _Job:
    """A checked job whose photos are in the store; nothing of it is saved yet.

    Attributes
    ----------
    revisions : tuple of (Revision, bytes)
        With their job files, the last one first.
    papers : tuple of (Paper, bytes)
    """

    revisions: tuple[tuple[Revision, bytes], ...]
    papers: tuple[tuple[Paper, bytes], ...]

    @property
    def newest(self) -> Revision:
        """The last revision."""
        return self.revisions[0][0]

    def renamed(self, job_id: str) -> "_Job":
        """Return it as a job of another id."""
        return _Job(
            tuple((replace(r, job_id=job_id), content) for r, content in self.revisions),
            tuple((replace(p, job_id=job_id), content) for p, content in self.papers),
        )


def bring_in_package(
    store: Store, path: Path, duplicate: Duplicate = Duplicate.REFUSE
) -> Revision:
    """Save the job of a package under its own id, with its times and names.

    Parameters
    ----------
    store : Store
    path : Path
        Written by :func:`photomeasure.store.package.write_package`, or by an enemy.
    duplicate : Duplicate, optional
        For a job that is here already and differs; an equal one is left as it is.

    Returns
    -------
    Revision
        The job's last one.

    Raises
    ------
    InputError
        If the package is no package, damaged, or contradicts itself.
    StorageError
    """
    with opened(path) as package:
        job = _read(store, package)
    with store.database.writing() as connection:
        for revision, _ in job.revisions:
            photos.require(connection, store, revision.photos)
        return _save(connection, job, duplicate, package.shown)


def _save(connection: Connection, job: _Job, duplicate: Duplicate, shown: str) -> Revision:
    try:
        here = shelf.last(connection, job.newest.job_id)
    except NotInStore:
        return _insert(connection, job)
    if here == job.newest:
        return here
    if duplicate is Duplicate.COPY:
        return _insert(connection, job.renamed(uuid.uuid4().hex))
    if duplicate is Duplicate.REVISION:
        note = one_line(f"brought in from {shown}", LONGEST_NOTE)
        ours = replace(job.newest, note=note, restored_from=None)
        return shelf.append(connection, here, ours, job.revisions[0][1])
    raise InputError(
        shown,
        f"the store holds this job already, with another revision {here.number}",
        "add --as copy or --as revision; neither loses anything",
    )


def _insert(connection: Connection, job: _Job) -> Revision:
    shelf.insert_job(connection, job.newest)
    for revision, document in job.revisions:
        shelf.insert_revision(connection, revision, document)
    for paper, content in job.papers:
        papers.insert_paper(connection, paper, content)
    return job.newest


def _read(store: Store, package: Package) -> _Job:
    """Check everything, and keep the photos, which harm nobody if no job follows."""
    numbers = [entry.number for entry in package.manifest.revisions]
    if sorted(set(numbers), reverse=True) != numbers:
        raise InputError(package.shown, "lists its revisions out of order", _AGAIN)
    package.verify()
    kept: dict[str, str] = {}
    wanted = {p.sha256 for r in package.manifest.revisions for p in r.photos}
    for sha256 in sorted(wanted):
        kept[sha256] = _keep_photo(store, package, sha256)
    found = [_revision(package, entry, kept) for entry in package.manifest.revisions]
    return _Job(
        tuple(found),
        tuple(_paper(package, entry, numbers) for entry in package.manifest.papers),
    )


def _keep_photo(store: Store, package: Package, sha256: str) -> str:
    """Return the hash under which a photo is kept.

    It is the same unless the package was written by a program that left more in it.
    """
    content = package.photo(sha256)
    keep_place = sha256 in package.manifest.places_kept
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "photo"
        try:
            path.write_bytes(content)
            return photos.add(store, path, keep_place=keep_place).sha256
        except OSError as error:
            raise unwritable(path, error) from error
        except UnreadablePhoto as error:
            raise UnreadablePhoto(
                f"{package.shown}, photo {sha256[:12]}", error.what, error.remedy
            ) from error


def _revision(
    package: Package, entry: RevisionEntry, kept: dict[str, str]
) -> tuple[Revision, bytes]:
    document = package.content(entry.sha256)
    named = {photo.name: kept[photo.sha256] for photo in entry.photos}
    try:
        draft = make_draft(document, named)
    except MeasureError as error:
        what = f"its revision {entry.number} is unusable ({error})"
        raise InputError(package.shown, what, _AGAIN) from error
    if {name for name, _ in draft.photos} != set(named):
        what = f"its revision {entry.number} names other photos than its list"
        raise InputError(package.shown, what, _AGAIN)
    revision = Revision(
        job_id=package.manifest.job_id,
        number=entry.number,
        parent=entry.parent,
        restored_from=entry.restored_from,
        saved_at=entry.saved_at,
        saved_by=one_line(entry.saved_by, LONGEST_PERSON) or jobs.NOBODY,
        note=one_line(entry.note, LONGEST_NOTE),
        title=draft.title,
        sha256=draft.sha256,
        photos=draft.photos,
    )
    return revision, document


def _paper(package: Package, entry: PaperEntry, numbers: list[int]) -> tuple[Paper, bytes]:
    if entry.revision not in numbers:
        raise InputError(package.shown, "holds papers of no revision", _AGAIN)
    papers.check_words(entry.kind, entry.name, entry.media_type)
    paper = Paper(
        job_id=package.manifest.job_id,
        number=entry.revision,
        kind=entry.kind,
        name=entry.name,
        media_type=entry.media_type,
        saved_at=entry.saved_at,
        saved_by=one_line(entry.saved_by, LONGEST_PERSON) or jobs.NOBODY,
        sha256=entry.sha256,
    )
    return paper, package.content(entry.sha256)
