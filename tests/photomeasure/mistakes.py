"""A mistake as a row of a table: how to make it, and what must be said of it."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from tests.photomeasure.house import pixels

UNUSABLE, UNDETERMINED = 3, 4

RECTANGLE, TAPE, COURSES, POINTS, LEVEL, PLUMB, STRAIGHT = range(7)

Spoil = Callable[[dict[str, Any]], object]


@dataclass(frozen=True)
class Row:
    """A mistake.

    Attributes
    ----------
    reason : str
        Why somebody would make it; the row's name.
    spoil : callable
        Makes it in the front elevation.
    words : tuple of str
        What the one sentence must contain: the place and the remedy.
    status : int
    """

    reason: str
    spoil: Spoil
    words: tuple[str, ...]
    status: int = UNUSABLE


def put(*path: str | int, to: object) -> Spoil:
    """Return a change that sets one value."""

    def change(front: dict[str, Any]) -> None:
        node: Any = front
        for key in path[:-1]:
            node = node[key]
        node[path[-1]] = to

    return change


def ref(index: int, key: str, to: object) -> Spoil:
    """Return a change of one reference."""
    return put("references", index, key, to=to)


def drop(*path: str | int) -> Spoil:
    """Return a change that removes one word."""

    def change(front: dict[str, Any]) -> None:
        node: Any = front
        for key in path[:-1]:
            node = node[key]
        del node[path[-1]]

    return change


def only(*indices: int, also: Spoil | None = None) -> Spoil:
    """Return a change that keeps some references and no soffit."""

    def change(front: dict[str, Any]) -> None:
        front["references"] = [front["references"][i] for i in indices]
        front["soffits"] = []
        if also:
            also(front)

    return change


def scaled(index: int, gain: float) -> Spoil:
    """Return a change of a tape's length."""

    def change(front: dict[str, Any]) -> None:
        front["references"][index]["length_mm"] *= gain

    return change


CORNERS = pixels((-600, -1500), (310, -1500), (310, 540), (-600, 540))
ALONG = [[100.0 + 0.05 * i, 700.0] for i in range(20_001)]
