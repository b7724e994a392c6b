"""What to do when it smokes, smells or shocks: the lines of the content, or a short form kept here without them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.ui.view.text import line, wrap

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.ui.view.text import Line

LEAST: Final = (
    "It smokes, smells or gets hot: pull the USB lead, then the mains plug. Keep your hands out of the unit.",
    "Flames you cannot smother at once, or a lithium cell that burns: get everybody out, call the fire service.",
    "Somebody got a shock: switch off at the wall before you touch the person. Call the emergency number.",
)
"""Shown when the file with the full list cannot be read: no damaged file may take these away."""


def emergency_lines(acts: Sequence[str], width: int) -> list[Line]:
    """The acts in order. What stands before the colon is the situation, and is what the eye looks for."""
    lines: list[Line] = []
    for act in acts or LEAST:
        situation, colon, rest = act.partition(": ")
        if not colon:
            lines += wrap(act, width, first="  ")
            continue
        wrapped = wrap(f"{situation}: {rest}", width, first="", rest="  ")
        head = "".join(span.text for span in wrapped[0])
        if len(head) > len(situation) + 1:
            wrapped[0] = line((f"{situation}:", "strong"), head[len(situation) + 1 :])
        lines += wrapped
    return lines
