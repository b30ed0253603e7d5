"""The panel that holds a taped length against a photo."""

from typing import Any

import gradio as gr

from calibration.errors import MeasureError
from photomeasure.checking import USUAL_TAPE_SD_MM
from photomeasure.display import said_length
from ui.panels.check import check_markup, lines_of, use_as_reference
from ui.panels.desk import display_of, shown
from ui.panels.markup import alert, note
from ui.panels.parts import Part, Shared, private
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
    line = gr.Dropdown([], label=said("check", "line"), elem_id="pm-check-line")
    with gr.Row():
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
    with gr.Row():
        check = gr.Button(said("check", "button"), variant="primary", elem_id="pm-check-go")
        use = gr.Button(said("check", "use"), elem_id="pm-check-use")
    told = gr.HTML(elem_id="pm-check-told")
    given = [shared.job, shared.unit, line, taped, spread]
    desk = shared.desk

    def show(job_id: str, chosen: str | None) -> tuple[Any, str]:
        try:
            found = lines_of(desk.office.measured(desk.open(job_id)))
        except MeasureError as error:
            return gr.Dropdown(choices=[], value=None), alert(str(error))
        keys = [key for _, key in found]
        value = chosen if chosen in keys else (keys[0] if keys else None)
        told = "" if keys else note(said("check", "no_lines"))
        return gr.Dropdown(choices=found, value=value), told

    def held(job_id: str, unit: str, key: str | None, mm: str, sd: str) -> str:
        return shown(
            lambda: check_markup(
                desk.office, desk.open(job_id), key, (mm, sd), display_of(unit)
            )
        )

    def used(job_id: str, unit: str, key: str | None, mm: str, sd: str) -> str:
        return shown(
            lambda: use_as_reference(
                desk.office, desk.open(job_id), key, (mm, sd), display_of(unit)
            )
        )

    check.click(held, given, told, **private())
    taped.submit(held, given, told, **private())
    use.click(used, given, told, **private())
    return Part(show, [shared.job, line], [line, told])
