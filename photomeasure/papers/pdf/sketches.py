"""Pieces drawn as they are seen from outside, with their true angles."""

from math import tan
from typing import Any, Final

from reportlab.lib.colors import HexColor
from reportlab.platypus import Flowable

from photomeasure.papers import texts
from photomeasure.papers.content import Mark
from photomeasure.papers.pdf.fonts import BOLD, REGULAR, Letters, width_of
from photomeasure.papers.pdf.style import ACCENT, BOARD, INK, MM
from photomeasure.papers.wording import cut_of
from photomeasure.takeoff.model import BoardPiece, End, Hand, Shape

_DEPTH: Final = 5.2 * MM
_BELOW: Final = 3.9 * MM
_END_SIZE: Final = 7.6
Place = tuple[float, float]

_MOST: Final = 0.32
"""Share of the sketch that one sloping end may take; flatter cuts are drawn steeper."""


class Pencil:
    """Writes lines of text on a canvas.

    Parameters
    ----------
    canvas : Canvas
    letters : Letters
    """

    def __init__(self, canvas: Any, letters: Letters) -> None:  # noqa: ANN401
        self._canvas, self._letters = canvas, letters

    def write(
        self, text: str, at: Place, size: float, room: float, *, colour: str = INK
    ) -> None:
        """Write one line, its end left off where the room ends.

        Parameters
        ----------
        text : str
        at : (float, float)
            Left end of the baseline.
        size, room : float
        colour : str
        """
        self._draw(fitted(self._letters, text, size, room), at, size, colour)

    def write_bold(self, text: str, at: Place, size: float, room: float) -> None:
        """Write one line in bold, its end left off where the room ends."""
        runs = fitted(self._letters, text, size, room, bold=True)
        self._draw(runs, at, size, INK)

    def _draw(
        self, runs: list[tuple[str, str]], at: Place, size: float, colour: str
    ) -> None:
        self._canvas.setFillColor(HexColor(colour))
        x, y = at
        for font, run in runs:
            self._canvas.setFont(font, size)
            self._canvas.drawString(x, y, run)
            x += width_of([(font, run)], size)


class PieceSketch(Flowable):  # type: ignore[misc]
    """One board with the cut of each end below it, not to scale along its length.

    Parameters
    ----------
    piece : BoardPiece
    width : float
        Points.
    """

    def __init__(self, piece: BoardPiece, width: float) -> None:
        super().__init__()
        self.width, self.height = width, _DEPTH + _BELOW
        self._piece = piece

    def wrap(self, available: float, _: float) -> tuple[float, float]:
        """Return the size."""
        self.width = min(self.width, available)
        return self.width, self.height

    def draw(self) -> None:
        """Draw the outline, mirrored for a right hand: the foot stays at the foot."""
        canvas = self.canv
        start, end = _lean(self._piece, "start"), _lean(self._piece, "end")
        outline = outline_of(start, end, self.width - 4.0, _DEPTH)
        if self._piece.hand is Hand.RIGHT:
            outline = [(self.width - 4.0 - x, y) for x, y in outline]
        canvas.translate(2.0, _BELOW - 1.0)
        canvas.setFillColor(HexColor(BOARD))
        canvas.setStrokeColor(HexColor(INK))
        canvas.setLineWidth(0.9)
        path = canvas.beginPath()
        path.moveTo(*outline[0])
        for point in outline[1:]:
            path.lineTo(*point)
        path.close()
        canvas.drawPath(path, fill=1, stroke=1)
        self._mitres(canvas)
        self._ends(canvas)

    def _ends(self, canvas: Any) -> None:  # noqa: ANN401 - the library has no types
        piece, low = self._piece, 1.5 - _BELOW
        said = [
            cut_of(texts.ENDS[piece.start], piece.start_angle_rad),
            cut_of(texts.ENDS[piece.end], piece.end_angle_rad),
        ]
        left, right = reversed(said) if piece.hand is Hand.RIGHT else said
        canvas.setFillColor(HexColor(INK))
        canvas.setFont(REGULAR, _END_SIZE)
        canvas.drawString(0.0, low, left)
        canvas.drawRightString(self.width - 4.0, low, right)

    def _mitres(self, canvas: Any) -> None:  # noqa: ANN401 - the library has no types
        """Show a mitre, which goes through the thickness, as a dashed second edge."""
        canvas.setDash(1.5, 1.5)
        inset, long = 3.0, self.width - 4.0
        first = long - inset if self._piece.hand is Hand.RIGHT else inset
        for cut, x in ((self._piece.start, first), (self._piece.end, long - first)):
            if cut is End.MITRE:
                canvas.line(x, 0.0, x, _DEPTH)


def _lean(piece: BoardPiece, which: str) -> float:
    """Return how far the top of an end lies to the right of its bottom, per depth.

    A board that rises to the right is drawn lying on the bench, foot to the left: what
    is plumb on the roof then leans to the right, what is level leans to the left.
    """
    end, angle = (
        (piece.start, piece.start_angle_rad)
        if which == "start"
        else (piece.end, piece.end_angle_rad)
    )
    if end is End.PLUMB:
        return tan(angle)
    return -tan(angle) if end is End.LEVEL else 0.0


