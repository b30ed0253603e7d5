"""The rules of a country as they stand for one job."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from difflib import get_close_matches
from math import isfinite
from typing import Final

from calibration.errors import InputError
from photomeasure.takeoff.model import UsedRule

Scalar = float | int | bool | str
Row = tuple[Scalar, ...]
Value = Scalar | Row | tuple[Row, ...]
"""A number, a yes or no, a word, a list of those, or a table of rows."""

NO_SOURCE: Final = "common practice, no source"
MEMORY: Final = "from memory"
STATED: Final = "stated in the job"


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """One value of the trade.

    Attributes
    ----------
    key : str
        Dotted path of its table, as ``fixings.fascia.centres_mm``.
    value : Value
    unit : str
        As written beside the value; empty for words and plain numbers.
    source : str
        Published source, or begins with :data:`NO_SOURCE` or :data:`MEMORY`.
    note : str
        What else a person should know.
    least, most : float or None
        Bounds of every number in the value; numbers without ``least`` are above zero.
    choices : tuple of str
        Words allowed; empty for any.
    overridden : bool
        Whether the job stated it.
    """

    key: str
    value: Value
    unit: str
    source: str
    note: str = ""
    least: float | None = None
    most: float | None = None
    choices: tuple[str, ...] = ()
    overridden: bool = False

    @property
    def shown(self) -> str:
        """The value as text."""
        return shown(self.value)

    @property
    def used(self) -> UsedRule:
        """The rule as papers print it."""
        return UsedRule(
            key=self.key,
            value=self.shown,
            unit=self.unit,
            source=self.source,
            overridden=self.overridden,
        )

    def complaint(self, value: Value) -> tuple[str, str] | None:
        """Say what is wrong with a value for this rule, and what to give; or None."""
        if shape(value) != shape(self.value):
            return f"{shown(value)} is not {_kind(self.value)}", "give the same kind"
        for entry in scalars(value):
            if isinstance(entry, str):
                if self.choices and entry not in self.choices:
                    return f'"{entry}" is not known', f"use {', '.join(self.choices)}"
            elif not isinstance(entry, bool) and not self._inside(entry):
                return f"{entry:g} must be {self._limits()}", "give such a number"
        return None

    def _inside(self, number: float) -> bool:
        if not isfinite(number):
            return False
        above = number > 0 if self.least is None else number >= self.least
        return above and (self.most is None or number <= self.most)

    def _limits(self) -> str:
        low = "above 0" if self.least is None else f"at least {self.least:g}"
        return low if self.most is None else f"{low} and at most {self.most:g}"


def scalars(value: Value) -> Iterator[Scalar]:
    """Yield the single entries of a value."""
    if isinstance(value, tuple):
        for entry in value:
            yield from scalars(entry)
    else:
        yield value


def shape(value: Value) -> object:
    """Return what kind of value this is: two of a shape may replace each other.

    Examples
    --------
    >>> shape(3), shape(2.5), shape(True), shape((1, 2)), shape(((1, "a"),))
    ('number', 'number', 'yes', ('list', ('number',)), ('table', ('number', 'text')))
    """
    if isinstance(value, bool):
        return "yes"
    if isinstance(value, str):
        return "text"
    if isinstance(value, int | float):
        return "number"
    if value and all(isinstance(row, tuple) for row in value):
        rows = {tuple(map(shape, row)) for row in value if isinstance(row, tuple)}
        return ("table", rows.pop()) if len(rows) == 1 else ("ragged", len(rows))
    return ("list", tuple(sorted({str(shape(entry)) for entry in value})))


def shown(value: Value) -> str:
    """Return a value as text.

    Examples
    --------
    >>> shown((9, 18.0)), shown(True), shown(((75, "50"), (100, "63")))
    ('9, 18', 'yes', '75 50, 100 63')
    """
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return ", ".join(
            " ".join(map(shown, entry)) if isinstance(entry, tuple) else shown(entry)
            for entry in value
        )
    return f"{value:.10g}" if isinstance(value, int | float) else value


def _kind(value: Value) -> str:
    if isinstance(value, bool):
        return "true or false"
    if isinstance(value, str):
        return "text"
    if isinstance(value, int | float):
        return "a number"
    return "a list like the one in the rules file"


@dataclass(frozen=True, slots=True)
class Rulebook:
    """All rules of a country, those that a job states in their place.

    Attributes
    ----------
    code : str
        Name of the file, as ``uk``.
    country : str
        For people.
    rules : mapping of str to Rule
        By key.
    """

    code: str
    country: str
    rules: Mapping[str, Rule]

    def number(self, key: str) -> float:
        """Return a rule that is a number, in the unit that its key ends with."""
        value = self._value(key)
        if isinstance(value, bool | str | tuple):
            raise WrongKind(self.code, key, "a number")
        return float(value)

    def whole(self, key: str) -> int:
        """Return a rule that is a whole number."""
        value = self.number(key)
        if value != int(value):
            raise WrongKind(self.code, key, "a whole number")
        return int(value)

    def text(self, key: str) -> str:
        """Return a rule that is a word."""
        value = self._value(key)
        if not isinstance(value, str):
            raise WrongKind(self.code, key, "text")
        return value

    def yes(self, key: str) -> bool:
        """Return a rule that is true or false."""
        value = self._value(key)
        if not isinstance(value, bool):
            raise WrongKind(self.code, key, "true or false")
        return value

    def numbers(self, key: str) -> tuple[float, ...]:
        """Return a rule that is a list of numbers."""
        value = self._value(key)
        if shape(value) != ("list", ("number",)) or not isinstance(value, tuple):
            raise WrongKind(self.code, key, "a list of numbers")
        return tuple(float(entry) for entry in scalars(value))

    def table(self, key: str) -> tuple[Row, ...]:
        """Return a rule that is a table of rows, all of one make."""
        value = self._value(key)
        rows = value if isinstance(value, tuple) else ()
        table = tuple(row for row in rows if isinstance(row, tuple))
        if not table or len(table) != len(rows):
            raise WrongKind(self.code, key, "a table")
        return table

    def source(self, key: str) -> str:
        """Return where a rule comes from."""
        return self._rule(key).source

    def has(self, key: str) -> bool:
        """Whether there is such a rule."""
        return key in self.rules

    def used(self, keys: Iterable[str]) -> tuple[UsedRule, ...]:
        """Return rules by their keys, each once, in the order of the file."""
        wanted = set(keys)
        for key in wanted:
            self._rule(key)
        return tuple(rule.used for key, rule in self.rules.items() if key in wanted)

    def overridden(self, stated: Mapping[str, Value], where: str) -> "Rulebook":
        """Return the rules with what a job states.

        Parameters
        ----------
        stated : mapping of str to Value
            By key.
        where : str
            The place in the job, for messages.

        Returns
        -------
        Rulebook

        Raises
        ------
        InputError
            If there is no such rule, or its value cannot be.
        """
        rules = dict(self.rules)
        for key, value in stated.items():
            rule = rules.get(key)
            if rule is None:
                near = get_close_matches(key, rules, 1)
                remedy = f'write "{near[0]}"' if near else "see the rules file for its keys"
                raise InputError(f"{where}.{key}", f"is no rule of {self.code}", remedy)
            wrong = rule.complaint(value)
            if wrong:
                raise InputError(f"{where}.{key}", *wrong)
            # What was published no longer stands behind the number.
            rules[key] = replace(rule, value=value, source=STATED, overridden=True)
        return replace(self, rules=rules)

    def _rule(self, key: str) -> Rule:
        try:
            return self.rules[key]
        except KeyError:
            raise WrongKind(self.code, key, "there") from None

    def _value(self, key: str) -> Value:
        return self._rule(key).value


class WrongKind(InputError):
    """A rule that the program reads is missing or of another kind."""

    def __init__(self, code: str, key: str, kind: str) -> None:
        super().__init__(
            f"{code}.toml: {key}", f"is not {kind}", "complete or correct the rules file"
        )
