"""A form of labelled fields, one line each."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.events import Key

from benchtui.ui.view.sums import field_hint, field_label
from benchtui.ui.view.text import cut, line
from benchtui.ui.widgets.field import CleanField
from benchtui.ui.widgets.pane import Pane

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from textual.app import ComposeResult
    from textual.binding import BindingType

    from benchtui.calc.calculator import Input as Entry
    from benchtui.ui.view.shapes import Shapes

LONGEST = 120
"""Characters a field takes; no amount needs more."""


class AmountField(CleanField):
    """A field for one amount. Up and Down go to the next field; in a choice, Space goes through what can be chosen."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("down", "app.focus_next", "next field", show=False),
        Binding("up", "app.focus_previous", "field before", show=False),
        Binding("enter", "app.focus_next", "next field", show=False),
    ]

    def __init__(self, entry: Entry) -> None:
        super().__init__(
            placeholder=field_hint(entry),
            compact=True,
            max_length=LONGEST,
            select_on_focus=False,
            id=f"field-{entry.key}",
        )
        self.entry = entry

    async def _on_key(self, event: Key) -> None:
        # Keys that come in one burst, from a slow line or a paste, all wait in the queue of the field they were sent
        # to: those after a key that leaves the field belong to the next one.
        focused = self.screen.focused
        if focused is not None and focused is not self:
            event.stop()
            event.prevent_default()
            focused.post_message(Key(event.key, event.character))
            return
        if event.key in ("tab", "down", "enter", "shift+tab", "up"):
            event.stop()
            event.prevent_default()
            if event.key in ("shift+tab", "up"):
                self.screen.focus_previous()
            else:
                self.screen.focus_next()
            return
        if event.key == "space" and self.entry.choices:
            event.stop()
            event.prevent_default()
            choices = ("", *self.entry.choices)
            at = choices.index(self.value) if self.value in choices else 0
            self.value = choices[(at + 1) % len(choices)]
            return
        await super()._on_key(event)


class Form(VerticalScroll, can_focus=False):
    """The fields of a calculator. What is typed stays as typed, whatever is wrong with it.

    The labels are one widget and the fields stand bare beside it: the fewer widgets, the sooner a key is answered.
    """

    def __init__(self, entries: Sequence[Entry], *, label: int, shapes: Shapes, id: str | None = None) -> None:
        super().__init__(id=id)
        self.entries = entries
        self.label = label
        self.shapes = shapes

    def compose(self) -> ComposeResult:
        with Horizontal(id="pairs"):
            yield Pane(id="labels")
            with Vertical(id="amounts"):
                for entry in self.entries:
                    yield AmountField(entry)

    def on_mount(self) -> None:
        self.query_one("#labels", Pane).styles.width = self.label
        self.mark("")

    @property
    def texts(self) -> dict[str, str]:
        """What is typed, by key."""
        return {field.entry.key: field.value for field in self.query(AmountField)}

    def fill(self, texts: Mapping[str, str]) -> None:
        """Put texts into the fields."""
        for field in self.query(AmountField):
            field.value = texts.get(field.entry.key, "")

    def mark(self, wrong: str) -> None:
        """Mark the field of that key as wrong; with an empty key, none."""
        rows = []
        for entry in self.entries:
            role = "problem" if entry.key == wrong else "strong" if entry.required else ""
            shape = f"{self.shapes.failed} " if entry.key == wrong else ""
            rows.append(cut(line((f"{shape}{field_label(entry)}", role)), self.label - 1))
        self.query_one("#labels", Pane).show(rows)
