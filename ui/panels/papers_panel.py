"""The panel that makes papers, shows them and gives them out."""

from typing import Any

import gradio as gr

from calibration.errors import MeasureError
from photomeasure.papers.produce import Form
from ui.panels import papers
from ui.panels.desk import shown
from ui.panels.markup import alert
from ui.panels.papers import Letter
from ui.panels.parts import Part, Shared, private
from ui.texts import said


def build(shared: Shared, book: gr.Dropdown) -> Part:
    """Build the panel.

    Parameters
    ----------
    shared : Shared
    book : gradio.Dropdown
        The price book that is chosen on the boards' panel.

    Returns
    -------
    Part
    """
    which = gr.CheckboxGroup(
        papers.choices(), label=said("papers", "title"), elem_id="pm-which"
    )
    forms = gr.CheckboxGroup(
        [(str(form).upper(), str(form)) for form in Form],
        value=[str(Form.PDF)],
        label=said("papers", "forms"),
        elem_id="pm-forms",
    )
    letter = _letter()
    go = gr.Button(said("papers", "make"), variant="primary", elem_id="pm-make")
    told = gr.HTML(elem_id="pm-papers-told")
    links = gr.HTML(elem_id="pm-papers")
    look = gr.Dropdown(
        papers.previewed(), value=None, label=said("papers", "look"), elem_id="pm-look"
    )
    view = gr.HTML(elem_id="pm-paper-view")
    desk, job = shared.desk, shared.job

    def show(job_id: str, name: str | None) -> tuple[Any, ...]:
        try:
            opened = desk.open(job_id)
            typed = papers.kept_letter(desk, opened).fields().values()
            listed = papers.listing(desk, opened)
            return ("", listed, papers.usual(name), *typed)
        except MeasureError as error:
            return (alert(str(error)), "", [], "", "", "", "")

    def make(job_id: str, name: str | None, w: list[str], f: list[str], *typed: str) -> Any:  # noqa: ANN401 - the framework's
        def act() -> str:
            return papers.make(desk, desk.open(job_id), (w, f), name, Letter(*typed))

        told_now = shown(act)
        return told_now, shown(lambda: papers.listing(desk, desk.open(job_id)))

    def preview(job_id: str, name: str | None, wanted: str | None, *typed: str) -> str:
        return shown(
            lambda: papers.preview(desk, desk.open(job_id), wanted, name, Letter(*typed))
        )

    go.click(make, [job, book, which, forms, *letter], [told, links], **private())
    look.input(preview, [job, book, look, *letter], view, **private())
    return Part(show, [job, book], [told, links, which, *letter])


def _letter() -> list[gr.Textbox]:
    with gr.Accordion(said("papers", "letter"), open=False):
        firm = gr.Textbox(label=said("papers", "firm"), lines=3, max_length=2000)
        customer = gr.Textbox(label=said("papers", "customer"), lines=3, max_length=2000)
        with gr.Row():
            number = gr.Textbox(label=said("papers", "number"), max_length=200)
            days = gr.Textbox(label=said("papers", "valid_days"), max_length=4)
    return [firm, customer, number, days]
