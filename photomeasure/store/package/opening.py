"""Open somebody else's zip so that nothing in it can do harm.

Nothing is ever written under a name that the zip gives: contents are looked up by their
hash. Names are checked all the same, because a person may unpack the file by hand.
"""

import hashlib
import stat
import struct
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO, Final

from calibration.errors import InputError
from calibration.photo.limits import MAX_FILE_BYTES
from photomeasure.job.reading import MAX_BYTES
from photomeasure.store.names import JOB_FILE_ENDING, is_plain
from photomeasure.store.package.manifest import (
    MANIFEST,
    MAX_FILES,
    FileEntry,
    Manifest,
    read_manifest,
)

MAX_DIRECTORY_BYTES: Final = 16 * 2**20
"""The zip's own list of files: that of 40,000 files with names of 300 letters."""

MAX_GROWTH: Final = 20
"""Times that a whole package may grow: photos do not at all, job files tenfold."""

_FREE_BYTES: Final = 64 * 2**20
"""Growth that costs little is allowed whatever the ratio."""

_END: Final = struct.Struct("<4s4H2LH")
_END_MARK: Final = b"PK\x05\x06"
_LARGE_MARK: Final = b"PK\x06\x07"
_AGAIN: Final = "export the job again and copy the whole file"
_WINDOW: Final = 1 << 16

_ENCRYPTED: Final = 0x1
_METHODS: Final = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
_FOLDERS: Final = ("job", "papers", "earlier")

_ZIP_ERRORS: Final = (
    zipfile.BadZipFile,
    zlib.error,
    EOFError,
    OSError,
    ValueError,
    LookupError,
    NotImplementedError,  # a method nobody uses
    RuntimeError,  # a password
    struct.error,
)
"""What reading a broken zip is documented, or was seen, to raise."""


@dataclass(frozen=True, slots=True)
class Package:
    """An opened package whose list agrees with what is in it.

    Attributes
    ----------
    shown : str
        Name of the file, for messages.
    manifest : Manifest
    """

    shown: str
    manifest: Manifest
    _archive: zipfile.ZipFile
    _by_hash: dict[str, FileEntry]

    def content(self, sha256: str, most: int = MAX_BYTES) -> bytes:
        """Return the file of a hash.

        Parameters
        ----------
        sha256 : str
        most : int, optional
            Bytes.

        Returns
        -------
        bytes
            Its hash has been computed.

        Raises
        ------
        InputError
            If it is not there, too large, or not what the list says.
        """
        entry = self._by_hash.get(sha256)
        if entry is None:
            raise InputError(self.shown, "lacks a file that its list names", _AGAIN)
        return self._content(entry, most)

    def verify(self) -> None:
        """Read every file and compare it with the list, also what nothing refers to.

        Raises
        ------
        InputError
        """
        for entry in self.manifest.files:
            self._content(entry, MAX_FILE_BYTES)

    def _content(self, entry: FileEntry, most: int) -> bytes:
        where = f"{self.shown}, {entry.path}"
        if entry.size_bytes > most:
            raise InputError(where, f"is larger than {most // 2**20} MB", "leave it out")
        found = _read(self._archive, entry.path, entry.size_bytes, where)
        if hashlib.sha256(found).hexdigest() != entry.sha256:
            raise InputError(where, "is not what the package's list says", _AGAIN)
        return found

    def photo(self, sha256: str) -> bytes:
        """Return a photo, which may be larger than other files."""
        return self.content(sha256, MAX_FILE_BYTES)


@contextmanager
def opened(path: Path) -> Iterator[Package]:
    """Open a package.

    Parameters
    ----------
    path : Path

    Yields
    ------
    Package
        Open until the block ends.

    Raises
    ------
    InputError
        In one sentence, in time and memory bounded by the limits of this module.
    """
    shown = path.name
    try:
        file = path.open("rb")
    except (OSError, ValueError):
        raise InputError(str(path), "cannot be opened", "check the name") from None
    with file:
        size = _check_end(file, shown)
        try:
            archive = zipfile.ZipFile(file)
        except _ZIP_ERRORS:
            raise InputError(shown, "is damaged", _AGAIN) from None
        with archive:
            entries = archive.infolist()
            _check_entries(entries, size, shown)
            manifest = _manifest(archive, shown)
            by_hash = _listed(entries, manifest, shown)
            yield Package(shown, manifest, archive, by_hash)


