"""The page before a job: its conditions are answered and its kit is counted out, one key a line."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding

from benchtui.errors import BenchError
from benchtui.jobs import events as ev
from benchtui.ui.first_units import before_said
from benchtui.ui.gate import READING_TIME
from benchtui.ui.past import around
from benchtui.ui.screens.base import BenchScreen, Key
from benchtui.ui.screens.pages import TextPage
from benchtui.ui.trouble import told
from benchtui.ui.view.before import HEADINGS, about, ahead, before_rows, next_open
from benchtui.ui.view.head import job_head
from benchtui.ui.view.keys import FIELD
from benchtui.ui.view.rows import Row
from benchtui.ui.widgets.pane import Pane
from benchtui.ui.widgets.prompt import Question
from benchtui.ui.widgets.rows import Rows

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual import events
    from textual.app import ComposeResult
    from textual.binding import BindingType

    from benchtui.jobs.run import Run
    from benchtui.ui.view.text import Line


class BeforeScreen(BenchScreen[bool]):
    """Leaves with whether the work may begin."""

    WRITES = True
    MARKING = ("x", "e")

    HELP = (
        "What has to be true and at hand before the first step. Space answers a condition with yes, or ticks an item "
        "as here; t types a state or value instead; x says that an item is missing or that a condition is not so; e "
        "ticks all the kit that is in sight; l lists what the work will ask for."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("t", "value", "answer the condition with a state or value"),
        Binding("x", "missing", "this item is missing, or it is not so"),
        Binding("e", "everything", "all the kit in sight is here"),
        Binding("l", "ahead", "what comes: hold points, readings with their limits, cautions"),
        Binding("q,escape", "leave", "not now", key_display="q or Esc"),
        *BenchScreen.COMMON,
    ]

    def __init__(self, run: Run) -> None:
        super().__init__()
        self.run = run
        self.around = around(run)
        self.first = before_said((run,))
        self._letter = float("-inf")
        """When a letter was pressed last: one that comes right after it belongs to a word, and ticks nothing."""

    def compose_body(self) -> ComposeResult:
        yield Pane(id="about")
        # Kit is ticked as fast as one can look; that a lead is out or a lid shut is answered line by line.
        yield Rows(id="rows", shapes=self.host.shapes, marks=lambda row: row.id.partition(":")[0] not in HEADINGS)

    def head(self, width: int) -> list[Line]:
        return job_head(self.run.state, width, self.shapes, around=self.around)

    def keys(self) -> Sequence[Key]:
        if self.typing:
            return FIELD
        return (
            Key("space", "yes, here"),
            Key("x", "no, missing", "missing"),
            Key("e", "all in sight", "everything"),
            *((Key("t", "a value", "value"),) if self._here()[0] == "condition" else ()),
            Key("?", "keys", "app.help"),
        )

    def redraw(self) -> None:
        super().redraw()
        if self.is_mounted:
            self.query_one("#about", Pane).show(about(self.run.plan, max(self.size.width, 20)))

    @told
    def on_mount(self) -> None:
        self._fill(next_open(self.run.state, None))  # after a break: on with what has no answer yet
        self.query_one(Rows).focus()

    def rows(self) -> list[Row]:
        """The lines of the page, under what is to be known of the first unit of a design."""
        first = [Row(text=self.first)] if self.first else []
        return [*first, *before_rows(self.run.state, self.shapes)]

    def _fill(self, wanted: str | None = None) -> None:
        self.query_one(Rows).fill(self.rows(), wanted=wanted)
        self.redraw()

    def _here(self) -> tuple[str, str]:
        """Heading and text of the line at the cursor."""
        row = self.query_one(Rows).row
        return (row.id.partition(":")[0], row.text) if row else ("", "")

    def _act(self, event: ev.JobEvent, *, on: bool = True) -> str:
        try:
            self.run.act(event)
        except BenchError as error:
            self.say(str(error), problem=True)
            return error.message
        self.say("")
        self._fill(next_open(self.run.state, self.query_one(Rows).row) if on else None)
        return ""

    @on(Rows.Chosen)
    def _chosen(self, event: Rows.Chosen) -> None:
        heading, text = self._here()
        if event.row.id == "begin":
            self._begin()
        elif heading == "condition":
            self._act(ev.ConditionAnswered(condition=text, answer="yes"))
        elif heading in HEADINGS:
            self._act(ev.KitTicked(heading=heading, item=text, found=True))

    def on_key(self, event: events.Key) -> None:
        if self.typing or len(event.key) > 1:
            return
        press = self.host.keyboard.of(event)
        among, self._letter = press.at - self._letter < READING_TIME, press.at
        if among and event.key in self.MARKING:
            event.stop()
            self.say("that key came among others: press it once more by itself", problem=True)

    @on(Rows.Moved)
    def _row_moved(self) -> None:
        self.redraw()  # what the keys do depends on the line

    def action_value(self) -> None:
        heading, text = self._here()
        if heading != "condition":
            self.say("a value is typed only at a line under Is it so; here Space says that it is here", problem=True)
        else:
            answered = lambda typed: self._act(ev.ConditionAnswered(condition=text, answer=typed))  # noqa: E731
            self.ask(Question("State or value:", answered))

    def action_missing(self) -> None:
        heading, text = self._here()
        if heading in HEADINGS:
            self._act(ev.KitTicked(heading=heading, item=text, found=False))
        elif heading == "condition":
            self._act(ev.ConditionAnswered(condition=text, answer=ev.NO))

    def action_everything(self) -> None:
        # Only what can be read on the screen: a line further down was not counted out by looking at this page.
        seen = self.query_one(Rows).in_sight
        for row in seen:
            heading = row.id.partition(":")[0]
            if heading not in HEADINGS or (heading, row.text) in self.run.state.kit:
                continue
            if self._act(ev.KitTicked(heading=heading, item=row.text), on=False):
                return
        self._fill(next_open(self.run.state, seen[-1] if seen else None))

    def action_ahead(self) -> None:
        plan = self.run.plan
        titles = {step.call: self.host.title_of(step.call) for step in plan.steps if step.call}
        self.app.push_screen(TextPage(f"What comes in: {plan.title}", lambda width: ahead(plan, titles, width)))

    def _begin(self) -> None:
        state = self.run.state
        if state.gate:
            self.say(f"answer this first: {state.gate[0]}", problem=True)
        elif state.shortage or state.not_so:
            what = "Begin all the same, because:" if state.not_so else "Begin without it, because:"
            self.ask(Question(what, self._short))
        else:
            self.dismiss(True)

    def _short(self, reason: str) -> str:
        state = self.run.state
        problem = self._act(ev.StartedShort(missing=(*state.shortage, *state.not_so), reason=reason), on=False)
        if not problem:
            self.dismiss(True)
        return problem

    def action_leave(self) -> None:
        self.dismiss(False)
