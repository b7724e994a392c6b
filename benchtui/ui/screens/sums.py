"""One calculator: its fields, and the answer at every key."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding
from textual.containers import Horizontal
from textual.widgets import Input

from benchtui.calc.run import check_typed, run
from benchtui.errors import CalcError
from benchtui.ui import sum_flows
from benchtui.ui.screens.base import BenchScreen, Key
from benchtui.ui.view import sums as view
from benchtui.ui.view.head import plain_head
from benchtui.ui.view.text import line, window, wrap
from benchtui.ui.widgets.form import AmountField, Form
from benchtui.ui.widgets.pane import Pane

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from textual.app import ComposeResult
    from textual.binding import BindingType

    from benchtui.calc.calculator import Calculator
    from benchtui.calc.result import Result
    from benchtui.ui.view.text import Line

LABEL = 22
"""Least cells of the labels before the fields, so that most calculators look alike."""


class SumScreen(BenchScreen[None]):
    """A calculator.

    Args:
        calculator: From the catalogue.
        texts: What stands in the fields at first.
    """

    HELP = (
        "Type amounts as you would say them: 4k7, 5 V ±5 %, 24 AWG, 1/4 in. The answer follows at every key. A field "
        "with a question mark may stay empty; 'if empty' says what is taken when nothing is typed."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f2", "copy", "copy the answer"),
        Binding("f3", "keep", "keep the answer on a unit's record"),
        Binding("f4", "working", "how it comes about, with sources"),
        Binding("f5", "past", "sums done before"),
        Binding("f6", "clear", "empty all fields"),
        Binding("pagedown", "scroll(5)", "answer: further down"),
        Binding("pageup", "scroll(-5)", "answer: further up"),
        Binding("escape", "leave", "back", key_display="Esc"),
        Binding("f1", "app.help", "what the keys do", key_display="F1"),
        Binding("f9", "app.emergency", "smoke, smell or shock", key_display="F9"),
    ]

    def __init__(self, calculator: Calculator, texts: Mapping[str, str] | None = None) -> None:
        super().__init__()
        self.calculator = calculator
        self.texts = dict(texts or {})
        self.result: Result | None = None
        self.problem = ""
        """What is wrong with what was typed, in one sentence."""
        self.untouched = True
        """Nothing is typed yet: nothing can be wrong."""
        self.working = False
        self.top = 0
        self._most = 0
        self.label = max(LABEL, view.label_width(calculator))

    def compose_body(self) -> ComposeResult:
        with Horizontal(id="form"):
            yield Form(self.calculator.inputs, label=self.label, shapes=self.shapes, id="fields")
            yield Pane(id="answer")

    def head(self, width: int) -> list[Line]:
        return plain_head(self.calculator.title, width, under=self.calculator.summary)

    def keys(self) -> Sequence[Key]:
        return (
            Key("F2", "copy", "copy"),
            Key("F3", "keep", "keep"),
            Key("F4", "hide working" if self.working else "working", "working"),
            Key("esc", "back", "leave"),
            Key("F1", "keys", "app.help"),
        )

    def on_mount(self) -> None:
        form = self.query_one(Form)
        form.fill(self.texts)
        self.set_focus(next(iter(form.query(Input)), None))
        self._work_out()

    @on(Input.Changed)
    def _changed(self, event: Input.Changed) -> None:
        event.stop()
        self.top = 0
        self._work_out()

    def _work_out(self) -> None:
        """Ask the calculator and show what it says."""
        form = self.query_one(Form)
        self.texts = form.texts
        self.result = None
        key, self.problem = "", ""
        self.untouched = not any(text.strip() for text in self.texts.values())
        if not self.untouched:
            try:
                check_typed(self.calculator, self.texts)
                if not view.still_needed(self.calculator, self.texts):
                    self.result = run(self.calculator, self.texts)
            except CalcError as error:
                key, self.problem = error.key, view.problem_text(error)
        form.mark(key)
        focused = self.focused
        self._said = (view.field_help(focused.entry) if isinstance(focused, AmountField) else "", "quiet")
        self.redraw()

    def on_descendant_focus(self) -> None:
        self._work_out()

    def redraw(self) -> None:
        super().redraw()
        if not self.is_mounted or not self.size.width:
            return
        pane = self.pane("answer")
        if pane is None:
            return
        # Labels and fields together at 80 columns; wider windows give a third of what is more to the fields.
        width = max((self.size.width - 80) * 2 // 3 + 80 - self.label - view.FIELD, 30)
        if pane.size.width != width:
            pane.styles.width = width
        height = self.room[2]
        if self.problem:
            lines = wrap(self.problem, width - 3, role="problem")
        elif self.result is None:
            needed = view.still_needed(self.calculator, self.texts)
            lines = view.waiting_lines(self.calculator, needed, width - 3)
        elif self.working:
            lines = view.working_lines(self.calculator, self.result, width - 3)
        else:
            lines = view.result_lines(self.result, width=width - 3, shapes=self.shapes)
        shown, self._most = window(lines, height, self.top)
        if self._most > self.top:
            shown[-1] = line(("more: PgDn", "title"))
        pane.show(shown)

    def action_scroll(self, by: int) -> None:
        self.top = min(max(self.top + by, 0), self._most)
        self.redraw()

    def action_working(self) -> None:
        self.working = not self.working
        self.top = 0
        self.redraw()

    def action_clear(self) -> None:
        form = self.query_one(Form)
        form.fill({})
        self.set_focus(next(iter(form.query(Input)), None))

    def action_copy(self) -> None:
        if self.result is None:
            self.say("there is no answer to copy yet", problem=True)
            return
        self.app.copy_to_clipboard(view.result_text(self.calculator, self.result, self.shapes))
        self.say("copied, where this terminal lets programs copy")

    def action_keep(self) -> None:
        if self.result is None:
            self.say("there is no answer to keep yet", problem=True)
        else:
            self.host.go(sum_flows.keep_sum(self.host, self.calculator, self.result))

    def action_past(self) -> None:
        self.host.go(sum_flows.past_sums(self.host))

    def action_leave(self) -> None:
        self.dismiss(None)

    def on_unmount(self) -> None:
        # However the screen is left, the whole program included.
        if self.result is not None:
            self.host.sums_done.add(self.calculator.name, self.texts)
