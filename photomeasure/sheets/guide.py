"""The picture guide for whoever tapes up the sheets: three pictures, few words.

Everything is drawn in millimetres on a canvas that has been scaled to them.
"""

from collections.abc import Sequence
from typing import Any, Final

REGULAR, BOLD = "Helvetica", "Helvetica-Bold"
_TITLE, _TEXT, _LEADING = 4.2, 3.3, 4.7
"""Sizes of letters and of a line, millimetres."""

_LEFT: Final = 15.0
_PICTURE_WIDE, _PICTURE_HIGH = 84.0, 68.0
_GREY, _PALE, _RULE = 0.62, 0.90, 0.80
_WARNING: Final = (0.70, 0.20, 0.15)
_BADGE: Final = 3.6
"""Radius of the sign that says not to, millimetres."""


HEADING: Final = "How to use the marker sheets"

STEPS: Final = (
    (
        "1  Tape them up flat",
        (
            "First hold a ruler to lines A and B of each sheet and",
            "note both numbers: printers change the size.",
            "One sheet near each end of the wall, on the bare wall,",
            "at chest height. It need not be level.",
            "Tape all four sides: no curl, no crease.",
            "The whole sheet in view: nothing in front of it.",
            "Tape only. Do not drill, nail or scrape: old boards",
            "and renders may hold asbestos.",
        ),
    ),
    (
        "2  Stand back, square to the wall",
        (
            "The whole wall and the edge of the roof in the photo,",
            "and the sheets too.",
            "Square on, or a little to the side: for two steps back,",
            "at most one aside.",
            "Hold still. No zoom, no wide-angle, no filter.",
            "Send the photo at full size, not through a messenger.",
        ),
    ),
    (
        "3  What to avoid",
        (
            "Stay on the ground: no ladder, no chair, no wall top.",
            "Mind the road: look behind you before you step back;",
            "never photograph from the carriageway.",
            "Keep clear of overhead cables; raise no poles.",
            "No hard shadow or glare across a sheet, no bent sheet,",
            "no sheet cut off at the edge of the photo.",
        ),
    ),
)
"""Title and lines of each step."""


def draw_guide(canvas: Any, size_mm: tuple[float, float]) -> None:  # noqa: ANN401
    """Draw the guide on a page.

    Parameters
    ----------
    canvas : reportlab Canvas
        Scaled to millimetres.
    size_mm : tuple of float
        Of the page.
    """
    top = size_mm[1] - 20.0
    canvas.setFillGray(0.0)
    canvas.setFont(BOLD, 6.0)
    canvas.drawString(_LEFT, top, HEADING)
    step = (top - 22.0) / len(STEPS)
    canvas.setStrokeGray(_RULE)
    canvas.setLineWidth(0.3)
    for index in range(len(STEPS)):
        rule = top - 5.0 - step * index
        canvas.line(_LEFT, rule, size_mm[0] - _LEFT, rule)
    canvas.setStrokeGray(0.0)
    for index, ((title, lines), draw) in enumerate(
        zip(STEPS, (_tape_up, _stand_back, _avoid), strict=True)
    ):
        base = top - 5.0 - step * index - (step + _PICTURE_HIGH) / 2.0
        canvas.saveState()
        canvas.translate(_LEFT, base)
        canvas.setLineWidth(0.4)
        draw(canvas)
        canvas.restoreState()
        _words(
            canvas, (_LEFT + _PICTURE_WIDE + 7.0, base + _PICTURE_HIGH - 8.0), title, lines
        )
    canvas.setFont(REGULAR, 2.9)
    canvas.drawString(
        _LEFT,
        11.0,
        "Local rules for work at height, near roads and near power lines come first.",
    )


def _words(
    canvas: Any,  # noqa: ANN401
    at: tuple[float, float],
    title: str,
    lines: Sequence[str],
) -> None:
    x, y = at
    canvas.setFillGray(0.0)
    canvas.setFont(BOLD, _TITLE)
    canvas.drawString(x, y, title)
    canvas.setFont(REGULAR, _TEXT)
    for number, line in enumerate(lines, 1):
        canvas.drawString(x, y - 2.0 - _LEADING * number, line)


def _tape_up(canvas: Any) -> None:  # noqa: ANN401
    _house(canvas, (4.0, 10.0), 76.0)
    for x in (12.0, 64.0):
        _sheet(canvas, (x, 18.0), 8.0, taped=True)
    _ground(canvas, 10.0)
    _person(canvas, 36.0, 10.0, 19.0)


