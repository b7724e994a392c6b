"""One line that asks for a text and stays out of the way otherwise, so that the step is in sight while one types."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar, Final

from textual import on
from textual.binding import Binding
from textual.containers import Horizontal
from textual.events import Key
from textual.message import Message
from textual.widgets import Input

from benchtui.ui.view.text import line, width_of, wrap
from benchtui.ui.widgets.field import CleanField
from benchtui.ui.widgets.pane import Pane

if TYPE_CHECKING:
    from collections.abc import Callable

    from textual import events
    from textual.app import ComposeResult
    from textual.binding import BindingType
    from textual.widget import Widget


LEAST: Final = 24
"""Cells that the field has at least beside its question: a few words, or a reading with its unit."""


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked for."""

    label: str
    answer: Callable[[str], str]
    """Takes what was typed; returns what is wrong with it, or nothing when it was taken."""
    unit: str = ""
    """Shown behind the field: the unit a bare number is taken in."""
    value: str = ""
    """What stands in the field at first. Never an expected reading."""


class Field(CleanField):
    """The field of the prompt; Escape leaves it."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "leave", "leave the field", show=False)]

    class Left(Message):
        """Escape was pressed in the field."""

    def action_leave(self) -> None:
        """Give the question up."""
        self.post_message(self.Left())


class Prompt(Horizontal):
    """The line; hidden while nothing is asked."""

    class Closed(Message):
        """The question was answered, or given up."""

        def __init__(self, *, given_up: bool = False) -> None:
            super().__init__()
            self.given_up = given_up

    class Refused(Message):
        """What was typed was not taken; `problem` says why."""

        def __init__(self, problem: str) -> None:
            super().__init__()
            self.problem = problem

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.question: Question | None = None
        self.lines = 1
        """Lines that the question takes."""
        self._before: Widget | None = None
        """What had the keyboard before."""
        self.display = False

    def compose(self) -> ComposeResult:
        yield Pane(id="prompt-label")
        yield Field(compact=True, max_length=400, id="prompt-field", select_on_focus=False)
        yield Pane(id="prompt-unit")

    @property
    def asking(self) -> bool:
        """Whether a question is open."""
        return self.question is not None

    @property
    def field(self) -> Input:
        """The field itself."""
        return self.query_one("#prompt-field", Input)

    def ask(self, question: Question) -> None:
        """Open a question; an open one is given up."""
        if self.question is None:
            self._before = self.screen.focused
        self.question = question
        self._lay_out(question)
        self.field.value = question.value
        self.field.cursor_position = len(question.value)
        self.display = True
        # At once, and not after the next refresh as `focus` would: keys typed in a burst belong to the field.
        self.screen.set_focus(self.field)

    def _lay_out(self, question: Question) -> None:
        """Put the label before the field; one that would leave the field no room goes over several lines."""
        unit = line(" ", question.unit) if question.unit else ()
        room = max(self.screen.size.width - width_of(unit) - LEAST, LEAST)
        rows = wrap(question.label, room, role="strong")
        self.lines = len(rows)
        for name, shown in (("#prompt-label", rows), ("#prompt-unit", [unit])):
            pane = self.query_one(name, Pane)
            pane.styles.width = max(width_of(row) for row in shown) + (1 if name == "#prompt-label" else 0)
            pane.styles.height = len(shown)
            pane.show(list(shown))
        self.styles.height = self.lines

    def on_resize(self) -> None:
        """The window has another width now."""
        if self.question is not None:
            self._lay_out(self.question)

    def take_over(self, event: events.Key) -> bool:
        """Give the field a key that was typed before it had the keyboard; whether it took it."""
        if not self.asking or event.character is None or not event.is_printable:
            return False
        event.stop()
        self.field.insert_text_at_cursor(event.character)
        return True

    def close(self, *, given_up: bool = False) -> None:
        """Take the question away."""
        if self.question is not None:
            self.question = None
            self.display = False
            self.screen.set_focus(self._before)
            self.post_message(self.Closed(given_up=given_up))

    @on(Input.Submitted, "#prompt-field")
    def _submitted(self, event: Input.Submitted) -> None:
        event.stop()
        question = self.question
        if question is None:
            return
        # What was typed after Enter, before it could be answered, belongs to what comes next: a reading that lost its
        # first digit would still look like one.
        whole = self.field.value
        ahead = whole[len(event.value) :] if whole.startswith(event.value) else ""
        problem = question.answer(event.value)
        if problem:
            # What was wrong is selected, so that the next key replaces it instead of standing behind it.
            self.field.action_select_all()
            self.post_message(self.Refused(problem))
            return
        if self.question is question:  # the answer may have led to another question
            self.close()
        if self.asking:
            self.field.value += ahead
            self.field.cursor_position = len(self.field.value)
        else:
            for letter in ahead:
                self.screen.post_message(Key("space" if letter == " " else letter, letter))

    @on(Field.Left)
    def _left(self, event: Field.Left) -> None:
        event.stop()
        self.close(given_up=True)
