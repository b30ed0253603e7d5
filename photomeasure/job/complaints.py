"""What is wrong with a job, in words a tradesman understands.

The check of the format names a place and a type of mistake; here each type has its
words, and each place is written the way the job file is.
"""

from collections.abc import Callable
from difflib import get_close_matches
from typing import Any, Final

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from calibration.errors import InputError
from photomeasure.job.reading import Twice
from photomeasure.job.schema import (
    REFERENCE_KINDS,
    CameraFacts,
    ElevationSpec,
    JobSpec,
    LineSpec,
    SoffitSpec,
)
from photomeasure.job.takeoff import (
    BoardChoice,
    BoardChoices,
    LineFacts,
    RoofFacts,
    SawSpec,
    StockEntry,
    TakeoffSpec,
)

_LONGEST: Final = 40
"""Letters of a wrong value that are quoted: enough to find it by."""

Words = tuple[str, str]
"""What is wrong, and what to do."""


def complaint(error: ValidationError, where: str) -> InputError:
    """Turn the first mistake into a sentence that names its place.

    Parameters
    ----------
    error : ValidationError
        Of :class:`JobSpec` or :class:`ElevationSpec`.
    where : str
        Name of the elevation, or of the file.

    Returns
    -------
    InputError
        To be raised or kept.
    """
    details = error.errors(include_url=False)
    what, remedy = _words(details[0])
    more = len(details) - 1
    if more:
        what += f" (and {more} more mistake{'s' if more > 1 else ''} beside it)"
    place = _place(details[0])
    return InputError(f"{where}: {place}" if place else where, what, remedy)


def _words(detail: ErrorDetails) -> Words:
    if isinstance(detail["input"], Twice):
        return f'gives "{shown(detail["input"].word)}" twice', "keep one of them"
    write = _BY_TYPE.get(detail["type"], _unforeseen)
    return write(detail, dict(detail.get("ctx") or {}))


def _place(detail: ErrorDetails) -> str:
    path = ""
    before: object = None
    listed: object = None
    for part in detail["loc"]:
        if isinstance(part, int):
            path += f"[{part}]"
            listed = before
        elif not (isinstance(before, int) and listed == "references"):
            path += f".{shown(part)}"
        # The kind, which the format check puts behind a reference's number, is not
        # a word of the file's path.
        before = part
    return path.lstrip(".")


def shown(value: object) -> str:
    """Return a value short enough to quote in a sentence.

    Parameters
    ----------
    value : object
        From JSON.

    Returns
    -------
    str
    """
    if isinstance(value, dict | Twice):
        return "a block in {}"
    if isinstance(value, list):
        return "a list in []"
    if value is None or isinstance(value, bool):
        return {None: "null", True: "true", False: "false"}[value]
    if isinstance(value, int) and abs(value) >= 2**63:
        return "an endless number"
    text = str(value)
    return text if len(text) <= _LONGEST else text[: _LONGEST - 3] + "..."


def _quoted(value: object) -> str:
    return f'"{shown(value)}"' if isinstance(value, str) else shown(value)


def _no_number(detail: ErrorDetails, _: dict[str, Any]) -> Words:
    value = detail["input"]
    if isinstance(value, str):
        return f"{_quoted(value)} is text, not a number", "write a number without quotes"
    return f"{_quoted(value)} is not a number", "give a number"


def _not_finite(detail: ErrorDetails, _: dict[str, Any]) -> Words:
    name = {"nan": "NaN", "inf": "an endless number", "-inf": "an endless number"}
    said = name.get(str(detail["input"]), "an endless number")
    return f"{said} cannot be measured with", "give an ordinary number"


def _not_whole(detail: ErrorDetails, _: dict[str, Any]) -> Words:
    return f"{_quoted(detail['input'])} is not a whole number", "give a whole number"


def _outside(words: str, key: str) -> Callable[[ErrorDetails, dict[str, Any]], Words]:
    def write(detail: ErrorDetails, facts: dict[str, Any]) -> Words:
        limit = f"{words} {facts[key]:,.9g}"
        return f"{_quoted(detail['input'])} must be {limit}", f"give a number {limit}"

    return write


def _length(words: str, key: str) -> Callable[[ErrorDetails, dict[str, Any]], Words]:
    def write(_: ErrorDetails, facts: dict[str, Any]) -> Words:
        count = facts.get("actual_length")
        has = "too many entries" if count is None else _entries(count)
        return f"has {has}", f"give {words} {facts[key]}"

    return write


