"""Photos and lines: both live in the browser and speak to the server's own routes."""

import gradio as gr

from ui.panels.parts import module


def build() -> gr.HTML:
    """Return the place where photos come in.

    Returns
    -------
    gradio.HTML
    """
    return module("photos", "pm-photos")


def build_lines() -> gr.HTML:
    """Return the place where lines are drawn.

    Returns
    -------
    gradio.HTML
    """
    return module("lines", "pm-lines")
