"""A widget that shows lines of text with roles, exactly as they are: nothing is wrapped, read as markup or lost."""

from __future__ import annotations

from itertools import zip_longest
from typing import TYPE_CHECKING

from rich.segment import Segment
from rich.style import Style
from textual.geometry import Region, Size
from textual.strip import Strip
from textual.widget import Widget

from benchtui.ui.view.text import cut, width_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual import events

    from benchtui.ui.view.text import Line

ROLES = (
    "strong",
    "title",
    "quiet",
    "heading",
    "rule",
    "key",
    "do",
    "value",
    "pass",
    "near",
    "fail",
    "mark",
    "danger",
    "warning",
    "caution",
    "notice",
    "stands",
    "problem",
    "cursor",
    "wire",
)
"""Roles a span may have; each is a component class `pane--ROLE` of the style sheet."""

CLASSES = frozenset(f"pane--{role}" for role in ROLES)
"""Component classes of the screen that holds the panes: worked out once for it, and not for each pane anew."""


class Pane(Widget):
    """Lines of text; the lines are laid out by the caller for the width of the pane."""

    ALLOW_SELECT = False

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:
        super().__init__(id=id, classes=classes)
        self._lines: Sequence[Line] = ()

    @property
    def lines(self) -> Sequence[Line]:
        """What is shown."""
        return self._lines

    def show(self, lines: Sequence[Line]) -> None:
        """Show these lines instead; only rows that differ are drawn anew."""
        before, self._lines = self._lines, list(lines)
        changed = [y for y, (old, new) in enumerate(zip_longest(before, self._lines)) if old != new]
        if not changed:
            return
        if self.styles.is_auto_height and len(before) != len(self._lines):
            self.refresh(layout=True)
            return
        self.refresh(*(Region(0, y, self.size.width, 1) for y in changed))

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """As many rows as there are lines."""
        return len(self._lines)

    def render_line(self, y: int) -> Strip:
        """One row of the screen."""
        width = self.size.width
        base = self.rich_style
        if y >= len(self._lines):
            return Strip.blank(width, base)
        row = cut(self._lines[y], width)
        segments = []
        for span in row:
            style = base
            if span.role:
                style += self.screen.get_component_rich_style(f"pane--{span.role}", partial=True)
            if span.action:
                style += Style.from_meta({"@click": span.action})
            segments.append(Segment(span.text, style))
        return Strip(segments, width_of(row)).extend_cell_length(width, base)

    async def on_click(self, event: events.Click) -> None:
        """Run the action of the span that was clicked, once for a double click: the second half of it means nothing."""
        action = event.style.meta.get("@click")
        if isinstance(action, str):
            event.stop()
            if event.chain > 1:
                return
            await self.screen.run_action(action)
