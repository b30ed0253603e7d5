"""The cutting plan: each board a bar to scale along its length."""

from typing import Any, Final

from reportlab.lib.colors import HexColor
from reportlab.platypus import Flowable

from photomeasure.papers import texts
from photomeasure.papers.content import Boards, Mark
from photomeasure.papers.pdf.fonts import BOLD, Letters, width_of
from photomeasure.papers.pdf.sketches import Pencil, fitted
from photomeasure.papers.pdf.style import BOARD, INK, MM, REST, WIDTH
from photomeasure.takeoff.cutting import Board, Cut

_SCALES: Final = (10, 20, 25, 30, 40, 50, 75, 100, 200, 500, 1000)
"""Of which the first is taken at which the longest board fits."""

_BAR: Final = 8.5 * MM
_ABOVE: Final = 4.6 * MM
_BELOW: Final = 4.4 * MM
_SMALL: Final = 7.8


def scale_of(boards: Boards) -> int:
    """Return the scale of a cutting plan.

    Parameters
    ----------
    boards : Boards

    Returns
    -------
    int
        Millimetres of board for one on paper.
    """
    longest = max(b.stock.length_mm for plan in boards.plans for b in plan.boards)
    return next((s for s in _SCALES if longest / s * MM <= WIDTH), _SCALES[-1])


class BoardBar(Flowable):  # type: ignore[misc]
    """One board with its pieces, the marks of a tape below it and its rest hatched.

    Parameters
    ----------
    board : Board
    number : int
    marks : dict of (str, int) to Mark
        Of pieces, by part and place.
    scale : int
    letters : Letters
    """

    def __init__(
        self,
        board: Board,
        number: int,
        marks: dict[tuple[str, int], Mark],
        scale: int,
        letters: Letters,
    ) -> None:
        super().__init__()
        self._board, self._number, self._marks = board, number, marks
        self._per_mm, self._letters = MM / scale, letters
        self.width, self.height = WIDTH, _ABOVE + _BAR + _BELOW

    def wrap(self, _: float, __: float) -> tuple[float, float]:
        """Return the size."""
        return self.width, self.height

    def draw(self) -> None:
        """Draw the board from its start on."""
        canvas, board = self.canv, self._board
        title = texts.CUT_STOCK.format(number=self._number, length=board.stock.length_mm)
        if board.stock.in_hand:
            title += f", {texts.CUT_IN_HAND}"
        high = _BELOW + _BAR + 1.3 * MM
        Pencil(canvas, self._letters).write(title, (0.0, high), 7.8, WIDTH)
        canvas.setLineWidth(0.8)
        long = board.stock.length_mm * self._per_mm
        canvas.setStrokeColor(HexColor(INK))
        canvas.setFillColor(HexColor("#ffffff"))
        canvas.rect(0.0, _BELOW, long, _BAR, fill=1, stroke=1)
        self._rest(canvas, long)
        right = 0.0
        for cut in board.cuts:
            right = self._cut(canvas, cut, right)

    def _cut(self, canvas: Any, cut: Cut, right: float) -> float:  # noqa: ANN401
        """Draw a piece; return where the text of its mark ends."""
        x, wide = cut.start_mm * self._per_mm, cut.length_mm * self._per_mm
        canvas.setStrokeColor(HexColor(INK))
        canvas.setFillColor(HexColor(BOARD))
        canvas.rect(x, _BELOW, wide, _BAR, fill=1, stroke=1)
        mark = self._marks.get((cut.part, cut.along_mm), Mark("", cut.part))
        self._name(mark, x, wide)
        length = texts.CUT_LENGTH_DRAWN.format(length=cut.length_mm)
        self._figure((length, str(cut.length_mm)), (x, _BELOW + 1.3 * MM), wide)
        return self._mark(canvas, cut.end_mm, right)

    def _figure(
        self, forms: tuple[str, ...], at: tuple[float, float], room: float
    ) -> float:
        """Write the first form that fits, in the middle; a number is never cut.

        Returns its width, 0 if none fits: the table below the plan has it.
        """
        pencil = Pencil(self.canv, self._letters)
        for text in forms:
            wide = width_of(list(self._letters.runs(text)), _SMALL)
            if wide <= room - 2.0:
                left = at[0] + (room - wide) / 2.0
                pencil.write(text, (left, at[1]), _SMALL, room)
                return wide
        return 0.0

    def _name(self, mark: Mark, x: float, wide: float) -> None:
        """Write mark and name into a piece; the mark alone where both do not fit."""
        for text in (f"{mark.letters}   {mark.name}".strip(), mark.letters):
            runs = list(self._letters.runs(text, BOLD))
            if width_of(runs, 9.5) <= wide - 3.0:
                left = x + (wide - width_of(runs, 9.5)) / 2.0
                at = (left, _BELOW + 4.6 * MM)
                Pencil(self.canv, self._letters).write_bold(text, at, 9.5, wide)
                return

    def _mark(self, canvas: Any, end_mm: int, right: float) -> float:  # noqa: ANN401
        """Write where the saw goes, as on a tape laid along the board."""
        at = end_mm * self._per_mm
        canvas.line(at, _BELOW - 1.4 * MM, at, _BELOW)
        runs = fitted(self._letters, str(end_mm), 6.8, WIDTH)
        left = min(at - width_of(runs, 6.8) / 2.0, WIDTH - width_of(runs, 6.8))
        if left < right:  # too close to the mark before; the table has it
            return right
        Pencil(canvas, self._letters).write(str(end_mm), (left, 0.5 * MM), 6.8, WIDTH)
        return left + width_of(runs, 6.8) + 2.0

    def _rest(self, canvas: Any, long: float) -> None:  # noqa: ANN401
        """Hatch what is left behind the last cut."""
        wide = self._board.offcut_mm * self._per_mm
        if wide < 1.0:
            return
        canvas.saveState()
        path = canvas.beginPath()
        path.rect(long - wide, _BELOW, wide, _BAR)
        canvas.clipPath(path, stroke=0, fill=0)
        canvas.setStrokeColor(HexColor(REST))
        canvas.setLineWidth(0.4)
        steps = int((wide + _BAR) / (1.6 * MM)) + 1
        for step in range(steps):
            x = long - wide - _BAR + step * 1.6 * MM
            canvas.line(x, _BELOW, x + _BAR, _BELOW + _BAR)
        canvas.restoreState()
        text = texts.CUT_REST_DRAWN.format(length=self._board.offcut_mm)
        at = (long - wide, _BELOW + 3.4 * MM)
        forms = (text, str(self._board.offcut_mm))
        for form in forms:
            room = width_of(list(self._letters.runs(form)), _SMALL) + 4.0
            if room <= wide:
                canvas.setFillColor(HexColor("#ffffff"))
                left = long - wide + (wide - room) / 2.0
                canvas.rect(left, _BELOW + 2.6 * MM, room, 3.6 * MM, 0, 1)
                break
        self._figure(forms, at, wide)
