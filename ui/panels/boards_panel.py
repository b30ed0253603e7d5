"""The panel of boards: what is said of the house, rules, prices, and what follows."""

import json
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

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
from ui.panels.markup import alert
from ui.panels.parts import Part, Shared, module, private
from ui.server.office import Opened
from ui.texts import said


@dataclass(frozen=True, slots=True)
class BoardsPart(Part):
    """The panel, and the price book that is chosen on it.

    Attributes
    ----------
    book : gradio.Dropdown
    """

    book: gr.Dropdown


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
        save = gr.Button(said("boards", "save"), variant="primary", elem_id="pm-boards-save")
    line, start, end = _line_facts()
    rule, rule_note, value, set_rule, unset_rule = _rules()
    whole, save_whole = _whole()
    book, sent = _books(shared.desk)
    result = gr.HTML(elem_id="pm-takeoff")

    desk = shared.desk
    inputs = [shared.job, shared.unit, book, rule, line]
    outputs = [told, result, book, rule, rule_note, value, line, start, end, whole, *boxes]
    context = _Context(desk)
    show = context.show

    def saving(change: Callable[..., Block]) -> Callable[..., tuple[Any, ...]]:
        def act(job_id: str, unit: str, name: str, key: str, on: str, *typed: Any) -> Any:  # noqa: ANN401 - the framework's
            return context.save(
                (job_id, unit, name, key, on), lambda block: change(block, key, on, *typed)
            )

        return act

    given = [*inputs]
    save.click(saving(_with_fields), [*given, *boxes], outputs, **private())
    ends = saving(_with_ends)
    for box in (start, end):
        box.input(ends, [*given, start, end], outputs, **private())
    set_rule.click(saving(_with_rule), [*given, value], outputs, **private())
    unset_rule.click(saving(_without_rule), given, outputs, **private())
    save_whole.click(saving(_with_whole), [*given, whole], outputs, **private())
    book.input(show, inputs, outputs, **private())
    rule.input(show, inputs, outputs, show_progress="hidden", **private())
    line.input(show, inputs, outputs, show_progress="hidden", **private())
    sent.books(
        lambda job_id, unit, _, key, on: show(job_id, unit, desk.usual_book(), key, on),
        inputs,
        outputs,
        **private(),
    )
    return BoardsPart(show, inputs, outputs, book)


