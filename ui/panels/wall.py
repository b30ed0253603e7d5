"""The wall seen straight on, with its lines and a scale bar."""

from math import atan2, degrees, hypot
from typing import Any, Final

from calibration.errors import MeasureError
from photomeasure.display import Display
from photomeasure.results import MeasuredElevation, RefusedElevation
from photomeasure.wall_view import describe
from ui.panels.markup import NOTHING, Html, join, listed, onward, table, tag
from ui.panels.plainly import plainly
from ui.server.answers import wall_url
from ui.server.office import Office, Opened
from ui.texts import said

_BAR_PX: Final = 14.0
_MARGIN_PX: Final = 30.0
_BELOW_PX: Final = 12.0
_EM_PER_LETTER: Final = 0.62
"""Width of a letter by its size: a label is no longer than its line."""

_SMALLEST_PX: Final = 18.0


def wall_markup(office: Office, opened: Opened, display: Display) -> str:
    """Return all walls of a job, one below the other.

    Parameters
    ----------
    office : Office
    opened : Opened
    display : Display

    Returns
    -------
    str
        Markup.
    """
    walls = [_wall(opened, entry, display) for entry in office.measured(opened).elevations]
    intro = tag("p", said("wall", "intro"), class_="pm-note")
    next_ = onward("boards", said("wall", "onward"))
    return str(tag("div", intro, *walls, next_, class_="pm-panel"))


def _wall(
    opened: Opened, entry: MeasuredElevation | RefusedElevation, display: Display
) -> Html:
    heading = tag("h2", entry.name)
    if isinstance(entry, RefusedElevation):
        return join((heading, tag("p", plainly(entry.sentence), class_="pm-alert")))
    if entry.elevation.photo is None:
        return join((heading, tag("p", said("wall", "no_photo"), class_="pm-note")))
    try:
        facts = describe(entry, display)
    except MeasureError as error:
        return join((heading, tag("p", plainly(str(error)), class_="pm-alert")))
    picture = wall_url(opened.id, entry.name, opened.number)
    return join((heading, _drawing(facts, picture), _lengths(facts), _next(entry)))


def _drawing(facts: dict[str, Any], picture: str) -> Html:
    width, height = facts["size_px"]
    lines = [part for line in facts["lines"] for part in _line(line)]
    svg = tag(
        "svg",
        tag("image", href=picture, x="0", y="0", width=width, height=height),
        *lines,
        *_bar(facts, height),
        # Pixel centres are whole numbers.
        viewBox=f"-0.5 -0.5 {width} {height}",
        role="img",
        aria_label=said("wall", "drawing", count=len(facts["lines"])),
    )
    return tag("div", svg, class_="pm-wall")


def _line(line: dict[str, Any]) -> tuple[Html, ...]:
    points = " ".join(f"{x:g},{y:g}" for x, y in line["picks"])
    ends = sorted((line["picks"][0], line["picks"][-1]))
    (x0, y0), (x1, y1) = ends
    # Along the line and below it, read from the left.
    turn = degrees(atan2(y1 - y0, x1 - x0))
    middle = f"{(x0 + x1) / 2:.1f} {(y0 + y1) / 2:.1f}"
    drawn = (
        tag("polyline", points=points, class_="pm-halo"),
        tag("polyline", points=points, class_="pm-line"),
    )
    fit = hypot(x1 - x0, y1 - y0) / (_EM_PER_LETTER * len(line["said"]))
    if fit < _SMALLEST_PX:
        return drawn  # the table below says it
    name = tag("tspan", f"{line['name']}  ", class_="pm-name")
    label = tag(
        "text",
        name,
        line["said"],
        y=f"{_BELOW_PX:g}",
        class_="pm-label",
        style=f"--fit: {fit:.0f}px",
        text_anchor="middle",
        transform=f"translate({middle}) rotate({turn:.2f})",
    )
    return (*drawn, label)


def _bar(facts: dict[str, Any], height: float) -> tuple[Html, ...]:
    length = facts["bar_mm"] / facts["mm_per_px"]
    top = height - _MARGIN_PX - _BAR_PX
    bar = tag(
        "rect",
        x=f"{_MARGIN_PX:g}",
        y=f"{top:g}",
        width=f"{length:.1f}",
        height=f"{_BAR_PX:g}",
        class_="pm-bar",
    )
    label = tag("text", facts["bar_said"], x=f"{_MARGIN_PX:g}", y=f"{top - 12:g}")
    return bar, label


def _lengths(facts: dict[str, Any]) -> Html:
    rows = [
        (line["name"], said("drawing", f"role.{line['role']}"), line["said"])
        for line in facts["lines"]
    ]
    heads = [said("wall", key) for key in ("line", "role", "length")]
    return table(heads, rows, said("wall", "lengths")) if rows else NOTHING


def _next(entry: MeasuredElevation) -> Html:
    best = entry.next_reference
    words = tag("p", tag("b", said("wall", "next")), f" {best.what}") if best else NOTHING
    return join((words, listed(map(plainly, entry.cautions))))
