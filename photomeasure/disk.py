"""Files that are there whole or not at all, also after the power failed."""

import os
import secrets
from collections.abc import Iterable
from pathlib import Path
from typing import Final

from calibration.errors import StoreUnavailable

UNFINISHED: Final = ".part"
"""Ending of files that are being written."""


def write_whole(path: Path, chunks: Iterable[bytes]) -> None:
    """Write a file so that nobody ever sees a part of it.

    The content reaches the disk before the name does, and the name before this returns:
    whoever is told that it is kept can rely on it.

    Parameters
    ----------
    path : Path
        In an existing folder; an older file of the name is replaced.
    chunks : iterable of bytes

    Raises
    ------
    StoreUnavailable
        If it cannot be written; `path` is as before.
    """
    draft = path.with_name(f"{path.name}.{secrets.token_hex(8)}{UNFINISHED}")
    try:
        try:
            _write_through(draft, chunks)
            draft.replace(path)
        except BaseException:
            draft.unlink(missing_ok=True)
            raise
        settle_folder(path.parent)
    except OSError as error:
        raise unwritable(path, error) from error


def _write_through(path: Path, chunks: Iterable[bytes]) -> None:
    """Write a new file, readable by its owner alone, down to the disk."""
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | _BINARY, 0o600)
    with os.fdopen(handle, "wb") as file:
        for chunk in chunks:
            file.write(chunk)
        file.flush()
        os.fsync(file.fileno())


_BINARY: Final = getattr(os, "O_BINARY", 0)


def make_folder(path: Path) -> None:
    """Make a folder and let its name reach the disk.

    Parameters
    ----------
    path : Path
        Its parent exists.

    Raises
    ------
    StoreUnavailable
    """
    try:
        path.mkdir(mode=0o700)
    except FileExistsError:
        return
    except OSError as error:
        raise unwritable(path, error) from error
    settle_folder(path.parent)


def settle_folder(folder: Path) -> None:
    """Let the names in a folder reach the disk.

    Parameters
    ----------
    folder : Path
    """
    if os.name == "nt":  # cannot open folders, and writes their names through itself
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def unwritable(path: Path, error: OSError) -> StoreUnavailable:
    """Return the refusal of a path that the system refused.

    Parameters
    ----------
    path : Path
    error : OSError

    Returns
    -------
    StoreUnavailable
        To be raised.
    """
    return StoreUnavailable(
        str(path.parent),
        f"the disk refused a file ({error.strerror or 'no reason given'})",
        "make room there or allow writing",
    )
