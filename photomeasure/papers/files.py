"""Put papers into a folder: whole or not at all, and nobody else's file is lost.

A list beside the papers holds the checksum of each file as it was written. A file that is
not on it, or was changed since, is not ours to replace.
"""

import hashlib
import json
import os
import secrets
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Final

from calibration.errors import InputError

LIST: Final = "photomeasure-papers.json"
"""Name of the list."""

_MAX_LIST: Final = 1_000_000
"""Bytes of a list: thousands of papers."""

Sums = dict[str, list[str]]
"""For each file the checksums under which it is ours."""


class OthersFile(InputError):
    """A file of that name is there and was not written by this program."""

    def __init__(self, folder: Path, names: Sequence[str]) -> None:
        more = f" and {len(names) - 3} more" if len(names) > 3 else ""
        super().__init__(
            str(folder),
            f"holds {', '.join(names[:3])}{more}, which this did not write or somebody "
            "changed since",
            "move them away, name another folder, or say --replace",
        )


def write_files(
    folder: Path, files: Mapping[str, bytes], *, replace: bool = False
) -> tuple[str, ...]:
    """Write files, each whole or not at all.

    Parameters
    ----------
    folder : Path
        Made if it is not there.
    files : mapping of str to bytes
        By name.
    replace : bool
        Whether files that are not ours may be replaced.

    Returns
    -------
    tuple of str
        Names of replaced files that were not ours.

    Raises
    ------
    OthersFile
        If such files are there and may not be replaced; nothing is written then.
    InputError
        If the folder cannot be written.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        known = _known(folder)
        strangers = tuple(name for name in files if not _ours(folder / name, known))
        if strangers and not replace:
            raise OthersFile(folder, strangers)
        _write_all(folder, files, known)
    except (OSError, ValueError) as error:  # ValueError: a zero byte in the name
        reason = getattr(error, "strerror", None) or "no place for a file"
        raise InputError(
            str(folder), f"cannot be written ({reason})", "name another folder"
        ) from None
    return strangers


def _ours(path: Path, known: Sums) -> bool:
    """Whether a file is missing, or is as we wrote it."""
    if not os.path.lexists(path):
        return True
    if path.is_symlink() or not path.is_file() or path.name not in known:
        return False
    return hashlib.sha256(path.read_bytes()).hexdigest() in known[path.name]


def _known(folder: Path) -> Sums:
    """Return the list of a folder; one that makes no sense knows nothing."""
    path = folder / LIST
    if path.is_symlink() or not path.is_file() or path.stat().st_size > _MAX_LIST:
        return {}
    try:
        listed = json.loads(path.read_bytes())
    except (ValueError, RecursionError):
        return {}
    files = listed.get("files") if isinstance(listed, dict) else None
    if not isinstance(files, dict):
        return {}
    return {
        name: [str(entry) for entry in sums]
        for name, sums in files.items()
        if isinstance(sums, list)
    }


def _write_all(folder: Path, files: Mapping[str, bytes], known: Sums) -> None:
    fresh = {name: hashlib.sha256(data).hexdigest() for name, data in files.items()}
    # The old sums stay until all is done: cut short, either state is still ours.
    both = {name: [*known.get(name, []), total] for name, total in fresh.items()}
    _put(folder, LIST, _list({**known, **both}))
    for name, data in files.items():
        _put(folder, name, data)
    _put(folder, LIST, _list({**known, **{n: [total] for n, total in fresh.items()}}))


def _list(sums: Sums) -> bytes:
    note = "checksums of the papers in this folder, so that no other file is replaced"
    document = {"about": note, "files": dict(sorted(sums.items()))}
    return (json.dumps(document, indent=1) + "\n").encode()


def _put(folder: Path, name: str, data: bytes) -> None:
    """Write one file beside its place and move it there at once."""
    beside = folder / f".{name}.{secrets.token_hex(4)}"
    try:
        with beside.open("xb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        beside.replace(folder / name)
    finally:
        beside.unlink(missing_ok=True)