def outline_of(
    start: float, end: float, width: float, depth: float
) -> list[tuple[float, float]]:
    """Return the corners of a board with sloping ends, within a box.

    Parameters
    ----------
    start, end : float
        How far the top of each end lies to the right of its bottom, per depth.
    width, depth : float
        Of the box.

    Returns
    -------
    list of (float, float)
        Lower left, lower right, upper right, upper left.

    Examples
    --------
    >>> outline_of(0.0, 0.5, 100.0, 10.0)
    [(0.0, 0.0), (95.0, 0.0), (100.0, 10.0), (0.0, 10.0)]
    """
    most = _MOST * width
    a = max(-most, min(most, start * depth))
    b = max(-most, min(most, end * depth))
    return [
        (max(0.0, -a), 0.0),
        (width - max(0.0, b), 0.0),
        (width - max(0.0, -b), depth),
        (max(0.0, a), depth),
    ]


class ShapeCard(Flowable):  # type: ignore[misc]
    """A dimensioned piece to scale, with its name below.

    Parameters
    ----------
    own : (Mark, Shape)
    scale : float
        Points for one millimetre of the piece.
    width : float
        Points.
    letters : Letters
    """

    _ROOM: Final = 9.0 * MM
    """Around the outline, for its dimensions."""

    def __init__(
        self, own: tuple[Mark, Shape], scale: float, width: float, letters: Letters
    ) -> None:
        super().__init__()
        self._mark, self._shape = own
        self._scale, self._letters, shape = scale, letters, own[1]
        ys = [y for _, y in shape.corners_mm]
        self.width = width
        self.height = (max(ys) - min(ys)) * scale + 2 * self._ROOM + 11.0 * MM

    def wrap(self, _: float, __: float) -> tuple[float, float]:
        """Return the size."""
        return self.width, self.height

    def draw(self) -> None:
        """Draw the outline, the length of each edge beside it, and what it is."""
        canvas, corners = self.canv, self._corners()
        canvas.setFillColor(HexColor(BOARD))
        canvas.setStrokeColor(HexColor(INK))
        canvas.setLineWidth(0.9)
        path = canvas.beginPath()
        path.moveTo(*corners[0])
        for point in corners[1:]:
            path.lineTo(*point)
        path.close()
        canvas.drawPath(path, fill=1, stroke=1)
        self._dimensions(canvas, corners)
        mark = f"{self._mark.letters}   {self._mark.name}"
        hand = texts.HANDS[self._shape.hand]
        label = texts.CUT_HANDED.format(name=mark, hand=hand) if hand else mark
        pencil = Pencil(canvas, self._letters)
        pencil.write_bold(label, (0.0, 6.5 * MM), 9.5, self.width)
        where = self._shape.line.rpartition(": ")[2]
        below = f"{self._shape.material.label}; {where}"
        pencil.write(below, (0.0, 3.2 * MM), 7.0, self.width)
        pencil.write(self._shape.note, (0.0, 0.4 * MM), 7.0, self.width)

    def _corners(self) -> list[tuple[float, float]]:
        xs = [x for x, _ in self._shape.corners_mm]
        ys = [y for _, y in self._shape.corners_mm]
        left = (self.width - (max(xs) - min(xs)) * self._scale) / 2.0
        low = self._ROOM + 9.0 * MM
        return [
            (left + (x - min(xs)) * self._scale, low + (y - min(ys)) * self._scale)
            for x, y in self._shape.corners_mm
        ]

    def _dimensions(self, canvas: Any, corners: list[tuple[float, float]]) -> None:  # noqa: ANN401
        canvas.setFillColor(HexColor(ACCENT))
        mm = self._shape.corners_mm
        for i, (x0, y0) in enumerate(corners):
            x1, y1 = corners[(i + 1) % len(corners)]
            (u0, v0), (u1, v1) = mm[i], mm[(i + 1) % len(mm)]
            length = ((u1 - u0) ** 2 + (v1 - v0) ** 2) ** 0.5
            run = ((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5 or 1.0
            # Anticlockwise corners: outside is to the right of the way.
            nx, ny = (y1 - y0) / run, -(x1 - x0) / run
            at = ((x0 + x1) / 2.0 + 11.0 * nx, (y0 + y1) / 2.0 + 8.0 * ny - 2.6)
            canvas.setFont(BOLD, 8.0)
            canvas.drawCentredString(*at, f"{length:.0f}")


def fitted(
    letters: Letters, text: str, size: float, room: float, *, bold: bool = False
) -> list[tuple[str, str]]:
    """Return the runs of as much of a text as fits, with an ellipsis if it is cut."""
    name = BOLD if bold else REGULAR
    runs = list(letters.runs(text, name))
    if width_of(runs, size) <= room:
        return runs
    low, high = 0, len(text)
    while low < high:
        middle = (low + high + 1) // 2
        if width_of(list(letters.runs(text[:middle] + "…", name)), size) <= room:
            low = middle
        else:
            high = middle - 1
    return list(letters.runs(text[:low] + "…", name)) if low else []
