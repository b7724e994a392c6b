"""Cautions in words: in full before they are acknowledged, and in short while the work goes on under them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.jobs.glance import hazard_words
from benchtui.ui.view.text import Span, line, wrap

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.jobs.plan import Caution
    from benchtui.ui.view.shapes import Shapes
    from benchtui.ui.view.text import Line

SIGNALS: Final = ("DANGER", "WARNING", "CAUTION", "NOTICE")
"""Signal words, gravest first (ANSI Z535.6)."""


def in_order(cautions: Sequence[Caution]) -> list[Caution]:
    """The cautions, gravest first."""
    return sorted(cautions, key=lambda caution: SIGNALS.index(caution.signal))


def signal(caution: Caution, shapes: Shapes) -> Span:
    """The signal word on its panel. NOTICE is about property, so it goes without the sign for injury."""
    sign = "" if caution.signal == "NOTICE" else f"{shapes.alert} "
    return Span(f" {sign}{caution.signal} ", caution.signal.lower())


def in_full(caution: Caution, width: int, shapes: Shapes, *, place: str = "") -> list[Line]:
    """Everything there is to read before a step opens.

    Args:
        caution: What is to be read.
        width: Cells.
        shapes: Characters of this terminal.
        place: "1 of 3" when there are several.
    """
    lines = [line(signal(caution, shapes), "  ", (place, "quiet"))]
    lines += wrap(caution.hazard, width, role="strong", first="  ")
    lines += wrap(caution.avoid, width, first="  ") if caution.avoid else []
    lines += wrap(caution.consequence, width, first="  If not: ", rest="  ") if caution.consequence else []
    lines += wrap(caution.first_aid, width, first="  First aid: ", rest="  ") if caution.first_aid else []
    return lines


def in_short(caution: Caution, width: int, shapes: Shapes) -> list[Line]:
    """Hazard and how to avoid it, for a caution that was read before or needs no acknowledging."""
    head = signal(caution, shapes)
    text = " ".join(part for part in (caution.hazard, caution.avoid) if part)
    body = wrap(text, width, first=" " * (len(head.text) + 1), rest="  ")
    return [line(head, " ", *body[0][1:]), *body[1:]]


def acknowledge_line(what: str, *, armed: bool) -> Line:
    """How to say that a caution was read; the key is named only once it counts."""
    if not armed:
        return line("  ", ("read this; after a moment the key for it is named here", "quiet"))
    return line(
        "  ", ("press ", "strong"), (" a ", "key"), (f" when you have read this; the {what} opens then", "strong")
    )


def named(hazard: str) -> str:
    """A hazard's id as it stands in the header: "power-on" is POWER ON."""
    return hazard_words(hazard).upper()
