"""The page at the end of a job: what to see to, tools counted back in, what is open, and the decision to close."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding

from benchtui.errors import BenchError
from benchtui.jobs import events as ev
from benchtui.jobs.kit import lacking
from benchtui.ui.closing import hand_on, staying
from benchtui.ui.past import around
from benchtui.ui.screens.base import BenchScreen, Key
from benchtui.ui.trouble import told
from benchtui.ui.view.before import end_rows, heading_of, next_tick
from benchtui.ui.view.head import job_head
from benchtui.ui.view.owed import owed_rows
from benchtui.ui.widgets.prompt import Question
from benchtui.ui.widgets.rows import Rows

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from textual.app import ComposeResult
    from textual.binding import BindingType

    from benchtui.jobs.jobstate import OpenItem
    from benchtui.jobs.run import Run
    from benchtui.ui.view.rows import Row
    from benchtui.ui.view.text import Line


class EndScreen(BenchScreen[str]):
    """Leaves with how the job was closed; empty when it was not."""

    WRITES = True
    MARKING = ("t",)

    HELP = (
        "Every step was gone through. Tick what has to be seen to and count the tools back in; what is still open is "
        "listed. t names the tools that are still out, and pressed again counts all of them back in. A job with "
        "something open is closed only by a decision, which is kept with it."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("t", "all_back", "all the tools are back"),
        Binding("left,pageup,q,escape", "leave", "back to the steps", key_display="←, q or Esc"),
        *BenchScreen.COMMON,
    ]

    def __init__(self, run: Run) -> None:
        super().__init__()
        self.run = run
        self.around = around(run)
        self.ticked: frozenset[int] = frozenset()
        self.stay: Mapping[str, str] = {}
        """Tools that stay in use for the work this job was called from, to its title."""
        self._owed: list[Row] | None = None
        """What the unit owes besides: worked out over all its jobs, so once, and not at each line that is ticked."""
        self._named: tuple[str, ...] = ()
        """Tools that were named when t was pressed last: only those are counted back in by the next t."""

    def compose_body(self) -> ComposeResult:
        # Tools and lines are ticked as fast as one can look; what is decided and closed is not.
        yield Rows(id="rows", shapes=self.host.shapes, marks=lambda row: not row.id.startswith(("back:", "after:")))

    def head(self, width: int) -> list[Line]:
        return job_head(self.run.state, width, self.shapes, around=self.around)

    def keys(self) -> Sequence[Key]:
        if self.typing:
            return (Key("enter", "close the job", ""), Key("esc", "leave the field", ""))
        tools = (Key("t", "all tools are back", "all_back"),) if len(self._out) > 1 else ()
        back = Key("←", "back to the steps", "leave")
        return (Key("space", "tick, choose", ""), *tools, back, Key("?", "keys", "app.help"))

    @property
    def _out(self) -> tuple[str, ...]:
        """Tools that are to be counted back in here."""
        return tuple(tool for tool in self.run.state.not_back if tool not in self.stay)

    @told
    def on_mount(self) -> None:
        self.stay = staying(self.run)
        self._fill("")
        self.query_one(Rows).focus()

    def _fill(self, wanted: str | None = None) -> None:
        rows = end_rows(self.run.state, self.ticked, self.shapes, stay=self.stay)
        if self._owed is None:
            self._owed = owed_rows(self.host.units.missing(self.run.unit)) if self.run.unit else []
        owed = self._owed
        then = next(place for place, row in enumerate(rows) if row.text == "Then")
        self.query_one(Rows).fill([*rows[:then], *owed, *rows[then:]], wanted=wanted)
        self.redraw()

    @on(Rows.Chosen)
    def _chosen(self, event: Rows.Chosen) -> None:
        heading, _, rest = event.row.id.partition(":")
        if heading == "after":
            self.ticked = self.ticked ^ {int(rest)}
            self._moved()
        elif heading == "back":
            self._count_back(rest)
        elif heading == "open":
            self._open_line([*self.run.state.open_list()][int(rest)])
        elif heading == "return":
            self.action_leave()
        elif heading == "close":
            self._close()

    def _act(self, event: ev.JobEvent) -> str:
        """Write down what was done at a line, and go to the next; a refusal is said and given back."""
        try:
            self.run.act(event)
        except BenchError as error:
            self.say(str(error), problem=True)
            return str(error)
        self._moved()
        return ""

    def _count_back(self, tool: str) -> str:
        return self._act(ev.KitTicked(heading="tools", item=tool, back=True))

    def action_all_back(self) -> None:
        """Name what is still out; the same key again counts it all back in."""
        out = self._out
        if not out:
            self.say("no tool is out")
        elif out != self._named:
            self._named = out
            # The mark goes to the first of them, so that they stand on the page, each whole.
            self._fill(f"back:{out[0]}")
            all_of_them = f"all {len(out)} are back" if len(out) > 1 else "it is back"
            self.say(f"Count them against the list. t again: {all_of_them}; Space ticks one alone")
        else:
            self._named = ()
            for tool in out:
                if self._count_back(tool):  # it was not kept, and that is said
                    return
            self.say("all tools are counted back in")

    def _open_line(self, item: OpenItem) -> None:
        """Deal with a line that is still open: it has turned up, it is counted back; for the rest, say where."""
        if item.not_back:
            self._count_back(item.not_back)
            return
        if item.gone:
            self.ask(Question("It is needed no more, because:", lambda why: self._not_needed(item.gone, why)))
            return
        if item.without not in lacking(self.run.state):
            self.say("← goes back to the steps, where this is put right", problem=True)
            return
        # A tool that has turned up is to be counted back in like the others.
        self._act(ev.KitTicked(heading=heading_of(self.run.plan, item.without), item=item.without))

    def _not_needed(self, key: str, why: str) -> str:
        """A step that had failed, and that the text of the procedure has no more, is decided on."""
        self._owed = None
        return self._act(ev.StepNotApplicable(step=key, reason=why.strip()))

    def _moved(self) -> None:
        # To the next line that waits for a tick, and past the last of them to the one that closes the job.
        self._fill(next_tick(self.run.state, self.ticked, self.query_one(Rows).row, stay=self.stay))

    def _close(self) -> None:
        unticked = [number for number in range(len(self.run.plan.after)) if number not in self.ticked]
        if unticked:
            # The line itself comes on the page: what is asked for stands where it can be read.
            self._fill(f"after:{unticked[0]}")
            more = f", and {len(unticked) - 1} more" if len(unticked) > 1 else ""
            self.say(f"not ticked yet: {self.run.plan.after[unticked[0]]}{more}", problem=True)
            return
        try:
            hand_on(self.run)
        except BenchError as error:
            self.say(str(error), problem=True)
            return
        if self.run.state.open_items():
            self.ask(Question("Close it with this open, because:", self._decide))
        else:
            self._decide("")

    def _decide(self, decision: str) -> str:
        if self.run.state.open_items() and not decision.strip():
            return "say why it is right to close it with something open"
        try:
            self.run.close(decision=decision)
        except BenchError as error:
            self.say(str(error), problem=True)
            return str(error)
        self.dismiss(self.run.state.closed)
        return ""

    def action_leave(self) -> None:
        self.dismiss("")
