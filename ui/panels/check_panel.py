"""The panel that holds a taped length against a photo."""

from collections.abc import Callable
from typing import Any

import gradio as gr

from calibration.errors import MeasureError
from photomeasure.checking import USUAL_TAPE_SD_MM
from photomeasure.display import said_length
from ui.panels.check import check_markup, lines_of, use_as_reference
from ui.panels.desk import Desk, display_of, shown
from ui.panels.markup import note
from ui.panels.parts import Part, Shared, private
from ui.panels.plainly import refusal
from ui.texts import said


def build(shared: Shared) -> Part:
    """Build the panel.

    Parameters
    ----------
    shared : Shared

    Returns
    -------
    Part
    """
    gr.HTML(note(said("check", "intro")))
    with gr.Row(elem_classes="pm-sheet"):
        line = gr.Dropdown(
            [], label=said("check", "line"), elem_id="pm-check-line", filterable=False
        )
        taped = gr.Textbox(
            label=said("check", "taped"),
            placeholder=said("check", "example"),
            max_length=40,
            elem_id="pm-check-taped",
        )
        spread = gr.Textbox(
            said_length(USUAL_TAPE_SD_MM),
            label=said("check", "spread"),
            info=said("check", "spread_info"),
            max_length=40,
            elem_id="pm-check-spread",
        )
    with gr.Row(elem_classes="pm-acts"):
        check = gr.Button(said("check", "button"), variant="primary", elem_id="pm-check-go")
        use = gr.Button(said("check", "use"), elem_id="pm-check-use")
    told = gr.HTML(elem_id="pm-check-told")
    given = [shared.job, shared.unit, line, taped, spread]
    work = _Work(shared.desk)
    check.click(work.held, given, told, **private())
    taped.submit(work.held, given, told, **private())
    use.click(work.used, given, told, **private())
    return Part(work.show, [shared.job, line], [line, told])


class _Work:
    """What happens when somebody works on the panel."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def show(self, job_id: str, chosen: str | None) -> tuple[Any, str]:
        """Return the lines to choose from."""
        office = self._desk.office
        try:
            found = lines_of(office.measured(office.open(job_id)))
        except MeasureError as error:
            return gr.Dropdown(choices=[], value=None), refusal(error)
        keys = [key for _, key in found]
        value = chosen if chosen in keys else (keys[0] if keys else None)
        told = "" if keys else note(said("check", "no_lines"))
        return gr.Dropdown(choices=found, value=value), told

    def held(self, job_id: str, unit: str, key: str | None, *typed: str) -> str:
        """Return whether the taped length agrees."""
        return self._answered(check_markup, job_id, unit, key, typed)

    def used(self, job_id: str, unit: str, key: str | None, *typed: str) -> str:
        """Return what the taped length did as a reference."""
        return self._answered(use_as_reference, job_id, unit, key, typed)

    def _answered(
        self,
        act: Callable[..., str],
        job_id: str,
        unit: str,
        key: str | None,
        typed: tuple[str, ...],
    ) -> str:
        office = self._desk.office
        return shown(lambda: act(office, office.open(job_id), key, typed, display_of(unit)))
