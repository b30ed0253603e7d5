"""The cutting plan drawn to scale: each board a bar, its pieces in their place."""

from collections.abc import Iterator, Mapping
from typing import Final

from photomeasure.display import Display, said_length
from photomeasure.takeoff.cutting import Board, Cut
from photomeasure.takeoff.model import Takeoff
from ui.panels.markup import Html, Node, tag
from ui.texts import said

_WIDE: Final = 1200.0
"""Units of the drawing for the longest board."""

_BAR: Final = 66.0
_HEAD: Final = 36.0
_LETTER: Final = 13.6
"""Width of an average letter in the drawing's type; names are cut to their piece."""

_LEAST_LETTERS: Final = 3


def plan_drawing(takeoff: Takeoff, display: Display) -> Iterator[Html]:
    """Yield a drawing of each material's boards, all to one scale.

    Parameters
    ----------
    takeoff : Takeoff
        With a plan.
    display : Display

    Yields
    ------
    Html
    """
    if takeoff.plan is None:
        return
    boards = takeoff.plan.boards
    longest = max(board.stock.length_mm for board in boards)
    names = {(piece.part, piece.along_mm): piece.name for piece in takeoff.pieces}
    for material in dict.fromkeys(board.stock.material for board in boards):
        own = [
            (number, board)
            for number, board in enumerate(boards, 1)
            if board.stock.material == material
        ]
        bars = [
            node
            for row, (number, board) in enumerate(own)
            for node in _bar(board, number, row, _WIDE / longest, names, display)
        ]
        height = len(own) * (_BAR + _HEAD + 10.0)
        svg = tag(
            "svg",
            *bars,
            viewBox=f"-2 0 {_WIDE + 4:g} {height:g}",
            role="img",
            aria_label=said("boards", "drawing", material=material.label, count=len(own)),
        )
        yield tag("h3", material.label)
        yield tag("div", svg, class_="pm-plan pm-scroll", tabindex="0")


def _bar(
    board: Board,
    number: int,
    row: int,
    scale: float,
    names: Mapping[tuple[str, int], str],
    display: Display,
) -> Iterator[Html]:
    top = row * (_BAR + _HEAD + 10.0)
    length = said_length(board.stock.length_mm, display)
    origin = said("boards", "in_hand" if board.stock.in_hand else "new")
    rest = said_length(board.offcut_mm, display)
    head = said("boards", "board", number=number, length=length, origin=origin, rest=rest)
    yield tag("text", head, x="0", y=f"{top + 26:g}")
    bar_top = top + _HEAD
    yield _rect(0.0, bar_top, board.stock.length_mm * scale, class_="pm-rest")
    for cut in board.cuts:
        name = names.get((cut.part, cut.along_mm), cut.part)
        yield from _piece(cut, name, bar_top, scale, display)


def _piece(
    cut: Cut, name: str, top: float, scale: float, display: Display
) -> Iterator[Html]:
    left, width = cut.start_mm * scale, cut.length_mm * scale
    length = said_length(cut.length_mm, display)
    yield _rect(left, top, width, tag("title", f"{name}, {length}"))
    for line, text in enumerate((name, length)):
        kept = _fitted(text, width)
        if kept:
            yield tag(
                "text",
                kept,
                x=f"{left + 8:.1f}",
                y=f"{top + 28 + 28 * line:.1f}",
                class_=None if line else "pm-mark",
            )


def _fitted(text: str, width: float) -> str:
    letters = int((width - 16.0) / _LETTER)
    if len(text) <= letters:
        return text
    return f"{text[: letters - 1]}…" if letters >= _LEAST_LETTERS else ""


def _rect(
    left: float, top: float, width: float, *inside: Node, class_: str | None = None
) -> Html:
    bare = tag(
        "rect",
        x=f"{left:.1f}",
        y=f"{top:.1f}",
        width=f"{max(width, 1.0):.1f}",
        height=f"{_BAR:g}",
        class_=class_,
    )
    return tag("g", *inside, bare) if inside else bare
