"""The last hunt on the same thing, as a list to go on from."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.ui.view.ages import clock_time
from benchtui.ui.view.rows import Row
from benchtui.ui.view.text import plain, wrap

if TYPE_CHECKING:
    from benchtui.faults.earlier import Earlier

MOST: Final = 12
"""Lines of an earlier hunt that are shown, the last ones: the list below them has to stay in sight."""

WIDTH: Final = 70
"""Cells of such a line, on the narrowest screen."""

QUESTION: Final = "The record holds a hunt on this. What now?"


def earlier_rows(known: Earlier) -> list[Row]:
    """How to go on, and what was seen, done and found then."""
    rows = [Row(id="new:", text="Begin a new hunt")]
    if not known.closed:
        rows.append(Row(id=f"open:{known.job}", text="Take up that hunt again: it is not closed"))
    return [*rows, *(Row(text=text) for text in earlier_lines(known, WIDTH))]


def earlier_lines(known: Earlier, width: int) -> list[str]:
    """What was seen, done and found in an earlier hunt, its last lines where there are many.

    Args:
        known: The hunt.
        width: Cells.
    """
    more = f", the last of {known.others + 1}" if known.others else ""
    whole = [text for said in known.lines for text in plain(wrap(said, width, rest="  ")).split("\n")]
    cut = [f"... {len(whole) - MOST} lines before, in the unit's history"] if len(whole) > MOST else []
    return [f"Hunt of {clock_time(known.begun)}, job {known.job}{more}", *cut, *whole[-MOST:]]
