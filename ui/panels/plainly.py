"""Sentences of the library in the page's words: what to do here, not in a job file."""

import re
from typing import Final

from calibration.errors import MeasureError
from photomeasure.job.schema import Role
from ui.panels.fields import ALL
from ui.panels.markup import alert
from ui.texts import said

_FIELDS: Final = {".".join(field.path): field.key for field in ALL}
"""Words of the take-off block, and the field that is called so on the page."""

_PLACE: Final = re.compile(r"\btakeoff((?:\.[a-z_]+|\[\w*\])+)(?:\.(?=\s|$))?")
"""A place in the take-off block, with a full stop that belongs to the sentence."""

_FIELD: Final = re.compile(
    rf"\b(?:{'|'.join(re.escape(path) for path in sorted(_FIELDS) if '_' in path)})\b"
)
"""Those that no plain sentence holds: a bare word, as work, may be meant as it is."""

_ROLE: Final = re.compile(rf"\b(?:{'|'.join(role for role in Role if '_' in role)})\b")
"""What a line may be, as the job file writes it."""

_ENDS: Final = re.compile(r"\.lines\[\w*\]\.(?:start|end)")

_SIGNS: Final = (
    (re.compile(r"\+-"), "±"),
    (re.compile(r"\b(mm|m)2\b"), r"\1²"),
    (re.compile(r"\b(mm|m)3\b"), r"\1³"),
    (re.compile(r"\bE_n\b"), "Eₙ"),
)

_REFUSALS: Final = (
    (
        re.compile(r"^(?P<wall>.+): camera\.size_px: is missing and there is no photo;.*$"),
        "photo",
    ),
    (re.compile(r"^(?P<wall>.+): references: there are none.*$"), "scale"),
)
"""What a wall is refused for while nobody has begun with it."""


def plainly(sentence: str) -> str:
    """Return a sentence with the page's words for places, and with real signs.

    Parameters
    ----------
    sentence : str
        Of the library, which speaks of job files.

    Returns
    -------
    str

    Examples
    --------
    >>> plainly("state takeoff.roof.fascia_depth_mm; 5000 mm2/m are called for")
    'state “Depth of the fascia”; 5000 mm²/m are called for'
    """
    for refusal, key in _REFUSALS:
        found = refusal.match(sentence)
        if found:
            return said("plainly", key, wall=found["wall"])
    plain = _PLACE.sub(_placed, sentence)
    plain = _FIELD.sub(lambda word: _quoted("fields", _FIELDS[word[0]]), plain)
    plain = _ROLE.sub(lambda role: said("drawing", f"role.{role[0]}"), plain)
    for sign, better in _SIGNS:
        plain = sign.sub(better, plain)
    return plain


def _placed(place: re.Match[str]) -> str:
    inside = place[1].removeprefix(".")
    stop = "." if place[0].endswith(".") else ""
    if inside in _FIELDS:
        return _quoted("fields", _FIELDS[inside]) + stop
    if _ENDS.fullmatch(place[1]):
        return _quoted("boards", "ends") + stop
    whole = _quoted("boards", "whole")
    return said("plainly", "inside", whole=whole, word=inside) + stop


def _quoted(group: str, key: str) -> str:
    return f"“{said(group, key)}”"


def refusal(error: MeasureError) -> str:
    """Return a refusal as text for a component."""
    return alert(plainly(str(error)))
