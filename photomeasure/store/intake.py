"""Bring a job file and the photos beside it into the store."""

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from calibration.errors import InputError, UnreadablePhoto
from photomeasure.job.load import job_from_document
from photomeasure.job.reading import parse, photo_names, read_bytes
from photomeasure.store import jobs, photos
from photomeasure.store.documents import make_draft, with_photos
from photomeasure.store.jobs import UNSIGNED, Signature
from photomeasure.store.names import distinct, plain_name
from photomeasure.store.records import Revision
from photomeasure.store.store import Store


@dataclass(frozen=True, slots=True)
class _Named:
    """Photos of a job file: their plain names, and their hashes by plain name."""

    plain: dict[str, str]
    sha256: dict[str, str]


def bring_in_job_file(
    store: Store,
    path: Path,
    signature: Signature = UNSIGNED,
    *,
    keep_place: bool = False,
) -> Revision:
    """Save a job file with its photos as a new job.

    The file is kept byte for byte, unless it names photos by paths: those say how
    somebody's folders are called, so their last parts take their place.

    Parameters
    ----------
    store : Store
    path : Path
        A job file; its photos lie where it says.
    signature : Signature, optional
    keep_place : bool, optional
        Keep the photos' places and serial numbers.

    Returns
    -------
    Revision

    Raises
    ------
    InputError
        If the file is no job or a photo is missing or unusable; nothing is saved.
    StorageError
    """
    document = read_bytes(path)
    parsed = parse(document, path.name)
    job_from_document(parsed, path.parent, path.name)
    named = _add_photos(store, photo_names(parsed), path, keep_place=keep_place)
    if any(old != new for old, new in named.plain.items()):
        document = _renamed(parsed, named.plain, path.name)
    return jobs.create(store, make_draft(document, named.sha256), signature)


def _add_photos(store: Store, names: list[str], path: Path, *, keep_place: bool) -> _Named:
    named = _Named({}, {})
    taken: set[str] = set()
    # Names that may stay come first, so that they do stay.
    for name in sorted(names, key=lambda name: plain_name(name) != name):
        plain = distinct(plain_name(name), taken)
        try:
            photo = photos.add(store, path.parent / name, keep_place=keep_place)
        except UnreadablePhoto as error:
            what = f"{error.where}: {error.what}"
            raise UnreadablePhoto(path.name, what, error.remedy) from error
        named.plain[name] = plain
        named.sha256[plain] = photo.sha256
    return named


def _renamed(parsed: object, names: dict[str, str], where: str) -> bytes:
    """Return a job file with plain names of photos."""
    document: dict[str, Any] = parsed if isinstance(parsed, dict) else {}
    try:
        text = json.dumps(with_photos(document, names), indent=1)
    except TypeError:  # a word given twice somewhere, which has no plain form
        raise InputError(
            where,
            "gives a word twice and names photos by paths",
            "mend the elevation, or put the photos beside the job file",
        ) from None
    return text.encode()
