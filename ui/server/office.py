"""What routes and panels share: the store, and jobs as they are worked on."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any, Final

from calibration.errors import JobChangedElsewhere, UnknownName
from photomeasure.adjustments import Adjustments
from photomeasure.job.edit import Document, written
from photomeasure.job.load import Job, job_from_document
from photomeasure.job.reading import parse
from photomeasure.job.schema import ElevationSpec
from photomeasure.measure import measure_job
from photomeasure.results import MeasuredElevation, MeasuredJob, RefusedElevation
from photomeasure.store import Store, jobs
from photomeasure.store.documents import make_draft
from photomeasure.store.jobs import Signature
from photomeasure.store.records import Revision, StoredJob
from ui.server.failures import BadRequest, NoSuchJob
from ui.server.settings import Settings

_ID: Final = re.compile(r"[0-9a-f]{32}")
_KEPT: Final = 32
"""Measured jobs that are kept in memory, each a few hundred kilobytes."""

_TRIES: Final = 5
"""Savings of others that a change of one block gives way to."""


@dataclass(frozen=True, slots=True)
class Opened:
    """A job as it was read.

    Attributes
    ----------
    stored : StoredJob
    document : dict
        Its job file.
    """

    stored: StoredJob
    document: Document

    @property
    def id(self) -> str:
        """The job's id."""
        return self.stored.revision.job_id

    @property
    def number(self) -> int:
        """Of the revision."""
        return self.stored.revision.number

    @property
    def key(self) -> tuple[str, int, str]:
        """What tells it from any other: a job may go and come back otherwise."""
        return self.id, self.number, self.stored.revision.sha256

    @property
    def title(self) -> str:
        """As it is listed."""
        return self.stored.revision.title

    @property
    def photos(self) -> dict[str, str]:
        """SHA-256 of each photo by its name."""
        return dict(self.stored.revision.photos)


class Office:
    """The store with what is computed from it.

    Parameters
    ----------
    store : Store
    settings : Settings

    Attributes
    ----------
    adjustments : Adjustments
        Of the walls that people work on.
    """

    def __init__(self, store: Store, settings: Settings) -> None:
        self.store = store
        self.settings = settings
        self.adjustments = Adjustments()
        self._measured = lru_cache(_KEPT)(self._measure)

    def open(self, job_id: str, number: int | None = None) -> Opened:
        """Return a revision of a job, by default the last.

        Raises
        ------
        NoSuchJob
            If the address names none.
        StorageError
        """
        if not _ID.fullmatch(job_id):
            raise NoSuchJob
        stored = jobs.load(self.store, job_id, number)
        document = parse(stored.document, "job")
        if not isinstance(document, dict):
            raise BadRequest("the job file gives a word twice")
        return Opened(stored, document)

    def job(self, opened: Opened) -> Job:
        """Return a job that can be measured; its photos were verified."""
        return jobs.measurable(self.store, opened.stored)

    def measured(self, opened: Opened) -> MeasuredJob:
        """Return a job with its lengths."""
        return self._measured(*opened.key)

    def _measure(self, job_id: str, number: int, _: str) -> MeasuredJob:
        job = self.job(self.open(job_id, number))
        return measure_job(job, self.adjustments.of)

    def elevation(self, opened: Opened, name: str) -> MeasuredElevation | RefusedElevation:
        """Return one measured elevation.

        Raises
        ------
        UnknownName
        """
        entries = {entry.name: entry for entry in self.measured(opened).elevations}
        if name not in entries:
            raise UnknownName("elevation", name, entries)
        return entries[name]

    def save(
        self,
        opened: Opened,
        document: Document,
        signature: Signature,
        *,
        base: int | None = None,
        photos: Mapping[str, str] | None = None,
    ) -> Revision:
        """Save a changed job.

        Parameters
        ----------
        opened : Opened
        document : dict
        signature : Signature
        base : int, optional
            Revision that was changed; by default the one that was opened.
        photos : mapping of str to str, optional
            SHA-256 by name; by default those that the job has or once had, so that no
            job can name another job's photos.

        Returns
        -------
        Revision

        Raises
        ------
        JobChangedElsewhere
        InputError
        """
        known = photos or jobs.photos_of(self.store, opened.id)
        draft = make_draft(written(document), known)
        number = opened.number if base is None else base
        return jobs.save(self.store, opened.id, draft, number, signature)

    def change(
        self,
        job_id: str,
        change: Callable[[Document], Document],
        signature: Signature,
        photos: Mapping[str, str] | None = None,
    ) -> Opened:
        """Change a part of a job, again if somebody saved another part meanwhile.

        Parameters
        ----------
        job_id : str
        change : callable
            From the document to the changed one; it touches one block only.
        signature : Signature
        photos : mapping of str to str, optional
            As in :meth:`save`.

        Returns
        -------
        Opened
            As saved.
        """
        for last in [False] * (_TRIES - 1) + [True]:
            opened = self.open(job_id)
            try:
                self.save(opened, change(opened.document), signature, photos=photos)
            except JobChangedElsewhere:
                if last:
                    raise
            else:
                break
        return self.open(job_id)

    def readable(self, opened: Opened, spec: ElevationSpec) -> ElevationSpec:
        """Return an elevation whose photo leads to the stored copy.

        Raises
        ------
        UnknownName
            If the job has no such photo.
        """
        if spec.photo is None:
            return spec
        known = opened.photos
        if spec.photo not in known:
            raise UnknownName("photo", spec.photo, known)
        path = self.photo_path(known[spec.photo])
        return spec.model_copy(update={"photo": str(path)})

    def photo_path(self, sha256: str) -> Path:
        """Return where the stored copy of a photo is."""
        from photomeasure.store import photos

        return photos.place_of(self.store, sha256)


def specs_of(document: Document) -> list[tuple[str, Any]]:
    """Return name and specification, or refusal, of each elevation of a job file."""
    job = job_from_document(document, Path())
    return list(zip(job.names, job.elevations, strict=True))
