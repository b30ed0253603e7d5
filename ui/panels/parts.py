"""What the panels share: the job's box, the unit, and how events are bound."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final

import gradio as gr

from ui.panels.desk import Desk
from ui.server.app import address
from ui.texts import said

_MODULE: Final = (
    "import('{web}').then((m) => m.{name}(element, trigger)).catch((e) => "
    "{{ element.textContent = '{broken}'; console.error(e); }})"
)
_ROOT: Final = "<div class='pm-root'></div>"
"""Constant: whatever stands in a template is run as script."""


@dataclass(frozen=True, slots=True)
class Shared:
    """What every panel is built from.

    Attributes
    ----------
    desk : Desk
    job : gradio.Textbox
        Holds the job's id.
    unit : gradio.Radio
    """

    desk: Desk
    job: gr.Textbox
    unit: gr.Radio


@dataclass(frozen=True, slots=True)
class Part:
    """How a panel is drawn anew.

    Attributes
    ----------
    show : callable
    inputs, outputs : list
        Components.
    """

    show: Callable[..., Any]
    inputs: list[Any]
    outputs: list[Any]


def private() -> dict[str, Any]:
    """Return what keeps a listener from being a public address of its own."""
    return {"api_visibility": "private"}


def web_address() -> str:
    """Return the address of the panels' scripts."""
    return address("web")


def module(name: str, elem_id: str, events: str = "") -> gr.HTML:
    """Return a place where one of our scripts lives.

    Parameters
    ----------
    name : str
        Function of the module.
    elem_id : str
    events : str, optional
        Name of an event that it triggers: the framework looks for it in quotes.

    Returns
    -------
    gradio.HTML
    """
    broken = said("page", "broken")
    script = _MODULE.format(web=web_address(), name=name, broken=broken)
    comment = f" /* '{events}' */" if events else ""
    return gr.HTML(
        "",
        elem_id=elem_id,
        html_template=_ROOT,
        apply_default_css=False,
        js_on_load=script + comment,
    )
