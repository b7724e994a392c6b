"""A spares kit as lines: what to carry first, then what it is good for, then where the figures are from."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.faults.spares_told import rows_of, sources_of, summary_of
from benchtui.ui.view.answers import together
from benchtui.ui.view.sums import spoken
from benchtui.ui.view.text import BLANK, line, wrap

if TYPE_CHECKING:
    from collections.abc import Iterable

    from benchtui.calc.calculator import Input
    from benchtui.faults.spares import Kit
    from benchtui.faults.spares_told import Wish
    from benchtui.ui.view.text import Line


def waiting_lines(needed: Iterable[Input], width: int) -> list[Line]:
    """What stands in place of the kit while something is missing."""
    lines = [line(("Still to be typed", "title"))]
    for entry in needed:
        lines += wrap(f"{spoken(entry.key)}: {entry.help}", width, first="  ", rest="    ")
    return lines


def kit_lines(found: Kit, wish: Wish, width: int) -> list[Line]:
    """The kit."""
    lines: list[Line] = []
    for text in summary_of(found, wish)[:-1]:
        lines += together(text, width, role="" if found.reached else "strong")
    lines.append(BLANK)
    for count, what in rows_of(found):
        lines += together(what, width, first=count.ljust(6), rest="      ", role="quiet" if count == "none" else "")
    lines.append(BLANK)
    return lines + wrap(summary_of(found, wish)[-1], width)


def source_lines(found: Kit, width: int) -> list[Line]:
    """Where the figures of a kit are from."""
    lines = [line(("Sources", "title"))]
    for text in sources_of(found):
        lines += wrap(text, width, first="  ", rest="    ", role="quiet")
    return lines
