"""A taped length against the photo, and what it does as a reference."""

from calibration.errors import UnknownName
from photomeasure.checking import Outcome, as_reference, check_line, in_words
from photomeasure.display import Display, read_length, said, said_half
from photomeasure.job.edit import Document, with_reference, with_takeoff
from photomeasure.results import COVERAGE_FACTOR, MeasuredElevation, MeasuredJob
from photomeasure.store.jobs import Signature
from ui.panels.fields import with_line
from ui.panels.markup import Html, listed, onward, table, tag
from ui.panels.plainly import plainly
from ui.server.office import Office, Opened
from ui.texts import said as text

_BETWEEN = ": "


def lines_of(measured: MeasuredJob) -> list[tuple[str, str]]:
    """Return the measured lines to choose from: what is shown, and its key."""
    return [
        (f"{entry.name}{_BETWEEN}{line.name}", f"{number}/{line.name}")
        for number, entry in enumerate(measured.elevations)
        if isinstance(entry, MeasuredElevation)
        for line in entry.measured
    ]


def _found(measured: MeasuredJob, key: str | None) -> tuple[MeasuredElevation, str]:
    number, _, name = (key or "").partition("/")
    index = int(number) if number.isdecimal() and len(number) < 6 else -1
    entries = measured.elevations
    entry = entries[index] if 0 <= index < len(entries) else None
    if not isinstance(entry, MeasuredElevation):
        raise UnknownName("line", name, [shown for shown, _ in lines_of(measured)])
    return entry, name


def check_markup(
    office: Office,
    opened: Opened,
    key: str | None,
    typed: tuple[str, str],
    display: Display,
) -> str:
    """Return whether a taped length agrees.

    Parameters
    ----------
    office : Office
    opened : Opened
    key : str or None
        Of :func:`lines_of`.
    typed : (str, str)
        The taped length and its standard uncertainty.
    display : Display

    Returns
    -------
    str
        Markup.

    Raises
    ------
    InputError
    """
    entry, name = _found(office.measured(opened), key)
    found = check_line(entry, name, *_read(typed))
    verdict, *rest = map(plainly, in_words(found, name, display))
    look = {Outcome.AGREES: " pm-yes", Outcome.DISAGREES: " pm-no"}.get(found.outcome, "")
    first = tag("p", tag("b", verdict))
    said_rest = [tag("p", sentence) for sentence in rest]
    return str(
        tag(
            "div",
            tag("div", first, *said_rest, class_=f"pm-verdict{look}"),
            class_="pm-panel",
            role="status",
        )
    )


def _read(typed: tuple[str, str]) -> tuple[float, float]:
    taped, spread = typed
    return (
        read_length(taped or "", text("check", "taped")),
        read_length(spread or "", text("check", "spread")),
    )


def use_as_reference(
    office: Office,
    opened: Opened,
    key: str | None,
    typed: tuple[str, str],
    display: Display,
) -> str:
    """Add a taped line to the references and say what it did to all lines.

    Parameters
    ----------
    office, opened, key, typed, display
        As for :func:`check_markup`.

    Returns
    -------
    str
        Markup.

    Raises
    ------
    InputError
    StorageError
    """
    before = office.measured(opened)
    entry, name = _found(before, key)
    taped_mm, spread_mm = _read(typed)
    found = check_line(entry, name, taped_mm, spread_mm)
    reference = as_reference(entry, name, taped_mm, spread_mm)
    facts = {"taped_mm": taped_mm, "taped_sd_mm": spread_mm}

    def add(document: Document) -> Document:
        document = with_reference(document, entry.name, reference)
        if found.outcome is Outcome.DISAGREES:
            return document  # nobody should cut to it
        block = document.get("takeoff") or {}
        return with_takeoff(document, with_line(block, name, facts))

    saved = office.change(opened.id, add, Signature(note="taped length"))
    after = office.measured(saved)
    word = "used_doubtful" if found.outcome is Outcome.DISAGREES else "used"
    told = tag("p", text("check", word, name=name), class_="pm-fine")
    doubts = [
        caution
        for other in after.elevations
        if isinstance(other, MeasuredElevation) and other.name == entry.name
        for caution in other.cautions
    ]
    compared = _compared(before, after, display)
    next_ = onward("papers", text("check", "onward"))
    doubted = listed(map(plainly, doubts))
    return str(tag("div", told, compared, doubted, next_, class_="pm-panel", role="status"))


def _compared(before: MeasuredJob, after: MeasuredJob, display: Display) -> Html:
    old = _all(before)
    rows = []
    for name, (length_mm, u_mm) in _all(after).items():
        was = said_half(COVERAGE_FACTOR * old[name][1], display) if name in old else "-"
        rows.append((name, f"± {was}", said(length_mm, u_mm, display)))
    refused = [
        (entry.name, "", plainly(entry.sentence))
        for entry in after.elevations
        if not isinstance(entry, MeasuredElevation)
    ]
    heads = [text("check", word) for word in ("line", "before", "now")]
    return table(heads, [*rows, *refused], text("check", "all"))


def _all(measured: MeasuredJob) -> dict[str, tuple[float, float]]:
    return {
        f"{entry.name}{_BETWEEN}{line.name}": (line.length_mm, line.u_mm)
        for entry in measured.elevations
        if isinstance(entry, MeasuredElevation)
        for line in entry.measured
    }