def _stand_back(canvas: Any) -> None:  # noqa: ANN401
    """Draw the wall and the person from above, and what the photo takes in."""
    canvas.setFillGray(_GREY)
    canvas.rect(8.0, 54.0, 68.0, 4.0, stroke=1, fill=1)
    canvas.setFillGray(0.0)
    for x in (16.0, 64.0):
        canvas.rect(x, 52.6, 5.0, 1.4, stroke=0, fill=1)
    canvas.setFillGray(_PALE)
    _polygon(canvas, ((42.0, 17.0), (5.0, 52.0), (79.0, 52.0)))
    canvas.setDash(1.5, 1.2)
    canvas.line(42.0, 17.0, 42.0, 52.0)
    canvas.setDash()
    canvas.setFillGray(0.0)
    canvas.circle(42.0, 15.0, 2.6, stroke=0, fill=1)
    canvas.rect(39.5, 18.2, 5.0, 1.2, stroke=0, fill=1)
    canvas.rect(42.0, 49.0, 3.0, 3.0, stroke=1, fill=0)
    _road(canvas, 0.0, 8.0)
    canvas.setFont(REGULAR, 2.8)
    canvas.drawString(46.5, 14.0, "on the pavement or drive")
    canvas.drawString(8.0, 60.0, "wall, seen from above")


