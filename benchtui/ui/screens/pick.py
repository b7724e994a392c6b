"""Picking one of many: typing narrows the list, Enter takes the row at the cursor."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, Final

from textual import on
from textual.binding import Binding

from benchtui.ui.screens.base import BenchScreen, Key
from benchtui.ui.view.head import plain_head
from benchtui.ui.view.rows import Row, best_match, found, matching
from benchtui.ui.view.text import BLANK, line, plain, width_of, wrap
from benchtui.ui.widgets.pane import Pane
from benchtui.ui.widgets.prompt import Prompt, Question
from benchtui.ui.widgets.rows import Rows

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from textual import events
    from textual.app import ComposeResult
    from textual.binding import BindingType

    from benchtui.ui.view.text import Line


MOST: Final = 5
"""Lines above a list for what its heading has no room for; the rest of the page is the list's."""


class PickScreen(BenchScreen[str]):
    """Leaves with the id of the row, None when nothing was picked.

    Args:
        title: What this is about.
        question: What is asked.
        rows: All rows.
        more: Further rows made from what was typed, such as a number.
        wanted: Id of the row the cursor stands on at first.
        more_last: The further rows stand after those that show what was typed (`ui.view.rows.found`).
    """

    HELP = "Type a few letters of what you look for: only what holds them stays. Enter takes the line at the mark."
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("backspace", "rub_out", "take the last letter back", key_display="Backspace"),
        Binding("escape", "leave", "back", key_display="Esc"),
        Binding("f1", "app.help", "what the keys do", key_display="F1"),
        Binding("f9", "app.emergency", "smoke, smell or shock", key_display="F9"),
    ]

    def __init__(
        self,
        title: str,
        question: str,
        rows: Sequence[Row],
        *,
        more: Callable[[str], Sequence[Row]] | None = None,
        wanted: str = "",
        more_last: bool = False,
    ) -> None:
        super().__init__()
        self.more_last = more_last
        self.about = title
        self.question = question
        self.rows = rows
        self.more = more
        self.wanted = wanted
        self.typed = ""

    def compose_body(self) -> ComposeResult:
        yield Pane(id="about")
        yield Rows(id="rows", shapes=self.shapes)

    def head(self, width: int) -> list[Line]:
        # One that does not fit stands whole above the list, so it is not said here as well with its end cut off.
        fits = width_of(line(self.question)) <= width
        return plain_head(self.about, width, under=self.question if fits else "")

    def keys(self) -> Sequence[Key]:
        return (
            Key("enter", "take this", ""),
            Key("a-z", "narrow down", ""),
            Key("esc", "back", "leave"),
            Key("F1", "keys", "app.help"),
        )

    def redraw(self) -> None:
        super().redraw()
        if self.is_mounted:
            asked = line("looking for: ", (self.typed, "value")) if self.typed else line(("", "quiet"))
            self.query_one("#about", Pane).show([*self._cut_above(), asked])

    def _cut_above(self) -> list[Line]:
        """What the heading has no room for, in full: one decides on it. Never so much that no row is left."""
        width = max(self.size.width, 20)
        head = plain(self._marked_head(width))
        cut = [text for text in (self.about, self.question) if text not in head]
        rows = [row for text in cut for row in wrap(text, width)]
        return rows if len(rows) <= MOST else [*rows[: MOST - 1], line("… (Esc, and its page tells the rest)")]

    def on_mount(self) -> None:
        self._fill(self.wanted)
        self.query_one(Rows).focus()

    def _fill(self, wanted: str | None = None) -> None:
        more = self.more(self.typed) if self.more else ()
        rows = found(self.rows, self.typed, more) if self.more_last else [*more, *matching(self.rows, self.typed)]
        if not any(row.id for row in rows):
            rows = [Row(text=f"nothing here holds {self.typed!r}: Backspace takes letters back")]
        self.query_one(Rows).fill(rows, wanted=wanted)
        self.redraw()

    def on_key(self, event: events.Key) -> None:
        letter = event.character
        if letter and letter.isprintable() and (letter != " " or self.typed):
            event.stop()
            self.typed += letter
            self._fill(best_match(self.rows, self.typed))

    def action_rub_out(self) -> None:
        self.typed = self.typed[:-1]
        self._fill()

    @on(Rows.Chosen)
    def _chosen(self, event: Rows.Chosen) -> None:
        self.dismiss(event.row.id)

    def action_leave(self) -> None:
        self.dismiss(None)


def _anything(_text: str) -> str:
    return ""


class AskScreen(BenchScreen[str]):
    """One question on a page of its own. Leaves with the text, None when it was given up."""

    HELP = "Type the answer; Enter keeps it, Esc goes back."
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", "back", key_display="Esc"),
        Binding("f1", "app.help", "what the keys do", key_display="F1"),
        Binding("f9", "app.emergency", "smoke, smell or shock", key_display="F9"),
    ]

    def __init__(
        self,
        title: str,
        question: str,
        lines: Sequence[Line] = (),
        *,
        needed: str = "",
        check: Callable[[str], str] = _anything,
    ) -> None:
        super().__init__()
        self.about = title
        self.question = question
        self.lines = lines
        self.needed = needed
        """What to say when nothing was typed; empty when that is an answer too."""
        self.check = check
        """What to say against a text; empty when it will do."""

    def compose(self) -> ComposeResult:
        """The field right under the heading, not at the far end of an empty page."""
        yield Pane(id="head")
        yield Prompt(id="prompt")
        yield from self.compose_body()
        yield Pane(id="message")
        yield Pane(id="keys")
        yield Pane(id="small")

    def head(self, width: int) -> list[Line]:
        return plain_head(self.about, width)

    def body(self, width: int, height: int) -> list[Line]:
        if self.about in plain(self._marked_head(self.size.width)):
            return list(self.lines)
        # The heading has no room for its end, and that may be what is decided on.
        return [BLANK, *wrap(self.about, width), BLANK, *self.lines]

    def keys(self) -> Sequence[Key]:
        return (Key("enter", "keep", ""), Key("esc", "back", "leave"))

    def on_mount(self) -> None:
        self.ask(Question(f"{self.question}:", self._answered))

    def _answered(self, text: str) -> str:
        if not text.strip() and self.needed:
            return self.needed
        wrong = self.check(text.strip())
        if wrong:
            return wrong
        self.dismiss(text.strip())
        return ""

    @on(Prompt.Closed)
    def _given_up(self) -> None:
        if self.is_current:
            self.dismiss(None)

    def action_leave(self) -> None:
        self.dismiss(None)