def _entries(count: int) -> str:
    return "1 entry" if count == 1 else f"{count or 'no'} entries"


def _choice(detail: ErrorDetails, facts: dict[str, Any]) -> Words:
    # The format check lists "'a', 'b' or 'c'".
    listed = facts.get("expected", facts.get("expected_tags", ""))
    allowed = str(listed).replace(" or ", ", ").replace("'", "").split(", ")
    said = facts["tag"] if "tag" in facts else detail["input"]
    return f"{_quoted(said)} is not known here", _use(said, allowed)


def _use(said: object, allowed: list[str]) -> str:
    near = get_close_matches(str(said)[:_LONGEST], allowed, 1)
    listed = f"use one of {', '.join(allowed)}"
    return f'write "{near[0]}", or {listed}' if near else listed


def _unknown_word(detail: ErrorDetails, _: dict[str, Any]) -> Words:
    *path, word = detail["loc"]
    near = get_close_matches(str(word)[:_LONGEST], _words_at(path), 1)
    remedy = f'write "{near[0]}" or remove it' if near else "correct or remove it"
    return "is not a word of the job file", remedy


def _words_at(path: list[int | str]) -> list[str]:
    """Return the words that a block may hold."""
    names = [part for part in path if isinstance(part, str)]
    if names[:1] == ["takeoff"]:
        return [*_TAKEOFF_MODELS.get(names[-1], TakeoffSpec).model_fields]
    model = _MODELS.get(names[-1], ElevationSpec) if names else JobSpec
    return [*model.model_fields, *(ElevationSpec.model_fields if not names else ())]


_MODELS: Final[dict[str, type[BaseModel]]] = {
    "camera": CameraFacts,
    "lines": LineSpec,
    "soffits": SoffitSpec,
    **REFERENCE_KINDS,
}

_TAKEOFF_MODELS: Final[dict[str, type[BaseModel]]] = {
    "boards": BoardChoices,
    **dict.fromkeys(BoardChoices.model_fields, BoardChoice),
    "roof": RoofFacts,
    "lines": LineFacts,
    "stock": StockEntry,
    "saw": SawSpec,
}


def _unforeseen(detail: ErrorDetails, _: dict[str, Any]) -> Words:
    return f"{_quoted(detail['input'])} is not usable", "correct it"


def _said(what: str, remedy: str) -> Callable[[ErrorDetails, dict[str, Any]], Words]:
    """Return words that need no more than the wrong value."""

    def write(detail: ErrorDetails, _: dict[str, Any]) -> Words:
        return what.format(_quoted(detail["input"])), remedy

    return write


_BLOCK = _said("{} is not a block of words and values", "write it in { }")
_LIST = _said("{} is not a list", "write it in [ ]")

_BY_TYPE: Final[dict[str, Callable[[ErrorDetails, dict[str, Any]], Words]]] = {
    "missing": _said("is missing", "add it"),
    "extra_forbidden": _unknown_word,
    "float_type": _no_number,
    "no_number": _no_number,
    "int_type": _no_number,
    "int_parsing": _no_number,
    "int_from_float": _not_whole,
    "int_parsing_size": _not_finite,
    "finite_number": _not_finite,
    "greater_than": _outside("above", "gt"),
    "greater_than_equal": _outside("at least", "ge"),
    "less_than": _outside("below", "lt"),
    "less_than_equal": _outside("at most", "le"),
    "too_short": _length("at least", "min_length"),
    "too_long": _length("at most", "max_length"),
    "string_type": _said("{} is not text", "put text in double quotes"),
    "string_unicode": _said("holds half a sign", "write the text again"),
    "string_too_short": _said("is empty", "write something"),
    "string_too_long": _said("{} is too long", "shorten it"),
    "bool_type": _said(
        "{} is neither true nor false", "write true or false, without quotes"
    ),
    "list_type": _LIST,
    "tuple_type": _said("{} is not a pair of numbers", "write it as [x, y]"),
    "dict_type": _BLOCK,
    "model_type": _BLOCK,
    "model_attributes_type": _BLOCK,
    "enum": _choice,
    "literal_error": _choice,
    "union_tag_invalid": _choice,
    "union_tag_not_found": _said(
        'has no "kind"', f"say which it is: {', '.join(REFERENCE_KINDS)}"
    ),
}
