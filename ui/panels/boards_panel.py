"""The panel of boards: what is said of the house, rules, prices, and what follows."""

import json
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final

import gradio as gr

from calibration.errors import InputError, MeasureError
from photomeasure.job.edit import Document, with_takeoff
from photomeasure.job.reading import parse
from photomeasure.store.jobs import Signature
from photomeasure.takeoff.assemble import rules_of
from ui.panels import fields
from ui.panels.boards_view import takeoff_markup
from ui.panels.desk import Desk, display_of, shown
from ui.panels.fields import Block, Field, Kind
from ui.panels.markup import alert, note
from ui.panels.parts import Part, Shared, module, private
from ui.server.office import Opened
from ui.texts import said

_UNKNOWN: Final = said("boards", "not_stated")


@dataclass(frozen=True, slots=True)
class BoardsPart(Part):
    """The panel, and what else of it the page uses.

    Attributes
    ----------
    book : gradio.Dropdown
        The price book that is chosen.
    result : callable
        What follows, for `place`, to be shown in `drawn`.
    place : list
        Components.
    drawn : gradio.HTML
    """

    book: gr.Dropdown
    result: Callable[..., str]
    place: list[Any]
    drawn: gr.HTML


def build(shared: Shared) -> BoardsPart:
    """Build the panel.

    Parameters
    ----------
    shared : Shared

    Returns
    -------
    BoardsPart
    """
    told = gr.HTML(elem_id="pm-boards-told")
    with gr.Accordion(said("boards", "facts"), open=True):
        boxes = _fields(fields.JOB)
        with gr.Accordion(said("boards", "roof"), open=True):
            boxes += _fields(fields.ROOF)
        save = gr.Button(
            said("boards", "save"), variant="primary", elem_id="pm-boards-save"
        )
    line, start, end = _line_facts()
    rule, rule_note, value, set_rule, unset_rule = _rules()
    whole, save_whole = _whole()
    book, sent = _books(shared.desk)
    result = gr.HTML(elem_id="pm-takeoff")

    desk = shared.desk
    context = _Context(desk)
    place = [shared.job, shared.unit, book]
    results = [told, result]
    rule_boxes, line_boxes = [rule, rule_note, value], [line, start, end]
    outputs = [*results, book, *rule_boxes, *line_boxes, whole, *boxes]

    def on(event: Any, change: Callable[..., Block], typed: list[Any]) -> None:  # noqa: ANN401 - the framework's
        """Bind an event to a change of the block; what is typed elsewhere stays."""

        def act(*given: Any) -> tuple[Any, ...]:  # noqa: ANN401 - the framework's
            return context.save(given[:3], lambda block: change(block, *given[3:]))

        event(act, [*place, *typed], results, show_progress="hidden", **private())

    for field, box in zip(fields.ALL, boxes, strict=True):
        on(box.input if field.kind is Kind.CHOICE else box.blur, _with_field(field), [box])
    on(save.click, _with_fields, boxes)
    for box in (start, end):
        on(box.input, _with_ends, line_boxes)
    on(set_rule.click, _with_rule, [rule, value])
    on(unset_rule.click, _without_rule, [rule])
    on(save_whole.click, _with_whole, [whole])
    book.input(context.result, place, result, **private())
    rule.input(context.rule, [shared.job, rule], rule_boxes, **private())
    line.input(context.line, [shared.job, line], line_boxes, **private())
    sent.books(context.newest_book, place, [book, result], **private())
    inputs = [*place, rule, line]
    return BoardsPart(context.show, inputs, outputs, book, context.result, place, result)


class _Context:
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
            return (alert(str(error)), "", *[gr.skip()] * (8 + len(fields.ALL)))
        block: Block = opened.document.get("takeoff") or {}
        books = self._desk.books()
        name = book if book in [key for _, key in books] else self._desk.usual_book()
        return (
            "",
            self._drawn(opened, unit, name),
            gr.Dropdown(choices=books, value=name),
            *self.rule(job_id, rule),
            *self.line(job_id, line),
            json.dumps(block, indent=1, ensure_ascii=False),
            *(_typed(field, block, unit) for field in fields.ALL),
        )

    def result(self, job_id: str, unit: str, book: str | None) -> str:
        """Return what follows from the take-off block, or why nothing does."""
        return shown(lambda: self._drawn(self._desk.open(job_id), unit, book))

    def newest_book(self, job_id: str, unit: str, _: str | None) -> tuple[Any, str]:
        """Return the price books after one was sent, the newest chosen."""
        name = self._desk.usual_book()
        books = gr.Dropdown(choices=self._desk.books(), value=name)
        return books, self.result(job_id, unit, name)

    def rule(self, job_id: str, key: str | None) -> tuple[Any, Any, Any]:
        """Return the list of rules, what is known of the chosen one, and its own value."""
        try:
            return _rule_boxes(self._desk, self._desk.open(job_id), key)
        except MeasureError as error:
            return gr.skip(), alert(str(error)), gr.skip()

    def line(self, job_id: str, name: str | None) -> tuple[Any, str, str]:
        """Return the list of lines, and what the chosen one meets at its ends."""
        try:
            document = self._desk.open(job_id).document
        except MeasureError:
            return gr.Dropdown(choices=[], value=None), "", ""
        lines = _names(document)
        chosen = name if name in lines else (lines[0] if lines else None)
        facts = fields.line_facts(document.get("takeoff") or {}, chosen or "")
        box = gr.Dropdown(choices=lines, value=chosen)
        return box, facts.get("start") or "", facts.get("end") or ""

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
            told = alert(str(error))
        return told, self.result(job_id, unit, book)

    def _drawn(self, opened: Opened, unit: str, book: str | None) -> str:
        def draw() -> str:
            takeoff = self._desk.taken(opened)
            priced = self._desk.priced(takeoff, book)
            return takeoff_markup(takeoff, priced, display_of(unit))

        return shown(draw)