class _Context:
    """Draws the panel, and saves what was typed on it."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def show(
        self, job_id: str, unit: str, book: str | None, rule: str | None, line: str | None
    ) -> tuple[Any, ...]:
        """Return everything on the panel."""
        try:
            opened = self._desk.open(job_id)
        except MeasureError as error:
            return self._nothing(alert(str(error)))
        return self._drawn(opened, (unit, book, rule, line), "")

    def save(
        self, place: tuple[str, str, str, str, str], change: Callable[[Block], Block]
    ) -> tuple[Any, ...]:
        """Change the take-off block, save it, and draw the panel anew."""
        job_id, *rest = place
        told = ""

        def changed(document: Document) -> Document:
            return with_takeoff(document, change(dict(document.get("takeoff") or {})))

        try:
            opened = self._desk.office.change(job_id, changed, Signature(note="take-off"))
        except MeasureError as error:
            told = alert(str(error))
            try:
                opened = self._desk.open(job_id)
            except MeasureError:
                return self._nothing(told)
            unit, book, *_ = rest
            # What was typed stays on the screen, so that it can be mended.
            kept = [gr.skip() for _ in range(8 + len(fields.ALL))]
            return (told, self._result(opened, unit, book), *kept)
        return self._drawn(opened, tuple(rest), told)

    def _drawn(
        self, opened: Opened, place: tuple[Any, ...], told: str
    ) -> tuple[Any, ...]:
        unit, book, rule, line = place
        block: Block = opened.document.get("takeoff") or {}
        display = display_of(unit)
        books = self._desk.books()
        name = book if book in [key for _, key in books] else self._desk.usual_book()
        lines = _names(opened.document)
        chosen = line if line in lines else (lines[0] if lines else None)
        facts = fields.line_facts(block, chosen or "")
        return (
            told,
            self._result(opened, unit, name),
            gr.Dropdown(choices=books, value=name),
            *_rule_boxes(self._desk, opened, rule),
            gr.Dropdown(choices=lines, value=chosen),
            facts.get("start") or "",
            facts.get("end") or "",
            json.dumps(block, indent=1, ensure_ascii=False),
            *(field.shown(block, display) for field in fields.ALL),
        )

    def _result(self, opened: Opened, unit: str, book: str | None) -> str:
        def draw() -> str:
            takeoff = self._desk.taken(opened)
            priced = self._desk.priced(takeoff, book)
            return takeoff_markup(takeoff, priced, display_of(unit))

        return shown(draw)

    def _nothing(self, told: str) -> tuple[Any, ...]:
        return (told, "", *[gr.skip() for _ in range(8 + len(fields.ALL))])


def _fields(wanted: tuple[Field, ...]) -> list[Any]:
    boxes: list[Any] = []
    with gr.Row(equal_height=True):
        for field in wanted:
            label = said("fields", field.key)
            if field.kind is Kind.CHOICE:
                choices = [("", ""), *((word, word) for word in field.choices)]
                box: Any = gr.Dropdown(choices, value="", label=label, min_width=200)
            else:
                box = gr.Textbox(label=label, max_length=60, min_width=200)
            boxes.append(box)
    return boxes


def _line_facts() -> tuple[gr.Dropdown, gr.Dropdown, gr.Dropdown]:
    ends = [("", ""), *((word, word) for word in fields.ENDS)]
    with gr.Accordion(said("boards", "ends"), open=False), gr.Row():
        line = gr.Dropdown([], label=said("boards", "line"), min_width=200)
        start = gr.Dropdown(ends, value="", label=said("boards", "start"), min_width=200)
        end = gr.Dropdown(ends, value="", label=said("boards", "end"), min_width=200)
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
            desk.books(), value=desk.usual_book(), label=said("boards", "book"), elem_id="pm-book"
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


def _rule_boxes(desk: Desk, opened: Opened, key: str | None) -> tuple[Any, str, Any]:
    """Return the list of rules, what is known of the chosen one, and its own value."""
    try:
        rules = rules_of(desk.office.job(opened).takeoff)
    except MeasureError as error:
        return gr.skip(), alert(str(error)), gr.skip()
    found = {rule.key: rule for rule in rules.rules.values()}
    chosen = key if key in found else next(iter(found))
    rule = found[chosen]
    words = f"{rule.shown} {rule.unit}".strip()
    from ui.panels.markup import note

    told = note(said("boards", "rule_is", value=words), rule.source, rule.note)
    own = (opened.document.get("takeoff") or {}).get("rules", {}).get(chosen)
    shown_own = "" if own is None else json.dumps(own, ensure_ascii=False)
    return gr.Dropdown(choices=list(found), value=chosen), told, shown_own


def _with_fields(block: Block, _rule: str, _line: str, *typed: str) -> Block:
    labels = [said("fields", field.key) for field in fields.ALL]
    return fields.filled(block, typed, labels)


def _with_ends(block: Block, _rule: str, line: str, start: str, end: str) -> Block:
    return fields.with_line(block, line, {"start": start or None, "end": end or None})


def _with_rule(block: Block, rule: str, _line: str, typed: str) -> Block:
    """Return the block with a rule's value: JSON, or a bare word."""
    text = typed.strip()
    if not text:
        raise InputError(said("boards", "own_value"), "is empty", "type a value")
    try:
        value = parse(text.encode(), rule)
    except InputError:
        value = text
    changed = {**block.get("rules", {}), rule: value}
    return {**block, "rules": changed}


def _without_rule(block: Block, rule: str, _line: str) -> Block:
    kept = {key: value for key, value in block.get("rules", {}).items() if key != rule}
    return fields.put(block, ("rules",), kept or None)


def _with_whole(_block: Block, _rule: str, _line: str, text: str) -> Block:
    found = parse(text.encode("utf-8", "replace"), said("boards", "whole_text"))
    if not isinstance(found, dict):
        raise InputError(
            said("boards", "whole_text"), "is no block of words", "write { … } as JSON"
        )
    return found
