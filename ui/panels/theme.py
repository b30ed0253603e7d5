"""Our own look, handed to the framework: its colours are those of palette.css."""

from typing import Final

import gradio as gr

_FONTS: Final = ["system-ui", "-apple-system", "Segoe UI", "Roboto", "sans-serif"]
"""Of the device: nothing is fetched."""

_COLOURS: Final = {
    "body_background_fill": "paper",
    "body_text_color": "ink",
    "body_text_color_subdued": "soft",
    "background_fill_primary": "card",
    "background_fill_secondary": "paper",
    "border_color_primary": "rule",
    "border_color_accent": "accent",
    "color_accent_soft": "wash",
    "block_background_fill": "card",
    "block_label_text_color": "ink",
    "block_title_text_color": "ink",
    "block_info_text_color": "soft",
    "block_border_color": "rule",
    "panel_background_fill": "card",
    "panel_border_color": "rule",
    "input_background_fill": "card",
    "input_background_fill_focus": "card",
    "input_background_fill_hover": "card",
    "input_border_color": "line",
    "input_border_color_focus": "focus",
    "input_border_color_hover": "ink",
    "input_placeholder_color": "soft",
    "checkbox_background_color": "card",
    "checkbox_background_color_hover": "card",
    "checkbox_background_color_focus": "card",
    "checkbox_background_color_selected": "accent",
    "checkbox_border_color": "line",
    "checkbox_border_color_focus": "focus",
    "checkbox_border_color_hover": "ink",
    "checkbox_border_color_selected": "accent",
    "checkbox_label_background_fill": "card",
    "checkbox_label_background_fill_hover": "wash",
    "checkbox_label_background_fill_selected": "wash",
    "checkbox_label_border_color": "line",
    "checkbox_label_border_color_hover": "ink",
    "checkbox_label_text_color": "ink",
    "checkbox_label_text_color_selected": "ink",
    "button_primary_background_fill": "accent",
    "button_primary_background_fill_hover": "deep",
    "button_primary_border_color": "accent",
    "button_primary_border_color_hover": "deep",
    "button_primary_text_color": "on-accent",
    "button_primary_text_color_hover": "on-accent",
    "button_secondary_background_fill": "card",
    "button_secondary_background_fill_hover": "wash",
    "button_secondary_border_color": "line",
    "button_secondary_border_color_hover": "ink",
    "button_secondary_text_color": "ink",
    "button_secondary_text_color_hover": "ink",
    "link_text_color": "accent",
    "link_text_color_hover": "deep",
    "link_text_color_visited": "accent",
    "link_text_color_active": "accent",
}
"""Which of our colours each of the framework's is, in light and in dark."""

_SHAPES: Final = {
    "block_border_width": "0px",
    "block_shadow": "none",
    "block_padding": "0px",
    "input_border_width": "1px",
    "input_padding": "11px 12px",
    "button_border_width": "1px",
}


def theme() -> gr.themes.Base:
    """Return the theme.

    Returns
    -------
    gradio.themes.Base
    """
    ours = {name: f"var(--pm-{colour})" for name, colour in _COLOURS.items()}
    dark = {f"{name}_dark": colour for name, colour in ours.items()}
    return gr.themes.Base(
        font=_FONTS,
        font_mono=["ui-monospace", "Consolas", "monospace"],
        text_size="lg",
        radius_size="md",
    ).set(**ours, **dark, **_SHAPES)
