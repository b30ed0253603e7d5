"""What the store gives back."""

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path


@dataclass(frozen=True, slots=True, kw_only=True)
class JobEntry:
    """A job in a list.

    Attributes
    ----------
    id : str
        32 hexadecimal digits.
    title : str
    latest : int
        Number of its last revision.
    saved_at : datetime
        UTC, of that revision.
    saved_by : str
    """

    id: str
    title: str
    latest: int
    saved_at: datetime
    saved_by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Revision:
    """One saving of a job.

    Attributes
    ----------
    job_id : str
    number : int
        From 1; what comes later has the greater number.
    parent : int or None
        The revision it was made from; None for the first and for one whose past was
        left behind when the job moved here.
    restored_from : int or None
        The earlier revision that it brought back.
    saved_at : datetime
        UTC, later than that of its parent.
    saved_by : str
    note : str
    title : str
    sha256 : str
        Of the job file.
    photos : tuple of (str, str)
        Name in the job file and SHA-256, by name.
    """

    job_id: str
    number: int
    parent: int | None
    restored_from: int | None
    saved_at: datetime
    saved_by: str
    note: str
    title: str
    sha256: str
    photos: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredJob:
    """A revision with its job file.

    Attributes
    ----------
    revision : Revision
    document : bytes
        The job file exactly as it was saved; its hash has been checked.
    """

    revision: Revision
    document: bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredPhoto:
    """A photo in the store.

    Attributes
    ----------
    sha256 : str
        Of the stored copy.
    size_bytes : int
    format : str
    width_px, height_px : int
        Upright.
    place_kept : bool
        Whether the copy still says where and with which camera it was taken.
    path : Path
        The stored copy; never to be changed.
    """

    sha256: str
    size_bytes: int
    format: str
    width_px: int
    height_px: int
    place_kept: bool
    path: Path


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """A paper or a result that was made from a revision.

    Attributes
    ----------
    job_id : str
    number : int
        The revision.
    kind : str
        As ``result`` or ``quotation``.
    name : str
        File name.
    media_type : str
    saved_at : datetime
    saved_by : str
    sha256 : str
    """

    job_id: str
    number: int
    kind: str
    name: str
    media_type: str
    saved_at: datetime
    saved_by: str
    sha256: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceBook:
    """A saved state of a price book.

    Attributes
    ----------
    name : str
    number : int
        From 1.
    saved_at : datetime
    saved_by : str
    sha256 : str
    """

    name: str
    number: int
    saved_at: datetime
    saved_by: str
    sha256: str


@dataclass(frozen=True, slots=True)
class Problem:
    """Something in the store that is not as it should be.

    Attributes
    ----------
    where, what, remedy : str
        As in :class:`calibration.errors.StorageError`.
    """

    where: str
    what: str
    remedy: str

    def __str__(self) -> str:
        """Return one sentence."""
        return f"{self.where}: {self.what}; {self.remedy}."
