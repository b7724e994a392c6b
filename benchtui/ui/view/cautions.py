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


def on_page(unread: Sequence[Caution], width: int, room: int, shapes: Shapes) -> tuple[Caution, ...]:
    """Those of the cautions to be read that stand whole on one page, at least one; they are acknowledged together.

    One that would be cut waits for a page of its own: a caution is read whole or not at all (MIL-STD-411F 5.2.5.3).

    Args:
        unread: Cautions still to be read, gravest first.
        width: Cells.
        room: Lines there are for the cautions themselves.
        shapes: Characters of this terminal.
    """
    shown: list[Caution] = []
    used = 0
    for caution in unread:
        used += len(in_full(caution, width, shapes))
        if shown and used > room:
            break
        shown.append(caution)
    return tuple(shown)


def in_short(caution: Caution, width: int, shapes: Shapes) -> list[Line]:
    """Hazard and how to avoid it, for a caution that was read before or needs no acknowledging."""
    head = signal(caution, shapes)
    text = " ".join(part for part in (caution.hazard, caution.avoid) if part)
    body = wrap(text, width, first=" " * (len(head.text) + 1), rest="  ")
    return [line(head, " ", *body[0][1:]), *body[1:]]


def acknowledge_line(what: str, *, armed: bool, count: int = 1) -> Line:
    """How to say that the cautions in sight were read; the key is named only once it counts.

    Args:
        what: What comes then: "the step opens", "the next ones come".
        armed: They have been in sight long enough.
        count: Cautions that the key acknowledges.
    """
    these = {1: "this", 2: "both"}.get(count, f"all {count}")
    if not armed:
        return line("  ", (f"read {these}; after a moment the key for it is named here", "quiet"))
    return line("  ", ("press ", "strong"), (" a ", "key"), (f" when you have read {these}; {what} then", "strong"))


def named(hazard: str) -> str:
    """A hazard's id as it stands in the header: "power-on" is POWER ON."""
    return hazard_words(hazard).upper()
