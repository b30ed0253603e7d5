"""Read a country's rules file; whatever is wrong with it becomes one sentence."""

import tomllib
from collections.abc import Iterator, Mapping
from functools import cache
from importlib.resources import files
from typing import Annotated, Any, Final

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from calibration.errors import InputError, UnknownName
from photomeasure.takeoff.rules.book import (
    MEMORY,
    NO_SOURCE,
    Rule,
    Rulebook,
    Value,
    shape,
)

_FOLDER: Final = "photomeasure.takeoff.rules"
_SUFFIX: Final = ".toml"

_UNITS: Final = (
    "mm",
    "mm2",
    "mm2/m",
    "m",
    "m2",
    "m3",
    "kg",
    "kg/m3",
    "l/s",
    "l/(s m2)",
    "deg",
    "degC",
    "1e-6/K",
    "each",
    "share",
    "year",
    "h",
    "",
)
"""Units a rule may be in."""

_Text = Annotated[str, Field(min_length=1, max_length=600)]


class RuleIn(BaseModel):
    """One rule as the file writes it."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)

    value: float | int | bool | str | list[Any]
    unit: str
    source: _Text
    note: str = ""
    least: float | None = None
    most: float | None = None
    choices: list[str] = Field(default_factory=list)


@cache
def countries() -> tuple[str, ...]:
    """Return the codes of the countries there are rules for."""
    names = (entry.name for entry in files(_FOLDER).iterdir())
    return tuple(sorted(n.removesuffix(_SUFFIX) for n in names if n.endswith(_SUFFIX)))


def load_rules(country: str, where: str = "takeoff.country") -> Rulebook:
    """Return the rules of a country.

    Parameters
    ----------
    country : str
        Its code, as ``uk``.
    where : str
        The place that names it, for messages.

    Returns
    -------
    Rulebook

    Raises
    ------
    InputError
        If there is no such country or its file cannot be used.
    """
    if country not in countries():
        raise UnknownName(where, country, countries())
    return _shipped(country)


@cache
def _shipped(country: str) -> Rulebook:
    """Read a file of ours once: nobody changes it while the program runs."""
    path = files(_FOLDER) / f"{country}{_SUFFIX}"
    return rules_from_text(path.read_text(encoding="utf-8"), country)


def rules_from_text(text: str, code: str) -> Rulebook:
    """Check the text of a rules file.

    Parameters
    ----------
    text : str
        TOML.
    code : str
        Code of the country; the file's name in messages.

    Returns
    -------
    Rulebook

    Raises
    ------
    InputError
        Naming the rule and what is wrong with it.
    """
    name = f"{code}{_SUFFIX}"
    try:
        document = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise InputError(name, f"is not TOML ({error})", "correct it") from None
    country = document.pop("country", None)
    if not isinstance(country, str) or not country:
        raise InputError(f"{name}: country", "is missing", 'start with country = "..."')
    base = document.pop("base", None)
    shared = {} if base is None else _base(base, code).rules
    rules = {key: _rule(key, entry, name) for key, entry in _entries(document, "", name)}
    return Rulebook(code, country, {**shared, **rules})


def _base(base: object, code: str) -> Rulebook:
    """Return the rules that stand wherever a country says nothing of its own."""
    others = [other for other in countries() if other != code]
    if base not in others:
        raise UnknownName(f"{code}{_SUFFIX}: base", str(base), others)
    return _shipped(str(base))


def _entries(
    table: Mapping[str, Any], path: str, name: str
) -> Iterator[tuple[str, dict[str, Any]]]:
    """Yield each table that holds a value, with its dotted path."""
    for word, entry in table.items():
        key = f"{path}.{word}" if path else word
        if not isinstance(entry, dict):
            raise InputError(
                f"{name}: {key}",
                "stands outside a rule",
                "give each rule a table of its own with value, unit and source",
            )
        if "value" in entry or not any(isinstance(e, dict) for e in entry.values()):
            yield key, entry
        else:
            yield from _entries(entry, key, name)


def _rule(key: str, entry: dict[str, Any], name: str) -> Rule:
    where = f"{name}: {key}"
    try:
        read = RuleIn.model_validate(entry)
    except ValidationError as error:
        raise InputError(where, _first(error), "correct the rule") from None
    if read.unit not in _UNITS:
        raise UnknownName(f"{where}.unit", read.unit, filter(None, _UNITS))
    rule = Rule(
        key=key,
        value=_frozen(read.value, where),
        unit=read.unit,
        source=read.source,
        note=read.note,
        least=read.least,
        most=read.most,
        choices=tuple(read.choices),
    )
    _check_source(rule, where)
    wrong = rule.complaint(rule.value)
    if wrong:
        raise InputError(f"{where}.value", *wrong)
    return rule


def _first(error: ValidationError) -> str:
    detail = error.errors(include_url=False)[0]
    place = ".".join(map(str, detail["loc"][:1]))
    return f"{place}: {detail['msg'][:1].lower()}{detail['msg'][1:]}"


def _frozen(value: object, where: str) -> Value:
    """Return a value with tuples for lists; lists hold numbers and words or rows."""
    if isinstance(value, list):
        entries = tuple(_frozen(entry, where) for entry in value)
        depths = {isinstance(entry, tuple) for entry in entries}
        found = shape(entries)  # type: ignore[arg-type]
        if not entries or len(depths) > 1 or "ragged" in str(found):
            raise InputError(
                f"{where}.value",
                "is a list of unequal entries",
                "write numbers or words, or rows that are all alike",
            )
        return entries  # type: ignore[return-value]
    if isinstance(value, bool | int | float | str):
        return value
    raise InputError(f"{where}.value", "is neither number nor text", "correct the rule")


def _check_source(rule: Rule, where: str) -> None:
    """Vague words are no source: a rule is published, common practice or from memory."""
    if rule.source.lower().startswith((NO_SOURCE, MEMORY)) or len(rule.source) > 8:
        return
    raise InputError(
        f"{where}.source",
        f'"{rule.source}" says nothing',
        f'name what was read, or write "{NO_SOURCE}" or "{MEMORY}"',
    )
