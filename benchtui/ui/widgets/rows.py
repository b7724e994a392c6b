"""A list to choose from with the arrow keys, Enter or a click."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, Final

from textual.binding import Binding
from textual.message import Message

from benchtui.ui.view.rows import Row, first_choice, row_lines, step_cursor
from benchtui.ui.view.shapes import UNICODE, Shapes
from benchtui.ui.widgets.pane import Pane

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from textual import events
    from textual.binding import BindingType

    from benchtui.ui.app import BenchApp
    from benchtui.ui.gate import Press


CHOOSING: Final = ("enter", "space")
"""Keys that choose the row at the cursor."""


def _harmless(_row: Row) -> bool:
    return False


class Rows(Pane, can_focus=True):
    """The list. It keeps no state but the rows and the cursor; what is chosen goes out as a message.

    A key that is held chooses one row, and not the one after it or one of the next list (`ui.gate`).

    Args:
        marks: Whether choosing a row answers or closes something, so that the same key counts only after a while
            again; a list may be ticked or gone down as fast as one can press.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "move(-1)", "one up", show=False),
        Binding("down", "move(1)", "one down", show=False),
        Binding("pageup", "move(-10)", "ten up", show=False),
        Binding("pagedown", "move(10)", "ten down", show=False),
        Binding("home", "move(-100000)", "to the first", show=False),
        Binding("end", "move(100000)", "to the last", show=False),
        Binding(",".join(CHOOSING), "choose", "choose", show=False),
    ]

    class Chosen(Message):
        """Enter was pressed on a row, or it was clicked."""

        def __init__(self, row: Row) -> None:
            super().__init__()
            self.row = row

    class TooSoon(Message):
        """The key came again before it can be told from a held one, on a row that answers or closes something."""

    class Moved(Message):
        """The cursor went to another row."""

        def __init__(self, row: Row | None) -> None:
            super().__init__()
            self.row = row

    def __init__(
        self, *, shapes: Shapes = UNICODE, marks: Callable[[Row], bool] = _harmless, id: str | None = None
    ) -> None:
        super().__init__(id=id)
        self.marks = marks
        self.shapes = shapes
        self.rows: Sequence[Row] = ()
        self.cursor = -1
        self._places: list[int] = []

    @property
    def row(self) -> Row | None:
        """The row at the cursor."""
        return self.rows[self.cursor] if 0 <= self.cursor < len(self.rows) else None

    @property
    def in_sight(self) -> list[Row]:
        """The rows that stand on the screen now, headings left out."""
        return [self.rows[place] for place in dict.fromkeys(self._places) if place >= 0 and self.rows[place].id]

    def fill(self, rows: Sequence[Row], *, wanted: str | None = None) -> None:
        """Show these rows, the cursor on the one of id `wanted`, or where it was as far as that is possible."""
        keep = self.row.id if self.row else ""
        self.rows = rows
        self.cursor = first_choice(rows, keep if wanted is None else wanted)
        self.redraw()

    def redraw(self) -> None:
        """Draw anew, after the rows, the cursor or the size have changed."""
        lines, self._places = row_lines(
            self.rows, self.cursor, width=self.size.width, height=self.size.height, shapes=self.shapes
        )
        self.show(lines)

    def on_resize(self) -> None:
        self.redraw()

    def action_move(self, by: int) -> None:
        """Move the cursor."""
        cursor = step_cursor(self.rows, self.cursor, by)
        if cursor != self.cursor:
            self.cursor = cursor
            self.redraw()
            self.post_message(self.Moved(self.row))

    def on_key(self, event: events.Key) -> None:
        if event.key not in CHOOSING or self.row is None:
            return
        host = self._host
        press = host.keyboard.of(event)
        if self.marks(self.row):
            if not host.keyboard.marks(press):
                event.stop()
                if not press.held:
                    self.post_message(self.TooSoon())
        elif not press.sure:
            event.stop()
            host.doubt(press, lambda: self._choose_late(press))

    def _choose_late(self, press: Press) -> None:
        """Choose the row at the cursor, unless the one that was ticked before has led to one that answers or closes."""
        if self.row is not None and self.marks(self.row) and not self._host.keyboard.marks(press):
            self.post_message(self.TooSoon())
        else:
            self.action_choose()

    @property
    def _host(self) -> BenchApp:
        from benchtui.ui.app import BenchApp

        assert isinstance(self.app, BenchApp)
        return self.app

    def action_choose(self) -> None:
        """Choose the row at the cursor."""
        if self.row is not None:
            self.post_message(self.Chosen(self.row))

    async def on_click(self, event: events.Click) -> None:
        """Choose the row that was clicked."""
        place = self._places[event.y] if 0 <= event.y < len(self._places) else -1
        if place >= 0 and self.rows[place].id:
            event.stop()
            self.cursor = place
            self.redraw()
            self.action_choose()

    def on_mouse_scroll_down(self) -> None:
        self.action_move(1)

    def on_mouse_scroll_up(self) -> None:
        self.action_move(-1)
