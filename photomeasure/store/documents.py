"""A job file as the store keeps it: checked, with its photos' names, compressed."""

import hashlib
import zlib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from calibration.errors import InputError, StoreDamaged, printable
from photomeasure.job.load import job_from_document
from photomeasure.job.reading import MAX_BYTES, parse, photo_names
from photomeasure.store.names import is_plain

LONGEST_NOTE: Final = 1000
LONGEST_PERSON: Final = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """A job file that may be saved.

    Attributes
    ----------
    document : bytes
        The job file exactly as given.
    title : str
        On one line.
    photos : tuple of (str, str)
        Name in the job file and SHA-256 of the stored photo, by name.
    """

    document: bytes
    title: str
    photos: tuple[tuple[str, str], ...]

    @property
    def sha256(self) -> str:
        """Of the job file."""
        return digest(self.document)


def make_draft(document: bytes, photos: Mapping[str, str]) -> Draft:
    """Check a job file and the photos that belong to it.

    Elevations with mistakes may be saved: work in progress has them. The file as a
    whole must be a job.

    Parameters
    ----------
    document : bytes
        A job file; photos are named in it by plain names.
    photos : mapping of str to str
        For each name the SHA-256 that :func:`photomeasure.store.photos.add` returned.

    Returns
    -------
    Draft

    Raises
    ------
    InputError
        If the file is no job, or a photo's name is a path or has no photo.
    """
    where = "job"
    if len(document) > MAX_BYTES:
        what = f"is larger than {MAX_BYTES // 2**20} MB"
        raise InputError(where, what, "split the job into several")
    parsed = parse(document, where)
    job = job_from_document(parsed, Path())
    named = photo_names(parsed)
    _check_names(named)
    missing = [name for name in named if name not in photos]
    if missing:
        raise InputError(
            f"{where}: photo {missing[0]!r}", "is not in the store", "add the photo first"
        )
    return Draft(
        document=document,
        title=printable(job.title).strip(),
        photos=tuple((name, photos[name]) for name in sorted(named)),
    )


def with_photos(document: dict[str, Any], names: Mapping[str, str]) -> dict[str, Any]:
    """Return a parsed job file with its photos named otherwise.

    Parameters
    ----------
    document : dict
    names : mapping of str to str
        New name by old name; others stay.

    Returns
    -------
    dict
        A new one; the given one stays as it is.
    """
    return {
        **document,
        "elevations": [
            {**entry, "photo": names.get(entry["photo"], entry["photo"])}
            if isinstance(entry, dict) and isinstance(entry.get("photo"), str)
            else entry
            for entry in document["elevations"]
        ],
    }


def _check_names(names: list[str]) -> None:
    seen: set[str] = set()
    for name in names:
        if not is_plain(name):
            raise InputError(
                f"job: photo {name[:80]!r}",
                "is not a plain file name",
                "name the photo without folders and odd signs",
            )
        if name.casefold() in seen:
            raise InputError(
                f"job: photo {name!r}",
                "differs from another photo's name only in capitals",
                "give each its own name",
            )
        seen.add(name.casefold())


def digest(content: bytes) -> str:
    """Return the SHA-256 of some bytes in hexadecimal."""
    return hashlib.sha256(content).hexdigest()


def pack(content: bytes) -> bytes:
    """Return bytes as they are kept: job files shrink to a fifth."""
    return zlib.compress(content, 6)


def unpack(packed: bytes, sha256: str, where: str) -> bytes:
    """Return kept bytes as they were given.

    Parameters
    ----------
    packed : bytes
        From :func:`pack`.
    sha256 : str
        Of what was given.
    where : str
        What it is, for the message.

    Returns
    -------
    bytes

    Raises
    ------
    StoreDamaged
        If they are not what was given.
    """
    try:
        engine = zlib.decompressobj()
        content = engine.decompress(packed, MAX_BYTES + 1)
    except zlib.error:
        content = b""
    if digest(content) != sha256:
        raise StoreDamaged(
            where,
            "is damaged in the database",
            "restore an earlier revision or put back a copy of the folder",
        )
    return content


def one_line(text: str, most: int) -> str:
    """Return foreign text as the store keeps it beside a job.

    Parameters
    ----------
    text : str
    most : int
        Letters.

    Returns
    -------
    str
        Printable, no longer than `most`.
    """
    return printable(text).strip()[:most]
