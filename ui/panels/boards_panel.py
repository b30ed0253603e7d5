"""The panel of boards: what is said of the house, rules, prices, and what follows."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final

import gradio as gr

from ui.panels import fields
from ui.panels.boards_changes import (
    with_field,
    with_fields,
    with_line_facts,
    with_rule,
    with_whole,
    without_rule,
)
from ui.panels.boards_work import BoardsWork
from ui.panels.desk import Desk
from ui.panels.fields import Block, Field, Kind
from ui.panels.parts import Part, Shared, module, private
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
    with gr.Row(elem_id="pm-boards"):
        with gr.Column(scale=2, min_width=320):
            facts = _facts()
            prices = _books(shared.desk)
            ends = _line_facts()
            rules = _rules()
            whole = _whole()
        with gr.Column(scale=3, min_width=320):
            result = gr.HTML(elem_id="pm-takeoff")
    place = [shared.job, shared.unit, prices.book]
    binder = _Binder(BoardsWork(shared.desk), place, [told, result])
    binder.bind_facts(facts, ends, rules, whole)
    binder.bind_looks(shared.job, ends, rules)
    binder.bind_prices(prices)
    rule_boxes = [rules.rule, rules.told, rules.value]
    outputs = [
        *(told, result, prices.book, prices.item),
        *rule_boxes,
        *(*ends, whole.text),
        *facts.boxes,
    ]
    work = binder.work
    inputs = [*place, rules.rule, ends[0]]
    return BoardsPart(work.show, inputs, outputs, prices.book, work.result, place, result)


class _Binder:
    """Binds what is typed to what is saved and shown.

    Parameters
    ----------
    work : BoardsWork
    place : list
        Boxes of job, unit and price book.
    results : list
        Where a refusal is told, and what follows is shown.
    """

    def __init__(self, work: BoardsWork, place: list[Any], results: list[Any]) -> None:
        self.work = work
        self._place = place
        self._results = results

    def _on(self, event: Any, change: Callable[..., Block], typed: list[Any]) -> None:  # noqa: ANN401 - the framework's
        """Bind an event to a change of the block; what is typed elsewhere stays."""

        def act(*given: Any) -> tuple[Any, ...]:  # noqa: ANN401 - the framework's
            return self.work.save(given[:3], lambda block: change(block, *given[3:]))

        given = [*self._place, *typed]
        event(act, given, self._results, show_progress="hidden", **private())

    def bind_facts(
        self, facts: "_Facts", ends: list[Any], rules: "_Rules", whole: "_Whole"
    ) -> None:
        """Bind everything that changes the take-off block."""
        for field, box in zip(fields.ALL, facts.boxes, strict=True):
            event = box.input if field.kind is Kind.CHOICE else box.blur
            self._on(event, with_field(field), [box])
        self._on(facts.save.click, with_fields, facts.boxes)
        for box in ends[1:]:
            event = box.blur if isinstance(box, gr.Textbox) else box.input
            self._on(event, with_line_facts, ends)
        self._on(rules.use.click, with_rule, [rules.rule, rules.value])
        self._on(rules.drop.click, without_rule, [rules.rule])
        self._on(whole.save.click, with_whole, [whole.text])

    def bind_looks(self, job: Any, ends: list[Any], rules: "_Rules") -> None:  # noqa: ANN401 - the framework's
        """Bind what only shows another line or rule."""
        boxes = [rules.rule, rules.told, rules.value]
        rules.rule.input(self.work.rule, [job, rules.rule], boxes, **private())
        ends[0].input(self.work.line, [job, self._place[1], ends[0]], ends, **private())

    def bind_prices(self, prices: "_Prices") -> None:
        """Bind the price book and its prices."""
        told, result = self._results
        work, place, book, item = self.work, self._place, prices.book, prices.item
        book.input(work.priced, place, [item, result], **private())
        prices.sent.books(work.newest_book, place, [book, item, result], **private())
        for event in (prices.keep.click, prices.price.submit):
            event(
                work.keep_price,
                [*place, item, prices.price],
                [told, book, item, prices.price, result],
                **private(),
            )


@dataclass(frozen=True, slots=True)
class _Facts:
    boxes: list[Any]
    save: gr.Button


@dataclass(frozen=True, slots=True)
class _Rules:
    rule: gr.Dropdown
    told: gr.HTML
    value: gr.Textbox
    use: gr.Button
    drop: gr.Button


@dataclass(frozen=True, slots=True)
class _Whole:
    text: gr.Textbox
    save: gr.Button


@dataclass(frozen=True, slots=True)
class _Prices:
    book: gr.Dropdown
    sent: Any
    item: gr.Dropdown
    price: gr.Textbox
    keep: gr.Button


def _facts() -> _Facts:
    with gr.Accordion(said("boards", "facts"), open=True):
        boxes = _fields(fields.JOB)
    with gr.Accordion(said("boards", "roof"), open=True):
        boxes += _fields(fields.ROOF)
    save = gr.Button(
        said("boards", "save"),
        variant="primary",
        elem_id="pm-boards-save",
        elem_classes="pm-thumb",
    )
    return _Facts(boxes, save)


def _fields(wanted: tuple[Field, ...], texts: str = "fields") -> list[Any]:
    boxes: list[Any] = []
    with gr.Row(equal_height=True, elem_classes="pm-fields"):
        for field in wanted:
            label = said(texts, field.key)
            if field.kind in (Kind.CHOICE, Kind.YES):
                others = [
                    (said("choices", field.choice_key(word)), word)
                    for word in field.choices
                    if word != field.usual
                ]
                choices = [(_usual(field), ""), *others]
                box: Any = gr.Dropdown(
                    choices, value="", label=label, min_width=150, filterable=False
                )
            else:
                box = gr.Textbox(label=label, max_length=60, min_width=150)
            boxes.append(box)
    return boxes


def _usual(field: Field) -> str:
    """Return what an empty choice stands for."""
    if field.kind is Kind.YES:
        return said("boards", "part")
    return said("choices", field.choice_key(field.usual)) if field.usual else _UNKNOWN


def _line_facts() -> list[Any]:
    with gr.Accordion(said("boards", "ends"), open=False):
        line = gr.Dropdown(
            [], label=said("boards", "line"), min_width=150, filterable=False
        )
        return [line, *_fields(fields.LINE, "line_facts")]


def _rules() -> _Rules:
    with gr.Accordion(said("boards", "rules"), open=False):
        rule = gr.Dropdown([], label=said("boards", "rule"), elem_id="pm-rule")
        told = gr.HTML()
        value = gr.Textbox(label=said("boards", "own_value"), max_length=500)
        with gr.Row():
            use = gr.Button(said("boards", "use_value"), elem_id="pm-rule-set")
            drop = gr.Button(said("boards", "drop_value"))
    return _Rules(rule, told, value, use, drop)


def _whole() -> _Whole:
    with gr.Accordion(said("boards", "whole"), open=False):
        text = gr.Textbox(label=said("boards", "whole_text"), lines=12, max_length=200_000)
        save = gr.Button(said("boards", "save_whole"))
    return _Whole(text, save)


def _books(desk: Desk) -> _Prices:
    with gr.Accordion(said("boards", "prices"), open=True):
        book = gr.Dropdown(
            desk.books(),
            value=desk.usual_book(),
            label=said("boards", "book"),
            elem_id="pm-book",
            filterable=False,
        )
        sent = module("books", "pm-books", "books")
        with gr.Row():
            item = gr.Dropdown(
                [], label=said("boards", "item"), elem_id="pm-item", min_width=200
            )
            price = gr.Textbox(
                label=said("boards", "own_price"), max_length=20, min_width=150
            )
        keep = gr.Button(said("boards", "keep_price"), elem_id="pm-price-keep")
    return _Prices(book, sent, item, price, keep)
