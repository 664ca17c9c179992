"""Our colours: a dark room under a safe-light, daylight, and sixteen colours.

Bands are drawn in reverse, so that they stay bands in sixteen colours and in none; a colour never tells
anything that a word does not tell too.
"""

from __future__ import annotations

from textual.theme import Theme

DARK = "safe-light"
LIGHT = "daylight"
SIXTEEN = "sixteen"

_DARK = Theme(  # chosen so that 256 colours keep greys grey: a band never turns red
    name=DARK,
    dark=True,
    primary="#ffb347",  # the amber of a safe-light
    secondary="#c9a06a",
    accent="#7cc6c2",
    warning="#ff9e3d",
    error="#ff6b5e",
    success="#8fd17f",
    foreground="#eae4d8",
    background="#15100d",
    surface="#1d1612",
    panel="#2e2924",
    variables={
        "quiet": "#b8ac9e",
        "danger": "#ff5a4d",
        "caution": "#ffe04d",
        "block-cursor-background": "#ffb347",
        "block-cursor-foreground": "#15100d",
    },
)
_LIGHT = Theme(
    name=LIGHT,
    dark=False,
    primary="#7a3b00",
    secondary="#6b5636",
    accent="#005f5b",
    warning="#9a4a00",
    error="#a81818",
    success="#1f6414",
    foreground="#201810",
    background="#fbf7f0",
    surface="#f3ebdf",
    panel="#e6d9c6",
    variables={
        "quiet": "#5d5145",
        "danger": "#a81818",
        "caution": "#6b5200",
        "block-cursor-background": "#7a3b00",
        "block-cursor-foreground": "#fbf7f0",
    },
)
_SIXTEEN = Theme(
    name=SIXTEEN,
    ansi=True,
    primary="ansi_yellow",
    secondary="ansi_default",
    accent="ansi_cyan",
    warning="ansi_yellow",
    error="ansi_red",
    success="ansi_green",
    foreground="ansi_default",
    background="ansi_default",
    surface="ansi_default",
    panel="ansi_default",
    boost="ansi_default",
    variables={
        "ansi-background": "ansi_default",
        "ansi-foreground": "ansi_default",
        "border": "ansi_yellow",
        "border-blurred": "ansi_default",
        "input-cursor-background": "ansi_white",
        "input-cursor-foreground": "ansi_black",
        "input-selection-background": "ansi_cyan",
        "input-selection-foreground": "ansi_black",
        "quiet": "ansi_default",
        "danger": "ansi_red",
        "caution": "ansi_yellow",
        "block-cursor-background": "ansi_yellow",
        "block-cursor-foreground": "ansi_black",
    },
)
THEMES = (_DARK, _LIGHT, _SIXTEEN)


def after(name: str) -> str:
    """The theme that the key for light or dark changes to; sixteen colours stay sixteen."""
    return {DARK: LIGHT, LIGHT: DARK}.get(name, name)
