"""A long text in a window, its headings kept in sight: columns without their heads are numbers without meaning."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.ui.view.text import Line

HEADING: Final = "heading"
"""Role of the heads of a table's columns."""
_TITLE: Final = "title"
_SHARE: Final = 3
"""Headings take a third of the window at most: the rest is for what they are about."""


def scrolled(lines: Sequence[Line], height: int, top: int) -> tuple[list[Line], int, int]:
    """The part of a text that fits, under the title and the heads of columns that have moved out above it.

    Args:
        lines: The whole text.
        height: Lines of the window.
        top: First line of the text that is wanted below the headings.

    Returns:
        The lines to show, how far `top` can be at most, and how many of the lines shown are headings.
    """
    most = max(len(lines) - height, 0)
    while most < len(lines) - 1 and len(lines) - most > height - len(_above(lines, most, height)):
        most += 1
    top = min(max(top, 0), most)
    kept = _above(lines, top, height)
    return [*kept, *lines[top : top + height - len(kept)]], most, len(kept)


def _above(lines: Sequence[Line], top: int, height: int) -> list[Line]:
    """Title and column heads that belong to the line at `top` and stand above it."""
    title: list[Line] = []
    heads: list[Line] = []
    for place, row in enumerate(lines[:top]):
        if _is(row, _TITLE):
            title, heads = [row], []
        elif _is(row, HEADING):
            heads = [*heads, row] if place and _is(lines[place - 1], HEADING) else [row]
        elif not row:
            heads = []  # a table ends at a blank line
    if top < len(lines) and (_is(lines[top], _TITLE) or not lines[top]):
        return []  # another part begins here
    kept = [*title, *heads]
    return kept if len(kept) * _SHARE <= height else []


def _is(row: Line, role: str) -> bool:
    """Whether a line bears a role throughout, blanks aside."""
    return (
        bool(row)
        and all(span.role == role or not span.text.strip() for span in row)
        and any(span.role == role for span in row)
    )
