"""The panel that makes papers, shows them and gives them out."""

from typing import Any

import gradio as gr

from calibration.errors import MeasureError
from photomeasure.papers.produce import Form
from ui.panels import papers
from ui.panels.desk import Desk, shown
from ui.panels.papers import Letter
from ui.panels.parts import Part, Shared, private
from ui.panels.plainly import refusal
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
    with gr.Column(elem_classes="pm-sheet"):
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
    go = gr.Button(
        said("papers", "make"),
        variant="primary",
        elem_id="pm-make",
        elem_classes="pm-thumb",
    )
    told = gr.HTML(elem_id="pm-papers-told")
    links = gr.HTML(elem_id="pm-papers")
    with gr.Column(elem_classes="pm-sheet"):
        look = gr.Dropdown(
            papers.previewed(),
            value=None,
            label=said("papers", "look"),
            elem_id="pm-look",
            filterable=False,
        )
    view = gr.HTML(elem_id="pm-paper-view")
    work, job = _Work(shared.desk), shared.job
    go.click(work.make, [job, book, which, forms, *letter], [told, links], **private())
    look.input(work.preview, [job, book, look, *letter], view, **private())
    return Part(work.show, [job, book], [told, links, which, *letter])


class _Work:
    """What happens when somebody works on the panel."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def show(self, job_id: str, name: str | None) -> tuple[Any, ...]:
        """Return the papers that are there, and the letterhead of the last ones."""
        try:
            opened = self._desk.open(job_id)
            typed = papers.kept_letter(self._desk, opened).fields().values()
            listed = papers.listing(self._desk, opened)
        except MeasureError as error:
            return (refusal(error), "", [], "", "", "", "")
        return ("", listed, papers.usual(name), *typed)

    def make(
        self, job_id: str, name: str | None, which: list[str], forms: list[str], *typed: str
    ) -> tuple[str, str]:
        """Make papers; return what was refused, and all that are there."""
        desk, letter = self._desk, Letter(*typed)
        told = shown(
            lambda: papers.make(desk, desk.open(job_id), (which, forms), name, letter)
        )
        return told, shown(lambda: papers.listing(desk, desk.open(job_id)))

    def preview(
        self, job_id: str, name: str | None, wanted: str | None, *typed: str
    ) -> str:
        """Return a paper as it would be made now."""
        desk, letter = self._desk, Letter(*typed)
        return shown(lambda: papers.preview(desk, desk.open(job_id), wanted, name, letter))


def _letter() -> list[gr.Textbox]:
    with gr.Accordion(said("papers", "letter"), open=False):
        firm = gr.Textbox(label=said("papers", "firm"), lines=3, max_length=2000)
        customer = gr.Textbox(label=said("papers", "customer"), lines=3, max_length=2000)
        with gr.Row():
            number = gr.Textbox(label=said("papers", "number"), max_length=200)
            days = gr.Textbox(label=said("papers", "valid_days"), max_length=4)
    return [firm, customer, number, days]
