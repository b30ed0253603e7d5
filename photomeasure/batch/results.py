"""The results of a batch on disk: a line for each input, written as it comes."""

import json
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO, Final

from calibration.errors import InputError
from photomeasure.batch.work import Line
from photomeasure.disk import unwritable, write_whole

RESULTS: Final = "results.jsonl"
SUMMARY: Final = "summary.json"


@contextmanager
def opened_results(folder: Path) -> Iterator[BinaryIO]:
    """Open the results for adding lines; one batch at a time.

    Parameters
    ----------
    folder : Path
        Made if it is not there.

    Yields
    ------
    BinaryIO

    Raises
    ------
    InputError
        If another batch writes there.
    StoreUnavailable
        If the folder cannot be written.
    """
    path = folder / RESULTS
    try:
        folder.mkdir(parents=True, exist_ok=True)
        file = path.open("a+b")
    except OSError as error:
        raise unwritable(path, error) from error
    with file:
        _lock(file, folder)
        yield file


def _lock(file: BinaryIO, folder: Path) -> None:
    """Hold the file until it is closed, also by a kill; Windows has no such lock."""
    if os.name == "nt":
        return
    import fcntl

    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        raise InputError(
            str(folder), "another batch writes there", "wait, or name another with --to"
        ) from None


def read_lines(file: BinaryIO) -> dict[str, Line]:
    """Return the whole lines by input, and cut off one that was not finished.

    Parameters
    ----------
    file : BinaryIO
        From :func:`opened_results`.

    Returns
    -------
    dict of str to dict
        Of several lines for one input the last.
    """
    file.seek(0)
    found: dict[str, Line] = {}
    whole = 0
    for raw in file:
        if not raw.endswith(b"\n"):
            break
        whole += len(raw)
        line = _line(raw)
        if line is not None:
            found[line["input"]] = line
    file.truncate(whole)
    file.seek(0, os.SEEK_END)
    return found


def _line(raw: bytes) -> Line | None:
    try:
        line = json.loads(raw)
    except (ValueError, RecursionError):
        return None
    known = isinstance(line, dict) and isinstance(line.get("input"), str)
    return line if known and "fingerprint" in line and "outcome" in line else None


def add_line(file: BinaryIO, line: Line) -> None:
    """Write a line down to the disk.

    Parameters
    ----------
    file : BinaryIO
    line : dict

    Raises
    ------
    StoreUnavailable
    """
    try:
        file.write(_coded(line))
        file.flush()
        os.fsync(file.fileno())
    except OSError as error:
        raise unwritable(Path(file.name), error) from error


def _coded(line: Line) -> bytes:
    # ASCII, so that no editor can mistake the encoding.
    return json.dumps(line, allow_nan=False).encode() + b"\n"


def write_sorted(folder: Path, lines: list[Line]) -> None:
    """Write all lines by name, so that equal batches give equal files.

    Parameters
    ----------
    folder : Path
    lines : list of dict

    Raises
    ------
    StoreUnavailable
    """
    ordered = sorted(lines, key=lambda line: str(line["input"]))
    write_whole(folder / RESULTS, map(_coded, ordered))


def write_summary(folder: Path, summary: dict[str, object]) -> None:
    """Write the counts of a batch.

    Parameters
    ----------
    folder : Path
    summary : dict

    Raises
    ------
    StoreUnavailable
    """
    write_whole(folder / SUMMARY, (json.dumps(summary, indent=1).encode() + b"\n",))