def _check_end(file: BinaryIO, shown: str) -> int:
    """Return the size of a zip whose list of files is short enough to be read."""
    size = file.seek(0, 2)
    file.seek(max(0, size - _END.size - 20))
    tail = file.read()
    if len(tail) < _END.size or not tail[-_END.size :].startswith(_END_MARK):
        raise InputError(shown, "is no package, or is cut off", _AGAIN)
    _, _, _, _, count, length, _, _ = _END.unpack(tail[-_END.size :])
    if (
        tail.startswith(_LARGE_MARK)
        or count > 2 * MAX_FILES
        or length > MAX_DIRECTORY_BYTES
    ):
        raise InputError(shown, "holds more files than a job has", _AGAIN)
    return size


def _check_entries(entries: list[zipfile.ZipInfo], size: int, shown: str) -> None:
    seen: set[str] = set()
    for info in entries:
        where = f"{shown}, {info.filename[:80]}"
        if not _harmless(info.filename):
            raise InputError(where, "has a name that leads elsewhere", _AGAIN)
        if info.filename.casefold() in seen:
            raise InputError(where, "is there twice", _AGAIN)
        seen.add(info.filename.casefold())
        kind = stat.S_IFMT(info.external_attr >> 16)
        if kind not in (0, stat.S_IFREG) or info.flag_bits & _ENCRYPTED:
            raise InputError(where, "is no ordinary file", _AGAIN)
        if info.compress_type not in _METHODS:
            raise InputError(where, "is packed in an unusual way", _AGAIN)
    total = sum(info.file_size for info in entries)
    if total > _FREE_BYTES + MAX_GROWTH * size:
        what = f"would grow from {size:,} to {total:,} bytes"
        raise InputError(shown, what, _AGAIN)


def _harmless(path: str) -> bool:
    """Tell whether a name stays within the folder where somebody unpacks it."""
    if path == MANIFEST:
        return True
    folder, *parts = path.removesuffix(JOB_FILE_ENDING).split("/")
    return folder in _FOLDERS and 1 <= len(parts) <= 3 and all(map(is_plain, parts))


def _manifest(archive: zipfile.ZipFile, shown: str) -> Manifest:
    try:
        info = archive.getinfo(MANIFEST)
    except KeyError:
        raise InputError(shown, "is no package of a job", _AGAIN) from None
    if info.file_size > MAX_BYTES:
        raise InputError(shown, "has a list without end", _AGAIN)
    return read_manifest(_read(archive, MANIFEST, info.file_size, shown), shown)


def _listed(
    entries: list[zipfile.ZipInfo], manifest: Manifest, shown: str
) -> dict[str, FileEntry]:
    """Return the listed files by hash, after comparing list and zip."""
    there = {info.filename: info.file_size for info in entries}
    listed = {entry.path: entry.size_bytes for entry in manifest.files}
    if len(listed) != len(manifest.files) or listed != {
        path: size for path, size in there.items() if path != MANIFEST
    }:
        raise InputError(shown, "holds other files than its list says", _AGAIN)
    return {entry.sha256: entry for entry in manifest.files}


def _read(archive: zipfile.ZipFile, path: str, size: int, where: str) -> bytes:
    """Read a file, never more of it than its stated size."""
    parts, left = [], size
    try:
        with archive.open(path) as file:
            while left and (part := file.read(min(left, _WINDOW))):
                parts.append(part)
                left -= len(part)
            more = file.read(1)
    except _ZIP_ERRORS:
        raise InputError(where, "is damaged", _AGAIN) from None
    if left or more:
        raise InputError(where, "is longer or shorter than it says", _AGAIN)
    return b"".join(parts)
