"""Photos that a browser sends: each is checked and kept, or refused by its name."""

import shutil
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO, Final

from calibration.errors import InputError, MeasureError, printable
from photomeasure.disk import make_folder
from photomeasure.job.edit import Document, with_photo
from photomeasure.store import Store, jobs, photos
from photomeasure.store.jobs import Signature
from photomeasure.store.names import distinct, plain_name
from ui.server import pictures
from ui.server.office import Office, Opened

MOST_FILES: Final = 30
"""Of one request; the page sends them one by one."""


@dataclass(frozen=True, slots=True)
class Sent:
    """One file of a request.

    Attributes
    ----------
    name : str
        As the browser called it; anything.
    file : BinaryIO
    """

    name: str
    file: BinaryIO


@dataclass(frozen=True, slots=True)
class Refused:
    """A file that was not taken.

    Attributes
    ----------
    name : str
        Plain.
    message : str
        One sentence.
    """

    name: str
    message: str


@dataclass(frozen=True, slots=True)
class _Kept:
    """A photo in the store, with the name it would like to have in the job."""

    name: str
    sha256: str


def take_in(
    office: Office, job_id: str, sent: Sequence[Sent], signature: Signature
) -> tuple[Opened, list[Refused]]:
    """Keep photos and give each an elevation.

    Parameters
    ----------
    office : Office
    job_id : str
    sent : sequence of Sent
    signature : Signature

    Returns
    -------
    opened : Opened
        The job with them.
    refused : list of Refused
        One bad photo loses no other.

    Raises
    ------
    InputError
        If there is none, or too many.
    StorageError
    """
    office.open(job_id)
    if not sent or len(sent) > MOST_FILES:
        raise InputError(
            "photos", f"holds {len(sent)} files", f"send 1 to {MOST_FILES} at a time"
        )
    kept: list[_Kept] = []
    refused: list[Refused] = []
    for one in sent:
        try:
            kept.append(_keep(office.store, one))
        except MeasureError as error:
            refused.append(Refused(plain_name(one.name), str(error)))
    opened = _named(office, job_id, kept, signature) if kept else office.open(job_id)
    return opened, refused


def _keep(store: Store, sent: Sent) -> _Kept:
    name = plain_name(printable(sent.name) or "photo")
    arrivals = store.home / "arrivals"
    make_folder(arrivals)
    # The store reads files; each gets a folder, so that its own name stands in messages.
    with tempfile.TemporaryDirectory(dir=arrivals) as folder:
        path = Path(folder) / name
        with path.open("xb") as copy:
            shutil.copyfileobj(sent.file, copy)
        photo = photos.add(store, path)
        # Decoded now, so that a picture that cannot be is refused by its name.
        pictures.look(store, photo.sha256, name)
    return _Kept(name, photo.sha256)


def _named(
    office: Office, job_id: str, kept: Sequence[_Kept], signature: Signature
) -> Opened:
    """Save the job with each photo under a name of its own."""
    known = jobs.photos_of(office.store, job_id)
    taken = {name.casefold() for name in known}
    named = dict(known)
    fresh: list[str] = []
    for photo in kept:
        again = next((n for n, sha256 in named.items() if sha256 == photo.sha256), None)
        name = again or distinct(photo.name, taken)
        named[name] = photo.sha256
        fresh.append(name)

    def add(document: Document) -> Document:
        for name in fresh:
            if name not in _shown(document):
                document = with_photo(document, name)
        return document

    return office.change(job_id, add, signature, named)


def _shown(document: Document) -> set[str]:
    return {
        str(entry.get("photo"))
        for entry in document["elevations"]
        if isinstance(entry, dict)
    }
