"""Putting work aside: in one more key, or with the next act and the state of the bench for the one who comes back."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding

from benchtui.errors import BenchError
from benchtui.jobs.events import BenchSaid
from benchtui.jobs.standing import BENCH_STATES, POWER_ON
from benchtui.ui.ends_here import end_here
from benchtui.ui.past import around
from benchtui.ui.screens.base import BenchScreen, Key
from benchtui.ui.view.head import job_head
from benchtui.ui.view.keys import FIELD
from benchtui.ui.view.resume import aside_lines
from benchtui.ui.widgets.prompt import Question

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.binding import BindingType

    from benchtui.jobs.run import Run
    from benchtui.ui.view.text import Line


class AsideScreen(BenchScreen[bool]):
    """Leaves with whether the work was put aside."""

    WRITES = True
    MARKING = tuple("123456789")  # held, it would take back that the iron is hot

    HELP = (
        "Everything is kept already; q leaves at once. What you mean to do next, and what is left on, hot or loose, is "
        "what one forgets over a break: a number marks it, n types the next act. What was marked stays in the heading "
        "of every step until its mark is taken off here; Esc goes back to the step with it. e ends the work for good: "
        "it was begun by mistake, or it ends here with something open."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("q,space,enter", "leave", "put it aside", key_display="q or Space"),
        Binding("n", "next", "type what you will do next"),
        *(Binding(str(n), f"mark({n - 1})", what) for n, what in enumerate(BENCH_STATES, 1)),
        *(Binding(str(n), f"mark({n - 1})", "one more", show=False) for n in range(len(BENCH_STATES) + 1, 10)),
        Binding("e", "end", "it was begun by mistake, or it ends here"),
        Binding("escape,left", "stay", "stay at the work", key_display="Esc or ←"),
        *BenchScreen.COMMON,
    ]

    def __init__(self, run: Run, *, others: bool = False) -> None:
        super().__init__()
        self.run = run
        self.others = others
        """Other units are put aside with it."""
        self.around = around(run)
        self.next_act = ""
        self._refused = False
        """It could not be written down, and that was said."""
        # What was said before and not taken back comes marked: nobody forgets it by leaving in one key.
        self.states = (*BENCH_STATES, *(what for what in run.state.left if what not in BENCH_STATES))[:9]
        self.bench = {*run.state.left} | ({POWER_ON} if "power-on" in run.state.standing else set())
        self._found = frozenset(self.bench)
        """What was marked when the page came."""

    def head(self, width: int) -> list[Line]:
        return job_head(self.run.state, width, self.shapes, around=self.around)

    def body(self, width: int, height: int) -> list[Line]:
        return aside_lines(
            self.next_act, self.bench, width=width, shapes=self.shapes, states=self.states, ends=not self.others
        )

    def keys(self) -> Sequence[Key]:
        if self.typing:
            return FIELD
        return (
            Key("q", "put it aside", "leave"),
            Key("n", "say what is next", "next"),
            Key(f"1-{len(self.states)}", "mark"),
            Key("esc", "stay", "stay"),
            Key("?", "keys", "app.help"),
        )

    def action_mark(self, number: int) -> None:
        if number < len(self.states):
            self.bench ^= {self.states[number]}
            self.redraw()

    def action_next(self) -> None:
        self.ask(Question("Next I will:", self._next_named, value=self.next_act))

    def _next_named(self, text: str) -> str:
        self.next_act = text.strip()
        self.redraw()
        return ""

    def action_end(self) -> None:
        if self.others:
            self.say("t at the step takes one unit in hand: q and then e end its work", problem=True)
        elif not self.prompt.asking:
            self.host.go(self._end())

    async def _end(self) -> None:
        if await end_here(self.host, self.run.job):
            self.dismiss(True)

    def action_leave(self) -> None:
        if self.prompt.asking:
            return
        try:
            self.run.suspend(next_act=self.next_act, bench=self._marked)
        except BenchError as error:
            if not self._refused and not self.host.store.read_only:
                # Nobody is kept at a step because the disk is full: the job is then as after a kill.
                self._refused = True
                self.say(f"{error}. q again leaves all the same", problem=True)
                return
        self.dismiss(True)

    @property
    def _marked(self) -> tuple[str, ...]:
        """What is marked, in the order of the page."""
        return tuple(what for what in self.states if what in self.bench)

    def action_stay(self) -> None:
        if self.bench != self._found:  # said all the same: it stands at the step from now on, or no longer
            try:
                self.run.act(BenchSaid(bench=self._marked))
            except BenchError as error:
                if not self._refused:
                    self._refused = True
                    self.say(f"{error}. Esc again goes back all the same", problem=True)
                    return
        self.dismiss(False)