def _avoid(canvas: Any) -> None:  # noqa: ANN401
    """Draw four small pictures, each with a sign that says not to."""
    for index, draw in enumerate((_ladder, _in_road, _bent_sheet, _shaded_sheet)):
        canvas.saveState()
        canvas.translate(2.0 + 42.0 * (index % 2), 36.0 - 34.0 * (index // 2))
        canvas.setFillGray(1.0)
        canvas.setStrokeGray(_GREY)
        canvas.rect(0.0, 0.0, 38.0, 31.0, stroke=1, fill=0)
        canvas.setStrokeGray(0.0)
        draw(canvas)
        _cross(canvas)
        canvas.restoreState()


def _ladder(canvas: Any) -> None:  # noqa: ANN401
    canvas.line(26.0, 3.0, 26.0, 28.0)
    canvas.line(12.0, 3.0, 23.0, 27.0)
    canvas.line(15.0, 3.0, 26.0, 27.0)
    for rung in range(1, 8):
        up = 3.0 * rung
        along = 11.0 * up / 24.0
        canvas.line(12.0 + along, 3.0 + up, 15.0 + along, 3.0 + up)
    _person(canvas, 18.5, 12.0, 13.0)


def _in_road(canvas: Any) -> None:  # noqa: ANN401
    canvas.setFillGray(_PALE)
    canvas.rect(2.0, 3.0, 34.0, 12.0, stroke=0, fill=1)
    canvas.setDash(3.0, 2.0)
    canvas.line(2.0, 9.0, 36.0, 9.0)
    canvas.setDash()
    _person(canvas, 12.0, 6.0, 15.0)
    canvas.setFillGray(_GREY)
    canvas.roundRect(20.0, 6.0, 14.0, 5.0, 1.5, stroke=1, fill=1)
    canvas.roundRect(23.0, 10.0, 8.0, 4.0, 1.5, stroke=1, fill=1)
    canvas.setFillGray(0.0)
    for x in (23.5, 30.5):
        canvas.circle(x, 6.0, 1.7, stroke=0, fill=1)


def _bent_sheet(canvas: Any) -> None:  # noqa: ANN401
    canvas.saveState()
    canvas.translate(19.0, 5.0)
    canvas.transform(1.0, -0.35, 0.0, 1.0, 0.0, 0.0)
    _sheet(canvas, (-8.0, 0.0), 8.0, half=True)
    canvas.restoreState()
    canvas.saveState()
    canvas.translate(19.0, 5.0)
    canvas.transform(1.0, 0.35, 0.0, 1.0, 0.0, 0.0)
    _sheet(canvas, (0.0, 0.0), 8.0, half=True)
    canvas.restoreState()


def _shaded_sheet(canvas: Any) -> None:  # noqa: ANN401
    _sheet(canvas, (12.0, 4.0), 16.0)
    canvas.setFillGray(0.35)
    _polygon(canvas, ((6.0, 2.0), (24.0, 2.0), (32.0, 28.0), (14.0, 28.0)), alpha=0.55)


def _house(canvas: Any, at: tuple[float, float], width: float) -> None:  # noqa: ANN401
    """Draw a wall with windows, door and the edge of a roof."""
    x, y = at
    canvas.setFillGray(1.0)
    canvas.rect(x, y, width, 38.0, stroke=1, fill=1)
    canvas.setFillGray(_GREY)
    eaves = y + 38.0
    _polygon(
        canvas,
        (
            (x - 3.0, eaves),
            (x + width + 3.0, eaves),
            (x + width - 7.0, 66.0),
            (x + 7.0, 66.0),
        ),
    )
    canvas.setFillGray(_PALE)
    for left in (14.0, 54.0):
        canvas.rect(x + left - 4.0, y + 23.0, 16.0, 11.0, stroke=1, fill=1)
    canvas.rect(x + width / 2.0 + 8.0, y, 9.0, 19.0, stroke=1, fill=1)


def _sheet(
    canvas: Any,  # noqa: ANN401
    at: tuple[float, float],
    width: float,
    *,
    taped: bool = False,
    half: bool = False,
) -> None:
    """Draw a small sheet of squares; ``half`` of one for a fold."""
    x, y = at
    columns, rows = (2, 5) if half else (4, 5)
    cell = width / (columns + 0.6)
    height = cell * (rows + 0.6)
    canvas.setFillGray(1.0)
    canvas.rect(x, y, width, height, stroke=1, fill=1)
    canvas.setFillGray(0.0)
    for i in range(columns):
        for j in range(rows):
            if (i + j) % 2 == 0:
                place = x + cell * (0.3 + i), y + cell * (0.3 + j)
                canvas.rect(*place, cell, cell, stroke=0, fill=1)
    if taped:
        canvas.setFillGray(_GREY)
        for place in ((x - 1.0, y - 0.8), (x - 1.0, y + height - 0.8)):
            canvas.rect(*place, width + 2.0, 1.6, stroke=0, fill=1)
        for side in (x - 0.8, x + width - 0.8):
            canvas.rect(side, y - 1.0, 1.6, height + 2.0, stroke=0, fill=1)
    canvas.setFillGray(0.0)


def _person(canvas: Any, x: float, y: float, height: float) -> None:  # noqa: ANN401
    """Draw somebody who stands on a point."""
    head = height * 0.12
    canvas.setFillGray(0.0)
    canvas.circle(x, y + height - head, head, stroke=0, fill=1)
    hip, neck = y + height * 0.42, y + height * 0.74
    canvas.setLineWidth(height * 0.055)
    canvas.line(x, hip, x, neck)
    for side in (-1.0, 1.0):
        canvas.line(x, hip, x + side * height * 0.12, y)
        canvas.line(x, neck, x + side * height * 0.17, y + height * 0.52)
    canvas.setLineWidth(0.4)


def _ground(canvas: Any, y: float) -> None:  # noqa: ANN401
    canvas.setFillGray(_PALE)
    canvas.rect(0.0, y - 5.0, _PICTURE_WIDE, 5.0, stroke=0, fill=1)
    canvas.line(0.0, y, _PICTURE_WIDE, y)


def _road(canvas: Any, y: float, width: float) -> None:  # noqa: ANN401
    canvas.setFillGray(_GREY)
    canvas.rect(0.0, y, _PICTURE_WIDE, width, stroke=0, fill=1)
    canvas.setStrokeGray(1.0)
    canvas.setDash(4.0, 3.0)
    canvas.line(0.0, y + width / 2.0, _PICTURE_WIDE, y + width / 2.0)
    canvas.setDash()
    canvas.setStrokeGray(0.0)
    canvas.setFillGray(0.0)


def _cross(canvas: Any) -> None:  # noqa: ANN401
    """Draw a round sign with a cross in the corner of a small picture."""
    canvas.saveState()
    canvas.translate(38.0 - _BADGE - 1.2, 31.0 - _BADGE - 1.2)
    canvas.setFillColorRGB(*_WARNING)
    canvas.circle(0.0, 0.0, _BADGE, stroke=0, fill=1)
    canvas.setStrokeGray(1.0)
    canvas.setLineWidth(0.9)
    arm = 0.45 * _BADGE
    canvas.line(-arm, -arm, arm, arm)
    canvas.line(-arm, arm, arm, -arm)
    canvas.restoreState()


def _polygon(
    canvas: Any,  # noqa: ANN401
    points: Sequence[tuple[float, float]],
    alpha: float = 1.0,
) -> None:
    path = canvas.beginPath()
    path.moveTo(*points[0])
    for point in points[1:]:
        path.lineTo(*point)
    path.close()
    canvas.saveState()
    canvas.setFillAlpha(alpha)
    canvas.drawPath(path, stroke=int(alpha == 1.0), fill=1)
    canvas.restoreState()
