"""The take-off's words as fields that a person fills in."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum, StrEnum
from typing import Any, Final

from calibration.errors import InputError
from photomeasure.display import Display, read_length, said_length
from photomeasure.job.takeoff import (
    Ceiling,
    FootCut,
    RunEnd,
    SoffitForm,
    SoffitLook,
    SurveyResult,
    TakeoffSpec,
    Underlay,
    VergeWork,
    WorkKind,
)
from photomeasure.takeoff.rules.load import countries
from ui.texts import said

Block = dict[str, Any]


class Kind(Enum):
    """How a field is typed and read."""

    CHOICE = "choice"
    WHOLE_MM = "whole mm"
    MM = "mm"
    WHOLE = "whole"
    NUMBER = "number"
    WORD = "word"
    YES = "yes"


@dataclass(frozen=True, slots=True)
class Field:
    """One field.

    Attributes
    ----------
    path : tuple of str
        Words of the take-off block that lead to its value; the last is its text's key.
    kind : Kind
    choices : tuple of str
    of_line : bool
        Whether it is said of one line: left out, what holds for the house holds.
    """

    path: tuple[str, ...]
    kind: Kind
    choices: tuple[str, ...] = ()
    of_line: bool = False

    @property
    def key(self) -> str:
        """Key of its text in the catalogue."""
        return self.path[-1]

    def choice_key(self, word: str) -> str:
        """Return the key of what a word of the job file is called on the page."""
        key = "end" if self.key == "start" else self.key
        return f"{key}_{word.replace(',', '').replace(' ', '_')}"

    @property
    def usual(self) -> str:
        """What is assumed if the job does not say; nothing if nothing is."""
        if self.of_line:
            return ""
        return self.shown(TakeoffSpec().model_dump(mode="json"), Display.MM)

    def shown(self, block: Block, display: Display) -> str:
        """Return what the field shows; nothing if the job does not say."""
        value: Any = block
        for word in self.path:
            value = value.get(word) if isinstance(value, dict) else None
        if value is None or value is False:
            return ""
        if self.kind is Kind.YES:
            return self.choices[0]
        if self.kind in (Kind.MM, Kind.WHOLE_MM) and isinstance(value, int | float):
            return _length(float(value), display)
        return f"{value:g}" if isinstance(value, float) else str(value)

    def read(self, text: str, label: str) -> object:
        """Return the value that was typed, or None for nothing.

        Raises
        ------
        InputError
            If it cannot be read.
        """
        typed = str(text or "").strip()
        if not typed:
            return None
        match self.kind:
            case Kind.MM:
                return round(read_length(typed, label), 1)
            case Kind.WHOLE_MM:
                return round(read_length(typed, label))
            case Kind.WHOLE | Kind.NUMBER:
                return self._number(typed, label)
            case Kind.YES:
                return True
            case _:
                return typed

    def _number(self, typed: str, label: str) -> float | int:
        try:
            number = float(typed.replace(",", "."))
            return int(number) if self.kind is Kind.WHOLE else number
        except (ValueError, OverflowError):
            what = said("refusals", "no_number", typed=typed[:40])
            raise InputError(label, what, said("refusals", "no_number_do")) from None


def _length(value_mm: float, display: Display) -> str:
    return f"{value_mm:g}" if display is Display.MM else said_length(value_mm, display)


def _words(kind: type[StrEnum]) -> tuple[str, ...]:
    return tuple(str(word) for word in kind)


JOB: Final = (
    Field(("country",), Kind.CHOICE, countries()),
    Field(("work",), Kind.CHOICE, _words(WorkKind)),
    Field(("year_built",), Kind.WHOLE),
    Field(("soffit_look",), Kind.CHOICE, _words(SoffitLook)),
    Field(("asbestos_survey",), Kind.CHOICE, _words(SurveyResult)),
    Field(("verge",), Kind.CHOICE, _words(VergeWork)),
    Field(("boards", "colour"), Kind.WORD),
    Field(("fitting_temperature_c",), Kind.NUMBER),
)

ROOF: Final = (
    Field(("roof", "fascia_depth_mm"), Kind.WHOLE_MM),
    Field(("roof", "barge_depth_mm"), Kind.WHOLE_MM),
    Field(("roof", "soffit_width_mm"), Kind.WHOLE_MM),
    Field(("roof", "eaves_height_mm"), Kind.MM),
    Field(("roof", "rafter_centres_mm"), Kind.WHOLE_MM),
    Field(("roof", "pitch_deg"), Kind.NUMBER),
    Field(("roof", "span_mm"), Kind.MM),
    Field(("roof", "soffit_form"), Kind.CHOICE, _words(SoffitForm)),
    Field(("roof", "ceiling"), Kind.CHOICE, _words(Ceiling)),
    Field(("roof", "underlay"), Kind.CHOICE, _words(Underlay)),
)

ALL: Final = (*JOB, *ROOF)

LINE: Final = tuple(
    Field((word,), kind, choices, of_line=True)
    for word, kind, choices in (
        ("start", Kind.CHOICE, _words(RunEnd)),
        ("end", Kind.CHOICE, _words(RunEnd)),
        ("taped_mm", Kind.MM, ()),
        ("fascia_depth_mm", Kind.WHOLE_MM, ()),
        ("soffit_width_mm", Kind.WHOLE_MM, ()),
        ("height_mm", Kind.MM, ()),
        ("foot", Kind.CHOICE, _words(FootCut)),
        ("verge", Kind.CHOICE, _words(VergeWork)),
        ("soffit_look", Kind.CHOICE, _words(SoffitLook)),
        ("leave_out", Kind.YES, ("true",)),
    )
)
"""Facts of one line."""


def put(block: Block, path: Sequence[str], value: object) -> Block:
    """Return a block with one value put in, or left out if it is None.

    Examples
    --------
    >>> (
    ...     put({"a": 1}, ("roof", "pitch_deg"), 35),
    ...     put({"roof": {"x": 1}}, ("roof", "x"), None),
    ... )
    ({'a': 1, 'roof': {'pitch_deg': 35}}, {})
    """
    word, rest = path[0], path[1:]
    inner = block.get(word)
    if rest:
        value = put(inner if isinstance(inner, dict) else {}, rest, value) or None
    others = {key: kept for key, kept in block.items() if key != word}
    return others if value is None else {**others, word: value}


def with_line(block: Block, name: str, facts: Block) -> Block:
    """Return a block with facts of one line changed; None takes one out.

    Parameters
    ----------
    block : dict
    name : str
    facts : dict

    Returns
    -------
    dict
    """
    lines = [line for line in block.get("lines", []) if isinstance(line, dict)]
    old: Block = next((line for line in lines if line.get("name") == name), {"name": name})
    new = {key: value for key, value in {**old, **facts}.items() if value is not None}
    others = [line for line in lines if line.get("name") != name]
    kept = [*others, new] if set(new) != {"name"} else others
    return put(block, ("lines",), kept or None)


def line_facts(block: Block, name: str) -> Block:
    """Return what a block says of one line."""
    lines = [line for line in block.get("lines", []) if isinstance(line, dict)]
    return next((line for line in lines if line.get("name") == name), {})
