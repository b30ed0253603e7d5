"""What happens when somebody works on the boards' panel: it is saved and drawn anew."""

import json
from collections.abc import Callable
from typing import Any

import gradio as gr

from calibration.errors import MeasureError
from photomeasure.job.edit import Document, with_takeoff
from photomeasure.papers import texts
from photomeasure.store.jobs import Signature
from photomeasure.takeoff.assemble import rules_of
from photomeasure.takeoff.model import Unit
from photomeasure.takeoff.pricing import BadPriceBook
from ui.panels import fields
from ui.panels.boards_view import takeoff_markup
from ui.panels.desk import Desk, display_of, shown
from ui.panels.fields import Block, Field, Kind
from ui.panels.markup import alert, note
from ui.panels.plainly import refusal
from ui.server.office import Opened
from ui.texts import said


class BoardsWork:
    """Draws the panel, and saves what was typed on it."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def show(
        self, job_id: str, unit: str, book: str | None, rule: str | None, line: str | None
    ) -> tuple[Any, ...]:
        """Return everything on the panel, as it is saved."""
        try:
            opened = self._desk.open(job_id)
        except MeasureError as error:
            others = 7 + len(fields.LINE) + len(fields.ALL)
            return (refusal(error), "", *[gr.skip()] * others)
        block: Block = opened.document.get("takeoff") or {}
        books = self._desk.books()
        name = book if book in [key for _, key in books] else self._desk.usual_book()
        return (
            "",
            self._drawn(opened, unit, name),
            gr.Dropdown(choices=books, value=name),
            self._items(opened, name),
            *self.rule(job_id, rule),
            *self.line(job_id, unit, line),
            json.dumps(block, indent=1, ensure_ascii=False),
            *(_typed(field, block, unit) for field in fields.ALL),
        )

    def result(self, job_id: str, unit: str, book: str | None) -> str:
        """Return what follows from the take-off block, or why nothing does."""
        return shown(lambda: self._drawn(self._desk.open(job_id), unit, book))

    def priced(self, job_id: str, unit: str, book: str | None) -> tuple[Any, str]:
        """Return the items to price and what follows, with another book."""
        try:
            items = self._items(self._desk.open(job_id), book)
        except MeasureError:
            items = gr.skip()
        return items, self.result(job_id, unit, book)

    def newest_book(self, job_id: str, unit: str, _: str | None) -> tuple[Any, Any, str]:
        """Return the price books after one was sent, the newest chosen."""
        name = self._desk.usual_book()
        books = gr.Dropdown(choices=self._desk.books(), value=name)
        return books, *self.priced(job_id, unit, name)

    def keep_price(
        self, job_id: str, unit: str, book: str | None, code: str | None, price: str
    ) -> tuple[Any, ...]:
        """Keep one price; return a refusal, the books, the items and what follows."""
        try:
            takeoff = self._desk.taken(self._desk.open(job_id))
            name = self._desk.keep_price(takeoff, book, code or "", price or "")
        except BadPriceBook as bad:
            return alert(*bad.sentences), *[gr.skip()] * 4
        except MeasureError as error:
            return refusal(error), *[gr.skip()] * 4
        books = gr.Dropdown(choices=self._desk.books(), value=name)
        items, shown_now = self.priced(job_id, unit, name)
        return "", books, items, "", shown_now

    def _items(self, opened: Opened, book: str | None) -> Any:  # noqa: ANN401 - the framework's
        """Return the items of the take-off, those without a price first."""
        try:
            priced = self._desk.priced(self._desk.taken(opened), book)
        except MeasureError:
            return gr.Dropdown(choices=[], value=None)
        missing = {gap.item.code for gap in priced.gaps}
        items = sorted(
            (charge.item for charge in priced.charges), key=lambda i: i.code not in missing
        )
        choices = [(f"{item.description} ({_per(item.unit)})", item.code) for item in items]
        return gr.Dropdown(choices=choices, value=choices[0][1] if choices else None)

    def rule(self, job_id: str, key: str | None) -> tuple[Any, Any, Any]:
        """Return the list of rules, what is known of the chosen one, and its own value."""
        try:
            return _rule_boxes(self._desk, self._desk.open(job_id), key)
        except MeasureError as error:
            return gr.skip(), refusal(error), gr.skip()

    def line(self, job_id: str, unit: str, name: str | None) -> tuple[Any, ...]:
        """Return the list of lines, and what is said of the chosen one."""
        try:
            document = self._desk.open(job_id).document
        except MeasureError:
            return gr.Dropdown(choices=[], value=None), *[""] * len(fields.LINE)
        lines = _names(document)
        chosen = name if name in lines else (lines[0] if lines else None)
        facts = fields.line_facts(document.get("takeoff") or {}, chosen or "")
        box = gr.Dropdown(choices=lines, value=chosen)
        return box, *(field.shown(facts, display_of(unit)) for field in fields.LINE)

    def save(
        self, place: tuple[Any, ...], change: Callable[[Block], Block]
    ) -> tuple[str, str]:
        """Change the take-off block and save it; return a refusal, and what follows."""
        job_id, unit, book = place

        def changed(document: Document) -> Document:
            return with_takeoff(document, change(dict(document.get("takeoff") or {})))

        told = ""
        try:
            self._desk.office.change(job_id, changed, Signature(note="take-off"))
        except MeasureError as error:
            told = refusal(error)
        return told, self.result(job_id, unit, book)

    def _drawn(self, opened: Opened, unit: str, book: str | None) -> str:
        def draw() -> str:
            takeoff = self._desk.taken(opened)
            priced = self._desk.priced(takeoff, book)
            return takeoff_markup(takeoff, priced, display_of(unit))

        return shown(draw)


def _per(unit: Unit) -> str:
    return said("boards", "per", unit=texts.UNITS[unit] or said("boards", "piece"))


def _names(document: Document) -> list[str]:
    return list(
        dict.fromkeys(
            str(line["name"])
            for entry in document["elevations"]
            if isinstance(entry, dict)
            for line in entry.get("lines", [])
            if isinstance(line, dict) and "name" in line
        )
    )


def _rule_boxes(desk: Desk, opened: Opened, key: str | None) -> tuple[Any, str, str]:
    rules = rules_of(desk.office.job(opened).takeoff).rules
    chosen = key if key is not None and key in rules else next(iter(rules))
    rule = rules[chosen]
    words = f"{rule.shown} {rule.unit}".strip()
    told = note(said("boards", "rule_is", value=words), rule.source, rule.note)
    own = (opened.document.get("takeoff") or {}).get("rules", {}).get(chosen)
    shown_own = "" if own is None else json.dumps(own, ensure_ascii=False)
    return gr.Dropdown(choices=list(rules), value=chosen), told, shown_own


def _typed(field: Field, block: Block, unit: str) -> str:
    """Return what a field's box shows; an empty choice stands for the usual."""
    text = field.shown(block, display_of(unit))
    return "" if field.kind is Kind.CHOICE and text == field.usual else text
