"""The colours: dark, light, and dim for a dark stage. Meaning never rests on them alone.

Signal words stand on the panels of ANSI Z535.6: white on red, black on orange, black on yellow, white on blue. Every
pair used for text has a contrast of at least 4.5 to 1, the step and the cautions 7 to 1 (WCAG 2.2, 1.4.3 and 1.4.6);
`tests/ui/test_ui_themes.py` works it out.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from textual.theme import Theme

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence


def _theme(name: str, *, dark: bool, paper: str, bar: str, colours: Mapping[str, str]) -> Theme:
    return Theme(
        name=name,
        primary=colours["key"],
        secondary=colours["title"],
        foreground=colours["text"],
        background=paper,
        surface=paper,
        panel=bar,
        dark=dark,
        variables={
            **{f"bench-{role}": colour for role, colour in colours.items()},
            "bench-paper": paper,
            "bench-bar": bar,
            "input-cursor-background": colours["text"],
            "input-cursor-foreground": paper,
        },
    )


THEMES: Final[Mapping[str, Theme]] = {
    "bench-dark": _theme(
        "bench-dark",
        dark=True,
        paper="#14161a",
        bar="#23272e",
        colours={
            "text": "#e6e3dc",
            "strong": "#ffffff",
            "title": "#a9d1e8",
            "quiet": "#a8a8a4",
            "rule": "#6f757e",
            "key": "#c3cfdb",
            "value": "#ffe9b0",
            "pass": "#a5dba8",
            "near": "#ffd866",
            "fail": "#ffa39c",
            "danger-word": "#ffffff",
            "danger": "#a3121c",
            "warning-word": "#000000",
            "warning": "#ff8a1f",
            "caution-word": "#000000",
            "caution": "#ffd400",
            "notice-word": "#ffffff",
            "notice": "#0b4f9c",
        },
    ),
    "bench-light": _theme(
        "bench-light",
        dark=False,
        paper="#f7f5f0",
        bar="#e4e0d6",
        colours={
            "text": "#1d1f22",
            "strong": "#000000",
            "title": "#123f5c",
            "quiet": "#54565a",
            "rule": "#8a8c8f",
            "key": "#2b3a4a",
            "value": "#3d2a00",
            "pass": "#0d5a1c",
            "near": "#6b4a00",
            "fail": "#94101a",
            "danger-word": "#ffffff",
            "danger": "#a3121c",
            "warning-word": "#000000",
            "warning": "#ff8a1f",
            "caution-word": "#000000",
            "caution": "#ffd400",
            "notice-word": "#ffffff",
            "notice": "#0b4f9c",
        },
    ),
    "bench-dim": _theme(
        "bench-dim",
        dark=True,
        paper="#000000",
        bar="#140c08",
        colours={
            # Dim and towards the red end, so that eyes stay used to the dark of the stage.
            "text": "#c08a68",
            "strong": "#d69c78",
            "title": "#c08a68",
            "quiet": "#a5755a",
            "rule": "#7a5640",
            "key": "#d69c78",
            "value": "#d69c78",
            "pass": "#c08a68",
            "near": "#d69c78",
            "fail": "#e0917c",
            "danger-word": "#ffffff",
            "danger": "#7d0f16",
            "warning-word": "#000000",
            "warning": "#e07f26",
            "caution-word": "#000000",
            "caution": "#b39400",
            "notice-word": "#ffffff",
            "notice": "#083a73",
        },
    ),
}
"""Theme by name."""

ORDER: Final[Sequence[str]] = tuple(THEMES)
"""The order in which one key goes through them."""

PLAIN: Final = Theme(
    name="bench-plain",
    ansi=True,
    primary="ansi_default",
    secondary="ansi_default",
    warning="ansi_default",
    error="ansi_default",
    success="ansi_default",
    accent="ansi_default",
    foreground="ansi_default",
    background="ansi_default",
    surface="ansi_default",
    panel="ansi_default",
    boost="ansi_default",
    variables={
        **dict.fromkeys(THEMES["bench-dark"].variables, "ansi_default"),
        # The screen library asks for these of every theme that leaves colours to the terminal.
        **dict.fromkeys(
            (
                "ansi-background",
                "ansi-foreground",
                "border-blurred",
                "block-cursor-foreground",
                "block-cursor-background",
                "input-selection-background",
                "input-selection-foreground",
                "screen-selection-background",
                "screen-selection-foreground",
            ),
            "ansi_default",
        ),
        "input-cursor-text-style": "reverse",
    },
)
"""Without colour (NO_COLOR): the terminal's own, with bold and reverse video for what has to stand out."""
