"""What to carry on a tour: the tour in a few fields, and the kit at every key."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding
from textual.containers import Horizontal
from textual.widgets import Input

from benchtui.errors import CalcError
from benchtui.faults.spares_told import INPUTS, kit_for, still_needed, wish_of
from benchtui.ui.screens.base import BenchScreen, Key
from benchtui.ui.view.head import plain_head
from benchtui.ui.view.spares import kit_lines, source_lines, waiting_lines
from benchtui.ui.view.sums import FIELD, field_help, problem_text
from benchtui.ui.view.text import line, plain, window, wrap
from benchtui.ui.widgets.form import AmountField, Form
from benchtui.ui.widgets.pane import Pane

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.app import ComposeResult
    from textual.binding import BindingType

    from benchtui.design.model import Design
    from benchtui.faults.model import FaultModel
    from benchtui.ui.view.text import Line

LABEL = 16
"""Cells of the labels before the fields."""


class SparesScreen(BenchScreen[None]):
    """A spares kit for a tour with a design.

    Args:
        design: What travels.
        model: Fault model with the rates of its parts.
    """

    HELP = (
        "Type how many shows the tour has; the kit follows at every key. Limit its mass, or give prices and limit the "
        "money. A field with a question mark may stay empty; 'if empty' says what is taken when nothing is typed."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f2", "copy", "copy the list"),
        Binding("f4", "sources", "where the figures are from"),
        Binding("pagedown", "scroll(5)", "list: further down"),
        Binding("pageup", "scroll(-5)", "list: further up"),
        Binding("escape", "leave", "back", key_display="Esc"),
        Binding("f1", "app.help", "what the keys do", key_display="F1"),
        Binding("f9", "app.emergency", "smoke, smell or shock", key_display="F9"),
    ]

    def __init__(self, design: Design, model: FaultModel) -> None:
        super().__init__()
        self.design = design
        self.model = model
        self.sources = False
        self.top = 0
        self._most = 0

    def compose_body(self) -> ComposeResult:
        with Horizontal(id="form"):
            yield Form(INPUTS, label=LABEL, shapes=self.shapes, id="fields")
            yield Pane(id="answer")

    def head(self, width: int) -> list[Line]:
        return plain_head(f"{self.design.title}: spares for a tour", width, under="What to carry, and how sure it is.")

    def keys(self) -> Sequence[Key]:
        return (
            Key("F2", "copy", "copy"),
            Key("F4", "the list" if self.sources else "sources", "sources"),
            Key("esc", "back", "leave"),
            Key("F1", "keys", "app.help"),
        )

    def on_mount(self) -> None:
        self.set_focus(next(iter(self.query_one(Form).query(Input)), None))

    @on(Input.Changed)
    def _changed(self, event: Input.Changed) -> None:
        event.stop()
        self.top = 0
        self._explain()

    def on_descendant_focus(self) -> None:
        self._explain()

    def _explain(self) -> None:
        """Say what belongs in the field the cursor is in, and draw anew."""
        focused = self.focused
        self._said = (field_help(focused.entry) if isinstance(focused, AmountField) else "", "quiet")
        self.redraw()

    def answer(self, width: int) -> list[Line]:
        """The kit, what is wrong, or what is still to be typed; marks the field at fault."""
        form = self.query_one(Form)
        form.mark("")
        texts = form.texts
        needed = still_needed(texts)
        if needed:
            return waiting_lines(needed, width)
        try:
            wish = wish_of(texts)
            found = kit_for(self.design, self.model, wish)
        except CalcError as error:
            form.mark(error.key)
            return wrap(problem_text(error), width, role="problem")
        return source_lines(found, width) if self.sources else kit_lines(found, wish, width)

    def redraw(self) -> None:
        super().redraw()
        pane = self.pane("answer")
        if not self.is_mounted or not self.size.width or pane is None:
            return
        width = max((self.size.width - 80) * 2 // 3 + 80 - LABEL - FIELD, 30)
        if pane.size.width != width:
            pane.styles.width = width
        shown, self._most = window(self.answer(width - 3), self.room[2], self.top)
        if self._most > self.top:
            shown[-1] = line(("more: PgDn", "title"))
        pane.show(shown)

    def action_scroll(self, by: int) -> None:
        self.top = min(max(self.top + by, 0), self._most)
        self.redraw()

    def action_sources(self) -> None:
        self.sources = not self.sources
        self.top = 0
        self.redraw()

    def action_copy(self) -> None:
        if still_needed(self.query_one(Form).texts):
            self.say("there is no list to copy yet", problem=True)
            return
        self.app.copy_to_clipboard(plain(self.answer(76)))
        self.say("copied, where this terminal lets programs copy")

    def action_leave(self) -> None:
        self.dismiss(None)
