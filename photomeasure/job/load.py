"""Read a job file; whatever is wrong with it becomes one sentence."""

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final, NoReturn

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from calibration.errors import InputError
from photomeasure.job.schema import FORMAT_VERSION, ElevationSpec, JobSpec

MAX_BYTES: Final = 64 * 2**20
"""A job of ten thousand elevations stays below this."""


@dataclass(frozen=True, slots=True)
class Job:
    """A job file as read.

    Attributes
    ----------
    title : str
        As the user wrote it.
    folder : Path
        Where relative photo names start.
    elevations : tuple of ElevationSpec or InputError
        In the file's order; an elevation that cannot be used is its refusal.
    names : tuple of str
        The elevations' names, also of refused ones.
    """

    title: str
    folder: Path
    elevations: tuple[ElevationSpec | InputError, ...]
    names: tuple[str, ...]


def load_job(path: Path) -> Job:
    """Read a job file.

    Parameters
    ----------
    path : Path

    Returns
    -------
    Job
        Elevations that contradict the format are kept as their refusals, so one
        bad elevation does not lose the others.

    Raises
    ------
    InputError
        If the file as a whole cannot be used.
    """
    document = parse(_read(path), path.name)
    return job_from_document(document, path.parent, path.name)


def job_from_document(document: object, folder: Path, where: str = "job") -> Job:
    """Check a parsed job.

    Parameters
    ----------
    document : object
        What JSON gave.
    folder : Path
        Where relative photo names start.
    where : str
        Name of the file for messages.

    Returns
    -------
    Job

    Raises
    ------
    InputError
        If the job as a whole cannot be used.
    """
    if not isinstance(document, dict):
        raise InputError(
            where, "is not a photomeasure job", 'start it with {"photomeasure_job": 1'
        )
    raw = document.get("elevations")
    version = document.get("photomeasure_job")
    if version != FORMAT_VERSION or isinstance(version, bool):
        raise InputError(
            f"{where}: photomeasure_job",
            f"is {version!r}, not the version {FORMAT_VERSION} that this program reads",
            "set it to 1 or use a newer program",
        )
    if not isinstance(raw, list) or not raw:
        raise InputError(
            f"{where}: elevations", "is not a list of elevations", "give at least one"
        )
    head = {key: value for key, value in document.items() if key != "elevations"}
    _check_head(head, where)
    names = _names(raw, where)
    elevations = tuple(
        _elevation(entry, f"{where}: elevations[{i}]") for i, entry in enumerate(raw)
    )
    return Job(str(head.get("title", "")), folder, elevations, names)


def _read(path: Path) -> bytes:
    try:
        if path.stat().st_size > MAX_BYTES:
            raise InputError(
                path.name,
                f"is larger than {MAX_BYTES // 2**20} MB",
                "split the job into several files",
            )
        return path.read_bytes()
    except FileNotFoundError:
        raise InputError(str(path), "there is no such file", "check the name") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise InputError(
            str(path), f"cannot be read ({reason})", "give the name of a job file"
        ) from None


def parse(content: bytes, where: str) -> object:
    """Parse JSON strictly: UTF-8, no NaN or Infinity, no nesting without end.

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

    def refuse(word: str) -> NoReturn:
        raise InputError(where, f"has {word} for a number", "give every number a value")

    try:
        return json.loads(content.decode("utf-8-sig"), parse_constant=refuse)
    except UnicodeDecodeError as error:
        raise InputError(
            where, f"is not UTF-8 text (byte {error.start})", "give a job file in JSON"
        ) from None
    except json.JSONDecodeError as error:
        raise InputError(
            f"{where}, line {error.lineno}, column {error.colno}",
            f"is not JSON ({error.msg})",
            "mend the text there",
        ) from None
    except (RecursionError, ValueError):
        raise InputError(
            where,
            "nests too deeply or holds an endless number",
            "write a flat job file",
        ) from None


def _check_head(head: dict[str, Any], where: str) -> None:
    placeholder = [{"name": "x"}]
    try:
        JobSpec.model_validate({**head, "elevations": placeholder})
    except ValidationError as error:
        raise _refusal(error, where) from None


def _names(raw: list[Any], where: str) -> tuple[str, ...]:
    names = [
        entry["name"]
        if isinstance(entry, dict) and isinstance(entry.get("name"), str)
        else f"elevations[{i}]"
        for i, entry in enumerate(raw)
    ]
    seen: set[str] = set()
    for i, name in enumerate(names):
        if name in seen:
            raise InputError(
                f"{where}: elevations[{i}].name",
                f"{name!r} names two elevations",
                "give each its own name",
            )
        seen.add(name)
    return tuple(names)


def _elevation(entry: object, where: str) -> ElevationSpec | InputError:
    try:
        return ElevationSpec.model_validate(entry)
    except ValidationError as error:
        return _refusal(error, where)


_REMEDY: Final = {
    "extra_forbidden": ("is not a word of the job file", "correct or remove it"),
    "missing": ("is missing", "add it"),
    "finite_number": ("is not a finite number", "give a number"),
    "union_tag_not_found": ('has no "kind"', "say what kind of reference it is"),
}


def _refusal(error: ValidationError, where: str) -> InputError:
    """Turn the first complaint into a sentence that names the place."""
    details = error.errors(include_url=False)
    first = details[0]
    place = _place(first, where)
    what, remedy = _REMEDY.get(first["type"], (None, None))
    if what is None:
        what = f"{_short(first['input'])} is not usable: {_lower(first['msg'])}"
        remedy = "correct it"
    more = len(details) - 1
    if more:
        what += f" (and {more} more like this in the same place)"
    return InputError(place, what, str(remedy))


def _place(detail: ErrorDetails, where: str) -> str:
    path = ""
    kinds = {"points", "rectangle", "distance", "level", "plumb", "straight", "courses"}
    for part in detail["loc"]:
        if isinstance(part, int):
            path += f"[{part}]"
        elif part not in kinds:
            path += f".{part}"
    if not path:
        return where
    joiner = "" if "[" in where.rsplit(":", 1)[-1] else ": "
    return f"{where}{path}" if not joiner else f"{where}{joiner}{path.lstrip('.')}"


def _short(value: object) -> str:
    text = repr(value)
    return text if len(text) <= 40 else text[:37] + "..."


def _lower(message: str) -> str:
    message = message.removeprefix("Value error, ")
    return message[:1].lower() + message[1:]
