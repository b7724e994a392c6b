"""Putting work aside: in one more key, or with the next act and the state of the bench for the one who comes back."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding

from benchtui.errors import BenchError
from benchtui.ui.screens.base import BenchScreen, Key
from benchtui.ui.view.head import job_head
from benchtui.ui.view.keys import FIELD
from benchtui.ui.view.resume import BENCH_STATES, aside_lines
from benchtui.ui.widgets.prompt import Question

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.binding import BindingType

    from benchtui.jobs.run import Run
    from benchtui.ui.view.text import Line


class AsideScreen(BenchScreen[bool]):
    """Leaves with whether the work was put aside."""

    WRITES = True
    MARKING = ("1", "2", "3", "4")  # held, it would take back that the iron is hot

    HELP = (
        "Everything is kept already; q leaves at once. What you mean to do next, and what is left on, hot or loose, is "
        "what one forgets over a break: a number marks it, n types the next act."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("q,space,enter", "leave", "put it aside", key_display="q or Space"),
        Binding("n", "next", "type what you will do next"),
        *(Binding(str(n), f"mark({n - 1})", what) for n, what in enumerate(BENCH_STATES, 1)),
        Binding("escape,left", "stay", "stay at the work", key_display="Esc or ←"),
        *BenchScreen.COMMON,
    ]

    def __init__(self, run: Run) -> None:
        super().__init__()
        self.run = run
        self.next_act = ""
        self._refused = False
        """It could not be written down, and that was said."""
        self.bench = {"power on"} if "power-on" in run.state.standing else set()

    def head(self, width: int) -> list[Line]:
        return job_head(self.run.state, width, self.shapes)

    def body(self, width: int, height: int) -> list[Line]:
        return aside_lines(self.next_act, self.bench, width=width, shapes=self.shapes)

    def keys(self) -> Sequence[Key]:
        if self.typing:
            return FIELD
        return (
            Key("q", "put it aside", "leave"),
            Key("n", "say what is next", "next"),
            Key(f"1-{len(BENCH_STATES)}", "mark"),
            Key("esc", "stay", "stay"),
            Key("?", "keys", "app.help"),
        )

    def action_mark(self, number: int) -> None:
        self.bench ^= {BENCH_STATES[number]}
        self.redraw()

    def action_next(self) -> None:
        self.ask(Question("Next I will:", self._next_named, value=self.next_act))

    def _next_named(self, text: str) -> str:
        self.next_act = text.strip()
        self.redraw()
        return ""

    def action_leave(self) -> None:
        if self.prompt.asking:
            return
        try:
            self.run.suspend(next_act=self.next_act, bench=[what for what in BENCH_STATES if what in self.bench])
        except BenchError as error:
            if not self._refused and not self.host.store.read_only:
                # Nobody is kept at a step because the disk is full: the job is then as after a kill.
                self._refused = True
                self.say(f"{error}. q again leaves all the same", problem=True)
                return
        self.dismiss(True)

    def action_stay(self) -> None:
        self.dismiss(False)
