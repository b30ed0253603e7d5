"""Our own look: warm paper and slate, one accent of brick."""

from typing import Final

import gradio as gr
from gradio.themes.utils.colors import Color

BRICK = Color(
    name="brick",
    c50="#fbf1ed",
    c100="#f5ddd3",
    c200="#edc3b3",
    c300="#e8a78f",
    c400="#e8957a",
    c500="#b8502f",
    c600="#9c3d22",
    c700="#83321b",
    c800="#672816",
    c900="#4d1e11",
    c950="#34140b",
)
SLATE = Color(
    name="slate-warm",
    c50="#faf7f2",
    c100="#f1ece3",
    c200="#ddd6ca",
    c300="#bdb6ab",
    c400="#8f9aa3",
    c500="#66727c",
    c600="#4b5761",
    c700="#36424b",
    c800="#262f36",
    c900="#1c2227",
    c950="#14191d",
)
FONTS = ["system-ui", "-apple-system", "Segoe UI", "Roboto", "sans-serif"]
"""Of the device: nothing is fetched."""


_COLOURS: Final = {
    "body_background_fill": "#faf7f2",
    "body_background_fill_dark": "#1c2227",
    "body_text_color": "#22292f",
    "body_text_color_dark": "#ece6dc",
    "body_text_color_subdued": "#55606a",
    "body_text_color_subdued_dark": "#b9c1c7",
    "block_background_fill": "#ffffff",
    "block_background_fill_dark": "#262f36",
    "block_label_text_color": "#22292f",
    "block_label_text_color_dark": "#ece6dc",
    "block_title_text_color": "#22292f",
    "block_title_text_color_dark": "#ece6dc",
    "block_info_text_color": "#55606a",
    "block_info_text_color_dark": "#b9c1c7",
    "block_border_width": "0px",
    "block_shadow": "none",
    "input_background_fill": "#ffffff",
    "input_background_fill_dark": "#1c2227",
    "input_border_width": "1px",
    "input_border_width_dark": "1px",
    "input_padding": "10px",
    "input_border_color": "#8b8378",
    "input_border_color_dark": "#8f9aa3",
    "button_primary_background_fill": "#9c3d22",
    "button_primary_background_fill_hover": "#83321b",
    "button_primary_text_color": "#ffffff",
    "button_primary_background_fill_dark": "#e8957a",
    "button_primary_background_fill_hover_dark": "#edc3b3",
    "button_primary_text_color_dark": "#1c2227",
    "button_secondary_background_fill": "#f1ece3",
    "button_secondary_background_fill_dark": "#36424b",
    "button_secondary_text_color": "#22292f",
    "button_secondary_text_color_dark": "#ece6dc",
    "button_secondary_border_color": "#8b8378",
    "button_secondary_border_color_dark": "#8f9aa3",
    "link_text_color": "#83321b",
    "link_text_color_dark": "#e8957a",
}


def theme() -> gr.themes.Base:
    """Return the theme.

    Returns
    -------
    gradio.themes.Base
    """
    return gr.themes.Base(
        primary_hue=BRICK,
        secondary_hue=BRICK,
        neutral_hue=SLATE,
        font=FONTS,
        font_mono=["ui-monospace", "Consolas", "monospace"],
        text_size="lg",
        radius_size="sm",
    ).set(**_COLOURS)
