"""Papers of a job: made, looked at, taken away."""

import datetime as dt
import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final
from urllib.parse import quote

from photomeasure.papers.dossier import Dossier, Letterhead
from photomeasure.papers.prepare import prepare
from photomeasure.papers.produce import NEED_PRICES, Form, Which, paper_of, produce
from photomeasure.store import papers
from photomeasure.store.papers import Sheet
from photomeasure.store.records import Paper
from ui.panels.desk import Desk
from ui.panels.markup import NOTHING, Html, listed, moment, tag
from ui.panels.paper_view import paper_markup
from ui.panels.plainly import plainly
from ui.panels.refusing import refused
from ui.server.office import Opened
from ui.texts import said

LETTER: Final = "letterhead"
"""Kind under which the letterhead of a job is kept."""

_LONGEST: Final = 2000
"""Letters of an address, as the command allows."""

_MOST_DAYS: Final = 3650

_MEDIA: Final = {
    "pdf": "application/pdf",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "csv": "text/csv; charset=utf-8",
    "json": "application/json",
    "dxf": "image/vnd.dxf",
}


@dataclass(frozen=True, slots=True)
class Letter:
    """What was typed for the head of the papers.

    Attributes
    ----------
    firm, customer, number, valid_days : str
    """

    firm: str = ""
    customer: str = ""
    number: str = ""
    valid_days: str = ""

    def read(self) -> Letterhead:
        """Return the letterhead.

        Raises
        ------
        InputError
        """
        for key, value in self.fields().items():
            if len(value) > _LONGEST:
                raise refused("papers", key, "too_long")
        days = self.valid_days.strip()
        if days and not (days.isdecimal() and len(days) < 6 and int(days) <= _MOST_DAYS):
            raise refused(
                "papers", "valid_days", "no_days", typed=days[:20], most=_MOST_DAYS
            )
        return Letterhead(
            firm=_lines(self.firm),
            customer=_lines(self.customer),
            number=self.number.strip(),
            valid_days=int(days) if days else None,
        )

    def fields(self) -> dict[str, str]:
        """Return what was typed by field."""
        return {
            "firm": self.firm,
            "customer": self.customer,
            "number": self.number,
            "valid_days": self.valid_days,
        }


def _lines(text: str) -> tuple[str, ...]:
    return tuple(line.strip() for line in text.splitlines() if line.strip())


def kept_letter(desk: Desk, opened: Opened) -> Letter:
    """Return the letterhead that was used last for a job."""
    kept = [paper for paper in _all(desk, opened) if paper.kind == LETTER]
    if not kept:
        return Letter()
    text = papers.content(desk.office.store, kept[0])
    found: Any = json.loads(text)
    known = {key: str(found.get(key, "")) for key in Letter().fields()}
    return Letter(**known)


def _all(desk: Desk, opened: Opened) -> list[Paper]:
    return papers.of_job(desk.office.store, opened.id)


def _dossier(
    desk: Desk, opened: Opened, book: str | None, letter: Letter
) -> tuple[Dossier, tuple[str, ...]]:
    return prepare(
        desk.office.job(opened),
        desk.office.measured(opened),
        desk.book(book),
        letter.read(),
        dt.datetime.now(tz=dt.UTC).astimezone().date(),
    )


def make(
    desk: Desk,
    opened: Opened,
    wanted: tuple[Sequence[str], Sequence[str]],
    book: str | None,
    letter: Letter,
) -> str:
    """Make papers and keep them with the job.

    Parameters
    ----------
    desk : Desk
    opened : Opened
    wanted : (sequence of str, sequence of str)
        Papers and forms.
    book : str or None
        Name of the price book.
    letter : Letter

    Returns
    -------
    str
        What was refused, as markup.

    Raises
    ------
    InputError
    StorageError
    """
    which, forms = [Which(w) for w in wanted[0]], [Form(w) for w in wanted[1]]
    if not which or not (forms or which == [Which.DRAWING]):
        raise refused("papers", "title", "none_chosen")
    dossier, sentences = _dossier(desk, opened, book, letter)
    produced = produce(dossier, which, forms)
    _keep(
        desk,
        opened,
        Sheet(
            kind=LETTER,
            name="letterhead.json",
            media_type=_MEDIA["json"],
            content=json.dumps(letter.fields()).encode(),
        ),
    )
    for name, content in produced.files.items():
        ending = name.rpartition(".")[2]
        kind = Which.DRAWING if ending == "dxf" else Which(name.rpartition(".")[0])
        _keep(
            desk,
            opened,
            Sheet(kind=str(kind), name=name, media_type=_MEDIA[ending], content=content),
        )
    told = [plainly(s) for s in (*sentences, *map(str, produced.refusals))]
    return str(tag("div", listed(told), class_="pm-alert", role="status")) if told else ""


def _keep(desk: Desk, opened: Opened, sheet: Sheet) -> None:
    papers.keep(desk.office.store, opened.id, opened.number, sheet)


def listing(desk: Desk, opened: Opened) -> str:
    """Return links to the papers of a job, those of its last revision first.

    Parameters
    ----------
    desk : Desk
    opened : Opened

    Returns
    -------
    str
        Markup.
    """
    kept = [p for p in _all(desk, opened) if p.kind in {str(w) for w in Which}]
    now = [p for p in kept if p.number == opened.number]
    old = [p for p in kept if p.number != opened.number]
    if not kept:
        return str(tag("p", said("papers", "none"), class_="pm-note"))
    older = (
        tag(
            "details",
            tag("summary", said("papers", "older", count=len(old))),
            tag("p", said("papers", "stale"), class_="pm-note"),
            _links(old, opened.id),
        )
        if old
        else NOTHING
    )
    fresh = _links(now, opened.id) if now else tag("p", said("papers", "changed"))
    return str(
        tag("div", tag("h2", said("papers", "made")), fresh, older, class_="pm-panel")
    )


def _links(kept: Sequence[Paper], job_id: str) -> Html:
    items = []
    for paper in kept:
        key = f"{paper.number}/{quote(paper.kind)}/{quote(paper.name)}"
        link = tag(
            "a",
            tag("b", _called(paper)),
            moment(paper.saved_at),
            href=f"/work-on/{job_id}/papers/{key}",
            download=paper.name,
        )
        items.append(tag("li", link))
    return tag("ul", *items, class_="pm-jobs")


def _called(paper: Paper) -> str:
    """Return what a paper is, and the kind of its file."""
    stem, _, ending = paper.name.rpartition(".")
    kind = ending.upper()
    if paper.kind == Which.DRAWING:
        return f"{stem} ({kind})"
    return f"{said('papers', paper.kind.replace('-', '_'))} ({kind})"


def preview(
    desk: Desk, opened: Opened, which: str | None, book: str | None, letter: Letter
) -> str:
    """Return a paper as it would be made now.

    Parameters
    ----------
    desk : Desk
    opened : Opened
    which : str or None
    book : str or None
    letter : Letter

    Returns
    -------
    str
        Markup.

    Raises
    ------
    InputError
    """
    if not which:
        return ""
    dossier, _ = _dossier(desk, opened, book, letter)
    return paper_markup(paper_of(Which(which), dossier))


def choices() -> list[tuple[str, str]]:
    """Return the papers to choose from."""
    return [(said("papers", str(w).replace("-", "_")), str(w)) for w in Which]


def usual(book: str | None) -> list[str]:
    """Return the papers that can be made."""
    return [str(w) for w in Which if book or w not in NEED_PRICES]


def previewed() -> list[tuple[str, str]]:
    """Return the papers that can be looked at."""
    return [choice for choice in choices() if choice[1] != Which.DRAWING]
