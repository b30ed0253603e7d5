"""The text of a job file as plain data, or one sentence on why it is none."""

import json
from dataclasses import dataclass
from math import inf
from pathlib import Path
from typing import Any, Final

from calibration.errors import InputError

MAX_BYTES: Final = 64 * 2**20
"""A job of ten thousand elevations stays below this."""

_MAX_DIGITS: Final = 300
"""Longer whole numbers lie beyond float64; reading them takes time squared."""


@dataclass(frozen=True, slots=True)
class Twice:
    """Stands where a block gives one word two values, so that neither is believed.

    Attributes
    ----------
    word : str
        The repeated word.
    """

    word: str


def read_bytes(path: Path) -> bytes:
    """Return what a job file holds.

    Parameters
    ----------
    path : Path

    Returns
    -------
    bytes

    Raises
    ------
    InputError
        If it is missing, unreadable, a folder or too large.
    """
    try:
        with path.open("rb") as file:
            content = file.read(MAX_BYTES + 1)
    except (FileNotFoundError, NotADirectoryError):
        raise InputError(str(path), "there is no such file", "check the name") from None
    except IsADirectoryError:
        raise InputError(str(path), "is a folder", "name the job file in it") from None
    except PermissionError:
        raise InputError(
            str(path), "may not be read", "change its permissions or copy it"
        ) from None
    except (OSError, ValueError):
        raise InputError(
            str(path), "cannot be opened", "give the name of a job file"
        ) from None
    if len(content) > MAX_BYTES:
        what = f"is larger than {MAX_BYTES // 2**20} MB"
        raise InputError(path.name, what, "split the job into several files")
    return content


def parse(content: bytes, where: str) -> object:
    """Parse JSON; what JSON lets pass but no job can mean is left for the format check.

    A word given twice in one block becomes :class:`Twice`, NaN and endless numbers
    become NaN and infinity: the check of the format refuses each in its place.

    Parameters
    ----------
    content : bytes
    where : str
        Name of the file for messages.

    Returns
    -------
    object

    Raises
    ------
    InputError
        With line and column where the text goes wrong.
    """
    text = _decode(content, where)
    try:
        return json.loads(text, parse_int=_whole, object_pairs_hook=_block)
    except json.JSONDecodeError as error:
        raise _not_json(error, text, where) from None
    except RecursionError:
        raise InputError(
            where, "nests brackets without end", "write a job file as documented"
        ) from None


def photo_names(document: object) -> list[str]:
    """Return the photos that a parsed job file names, each once.

    Parameters
    ----------
    document : object
        From :func:`parse`.

    Returns
    -------
    list of str
        In the file's order; what is no text is left to the check of the format.
    """
    entries = document.get("elevations") if isinstance(document, dict) else None
    found: dict[str, None] = {}
    for entry in entries if isinstance(entries, list) else ():
        name = entry.get("photo") if isinstance(entry, dict) else None
        if isinstance(name, str) and name:
            found[name] = None
    return list(found)


def _decode(content: bytes, where: str) -> str:
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise InputError(
            where,
            f"is not UTF-8 text (byte {error.start})",
            "give a job file, saved as UTF-8",
        ) from None
    if not text.strip():
        raise InputError(where, "is empty", "give a job file")
    return text


def _whole(digits: str) -> int | float:
    return int(digits) if len(digits) <= _MAX_DIGITS else inf


def _block(pairs: list[tuple[str, Any]]) -> dict[str, Any] | Twice:
    block: dict[str, Any] = {}
    for word, value in pairs:
        if word in block:
            return Twice(word)
        block[word] = value
    return block


_TROUBLE: Final = {
    "Expecting value": "a value is missing",
    "Expecting ',' delimiter": "a comma or a closing bracket is missing",
    "Expecting ':' delimiter": "a colon is missing",
    "Expecting property name": "a word in double quotes is missing",
    "Illegal trailing comma": "a comma too many",
    "Unterminated string": "a text has no closing quote",
    "Invalid control character": "a text runs over the end of its line",
    "Invalid \\": "a backslash in a text starts no known sign",
    "Extra data": "there is more behind the last closing bracket",
}
"""Beginnings of the JSON reader's messages, in plain words."""


def _not_json(error: json.JSONDecodeError, text: str, where: str) -> InputError:
    ends_early = error.pos >= len(text.rstrip()) or error.msg.startswith("Unterminated")
    if ends_early and not text.rstrip().endswith("}"):
        return InputError(
            where, "is cut off before its end", "copy or save the whole file again"
        )
    plain = next((w for m, w in _TROUBLE.items() if error.msg.startswith(m)), error.msg)
    return InputError(
        f"{where}, line {error.lineno}, column {error.colno}",
        f"is not JSON: {plain}",
        "mend the text there",
    )
