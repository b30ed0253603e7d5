"""A picture file, opened once and read only inside its own bounds."""

import os
import stat
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from calibration.errors import UnreadablePhoto
from calibration.photo.limits import MAX_FILE_BYTES

COPY_AGAIN = "copy the original from the camera again"
HEADER = "its header"
SIZE_ENTRY = "its size entry"
TAG_TABLE = "its tag table"
SAVE_AS_JPEG = "open it in a picture program and save a full-size JPEG copy"
_CHECK_NAME = "check the name and the folder"
_LONGEST_NAME = 80


@dataclass(frozen=True, slots=True)
class ByteSource:
    """Bytes with a known end.

    Attributes
    ----------
    file : BinaryIO
        Seekable; nobody else moves it meanwhile.
    size : int
        Bytes in it.
    name : str
        What messages call it.
    """

    file: BinaryIO
    size: int
    name: str

    def read(self, offset: int, length: int) -> bytes:
        """Return exactly `length` bytes from `offset`.

        Parameters
        ----------
        offset, length : int
            Bytes; a negative offset lies outside like any other.

        Returns
        -------
        bytes
            All of them, never fewer.

        Raises
        ------
        UnreadablePhoto
            If they are not all inside the file.
        """
        if offset < 0 or offset + length > self.size:
            raise self.truncated()
        self.file.seek(offset)
        data = self.file.read(length)
        if len(data) != length:  # somebody shortened the file meanwhile
            raise self.truncated()
        return data

    def refusal(self, what: str, remedy: str) -> UnreadablePhoto:
        """Build the error that names this file.

        Parameters
        ----------
        what, remedy : str
            As in :class:`calibration.errors.InputError`.

        Returns
        -------
        UnreadablePhoto
            To be raised.
        """
        return UnreadablePhoto(self.name, what, remedy)

    def truncated(self) -> UnreadablePhoto:
        """Build the error of a file that stops too early.

        Returns
        -------
        UnreadablePhoto
            To be raised.
        """
        return self.refusal(
            "the picture file is cut off before its end", "copy or download it again"
        )

    def damaged(self, part: str) -> UnreadablePhoto:
        """Build the error of a file that contradicts itself.

        Parameters
        ----------
        part : str
            Where, fit for the words ``"the picture file is damaged in ..."``.

        Returns
        -------
        UnreadablePhoto
            To be raised.
        """
        return self.refusal(f"the picture file is damaged in {part}", COPY_AGAIN)


@contextmanager
def open_source(path: Path) -> Iterator[ByteSource]:
    """Open an ordinary file that is neither empty nor beyond the size limit.

    Parameters
    ----------
    path : Path
        Where the picture should be.

    Yields
    ------
    ByteSource
        Open until the block ends.

    Raises
    ------
    UnreadablePhoto
        If there is no such file or it cannot be opened.
    """
    name = _shown(path)
    # Opening a pipe would wait for a writer, so the kind is asked for first.
    _refuse_odd_files(path, name)
    try:
        file = path.open("rb")
    except OSError as error:
        raise _unopened(name, error) from error
    with file:
        size = os.fstat(file.fileno()).st_size
        if size == 0:
            raise UnreadablePhoto(name, "the file is empty", COPY_AGAIN)
        if size > MAX_FILE_BYTES:
            what = (
                f"the file has {size / 1e6:,.0f} MB, more than the "
                f"{MAX_FILE_BYTES / 1e6:,.0f} MB that are read"
            )
            raise UnreadablePhoto(name, what, SAVE_AS_JPEG)
        yield ByteSource(file, size, name)


def _refuse_odd_files(path: Path, name: str) -> None:
    try:
        kind = path.stat().st_mode
    except (OSError, ValueError) as error:  # ValueError: a zero byte in the name
        raise _unopened(name, error) from error
    if stat.S_ISDIR(kind):
        raise UnreadablePhoto(name, "this is a folder", "name a picture file in it")
    if not stat.S_ISREG(kind):
        raise UnreadablePhoto(name, "this is not an ordinary file", _CHECK_NAME)


def _unopened(name: str, error: OSError | ValueError) -> UnreadablePhoto:
    if isinstance(error, FileNotFoundError | NotADirectoryError):
        return UnreadablePhoto(name, "there is no such file", _CHECK_NAME)
    if isinstance(error, PermissionError):
        return UnreadablePhoto(
            name, "the file may not be read", "change its permissions or copy it"
        )
    return UnreadablePhoto(name, "the file cannot be opened", _CHECK_NAME)


def _shown(path: Path) -> str:
    """Return a name that fits on one line of a message, whatever it contains."""
    name = "".join(c if c.isprintable() else "?" for c in path.name or str(path))
    half = _LONGEST_NAME // 2
    return name if len(name) <= _LONGEST_NAME else f"{name[:half]}...{name[-half:]}"