def _fields(wanted: tuple[Field, ...]) -> list[Any]:
    boxes: list[Any] = []
    with gr.Row(equal_height=True):
        for field in wanted:
            label = said("fields", field.key)
            if field.kind is Kind.CHOICE:
                usual = field.usual
                others = [(word, word) for word in field.choices if word != usual]
                choices = [(usual or _UNKNOWN, ""), *others]
                box: Any = gr.Dropdown(choices, value="", label=label, min_width=170)
            else:
                box = gr.Textbox(label=label, max_length=60, min_width=170)
            boxes.append(box)
    return boxes


def _line_facts() -> tuple[gr.Dropdown, gr.Dropdown, gr.Dropdown]:
    ends = [(_UNKNOWN, ""), *((word, word) for word in fields.ENDS)]
    with gr.Accordion(said("boards", "ends"), open=False), gr.Row():
        line = gr.Dropdown([], label=said("boards", "line"), min_width=150)
        start = gr.Dropdown(ends, value="", label=said("boards", "start"), min_width=150)
        end = gr.Dropdown(ends, value="", label=said("boards", "end"), min_width=150)
    return line, start, end


def _rules() -> tuple[Any, ...]:
    with gr.Accordion(said("boards", "rules"), open=False):
        rule = gr.Dropdown([], label=said("boards", "rule"), elem_id="pm-rule")
        told = gr.HTML()
        value = gr.Textbox(label=said("boards", "own_value"), max_length=500)
        with gr.Row():
            use = gr.Button(said("boards", "use_value"), elem_id="pm-rule-set")
            drop = gr.Button(said("boards", "drop_value"))
    return rule, told, value, use, drop


def _whole() -> tuple[gr.Textbox, gr.Button]:
    with gr.Accordion(said("boards", "whole"), open=False):
        text = gr.Textbox(label=said("boards", "whole_text"), lines=12, max_length=200_000)
        save = gr.Button(said("boards", "save_whole"))
    return text, save


def _books(desk: Desk) -> tuple[gr.Dropdown, gr.HTML]:
    with gr.Accordion(said("boards", "prices"), open=True):
        book = gr.Dropdown(
            desk.books(),
            value=desk.usual_book(),
            label=said("boards", "book"),
            elem_id="pm-book",
        )
        sent = module("books", "pm-books", "books")
    return book, sent


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


def _with_field(field: Field) -> Callable[[Block, str], Block]:
    def change(block: Block, typed: str) -> Block:
        value = field.read(typed, said("fields", field.key))
        return fields.put(block, field.path, value)

    return change


def _with_fields(block: Block, *typed: str) -> Block:
    for field, text in zip(fields.ALL, typed, strict=True):
        block = _with_field(field)(block, text)
    return block


def _with_ends(block: Block, line: str, start: str, end: str) -> Block:
    return fields.with_line(block, line, {"start": start or None, "end": end or None})


def _with_rule(block: Block, rule: str, typed: str) -> Block:
    """Return the block with a rule's value: JSON, or a bare word."""
    text = typed.strip()
    if not text:
        raise InputError(said("boards", "own_value"), "is empty", "type a value")
    try:
        value = parse(text.encode(), rule)
    except InputError:
        value = text
    return {**block, "rules": {**block.get("rules", {}), rule: value}}


def _without_rule(block: Block, rule: str) -> Block:
    kept = {key: value for key, value in block.get("rules", {}).items() if key != rule}
    return fields.put(block, ("rules",), kept or None)


def _with_whole(_: Block, text: str) -> Block:
    found = parse(text.encode("utf-8", "replace"), said("boards", "whole_text"))
    if not isinstance(found, dict):
        raise InputError(
            said("boards", "whole_text"), "is no block of words", "write { … } as JSON"
        )
    return found
