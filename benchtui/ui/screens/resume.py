"""The page after a break, before the first step of the job opens again."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding

from benchtui.errors import BenchError
from benchtui.jobs.lists import FROM_TOP, WENT_ON, left_in_the_midst
from benchtui.jobs.serials import same_unit
from benchtui.jobs.standing import numbered
from benchtui.ui.past import around, other_bench
from benchtui.ui.screens.base import BenchScreen, Key
from benchtui.ui.taking_up import take_up
from benchtui.ui.view.head import job_head
from benchtui.ui.view.keys import FIELD, HELP
from benchtui.ui.view.resume import ANSWERS, Return, resume_lines
from benchtui.ui.view.text import rule, window
from benchtui.ui.widgets.prompt import Question

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import timedelta

    from textual.binding import BindingType

    from benchtui.jobs.run import Run
    from benchtui.ui.view.text import Line


class ResumeScreen(BenchScreen[bool]):
    """Leaves with whether the work was taken up."""

    WRITES = True
    MARKING = ("space", "right", "pagedown", "enter", *"tob123456789")

    HELP = (
        "Where the work stands after a break. What was left on, hot or loose has to be answered for, by its number: "
        "still so, or no longer so. Then Space takes the work up."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space,right,pagedown,enter", "take_up", "take the work up", key_display="Space"),
        *(Binding(str(n), f"answer({n})", f"how state {n} is now", show=False) for n in range(1, 10)),
        Binding("t", "list_from_top", "begin a list again from the top that was left in the midst"),
        Binding("o", "list_goes_on", "go on with it where it was left"),
        Binding("b", "look_back", "take the work up, and look at the step that was done last"),
        Binding("down", "scroll(1)", "further down in a long page"),
        Binding("up", "scroll(-1)", "further up"),
        Binding("q,escape", "leave", "not now", key_display="q or Esc"),
        *BenchScreen.COMMON,
    ]

    def __init__(self, run: Run, *, gone: timedelta, identify: bool) -> None:
        super().__init__()
        self.run = run
        self.around = around(run)
        self.gone = gone
        self.identify = identify
        left = run.state.suspended.bench if run.state.suspended else ()
        self._places = {number: place for place, (number, _) in enumerate(numbered(left))}
        """Number of a state, the same as when leaving, to its place among those that were left."""
        self.back = Return(answers=("",) * len(left))
        self.bench = other_bench(run)
        self.list_asked = left_in_the_midst(run.state, gone)
        self.look_at = ""
        """Key of the step that is looked at first once the work is taken up."""
        self._list = ""
        """How a list goes on that was left in the midst, once that was said."""
        self.top = 0
        self._most = 0
        self._serial = ""
        """What was read off the unit, once it was the right one."""
        self._wrong: list[str] = []
        """What was read off others before: it tells that hands were on them."""
        self._refused = False
        """It could not be written down, and that was said."""

    def head(self, width: int) -> list[Line]:
        return job_head(self.run.state, width, self.shapes, around=self.around)

    def body(self, width: int, height: int) -> list[Line]:
        lines = resume_lines(
            self.run.state,
            self.back,
            width=width,
            gone=self.gone,
            shapes=self.shapes,
            conflicts=self.run.conflicts,
            bench=self.bench,
        )
        shown, self._most = window(lines, height, self.top)
        if self._most > self.top:
            shown[-1] = rule(width, mark=self.shapes.rule, title=f"more below: {self.shapes.more} key")
        return shown

    def action_scroll(self, by: int) -> None:
        self.top = min(max(self.top + by, 0), self._most)
        self.redraw()

    def keys(self) -> Sequence[Key]:
        if self.typing:
            return FIELD
        word = "read the serial number" if self.identify else "take the work up"
        numbers = ",".join(map(str, sorted(self._places)))
        answer = (Key(numbers, "answer"),) if numbers else ()
        if self.list_asked and not self._list:
            top = Key("t", "from the top", "list_from_top")
            return (*answer, top, Key("o", "go on", "list_goes_on"), Key("q", "not now", "leave"), HELP)
        back = (Key("b", "the last step", "look_back"),) if self.run.state.done_last else ()
        return (
            Key("space", word, "take_up"),
            *back,
            *answer,
            Key("q", "not now", "leave"),
            Key("?", "keys", "app.help"),
        )

    def action_answer(self, number: int) -> None:
        place = self._places.get(number)
        if place is not None:
            answers = list(self.back.answers)
            answers[place] = ANSWERS[(ANSWERS.index(answers[place]) + 1) % len(ANSWERS)]
            self.back = Return(answers=tuple(answers))
            self.say("")

    def action_list_from_top(self) -> None:
        self._take_list_up(FROM_TOP)

    def action_list_goes_on(self) -> None:
        self._take_list_up(WENT_ON)

    def _take_list_up(self, how: str) -> None:
        if self.list_asked and not self.prompt.asking:
            self._list = how
            self.action_take_up()

    def action_look_back(self) -> None:
        """Where one believes to be is not where one was: the last step is confirmed by Space, or opened again by u."""
        if not self.prompt.asking and self.run.state.done_last:
            self.look_at = self.run.state.done_last
            self.action_take_up()

    def action_take_up(self) -> None:
        if self.prompt.asking:
            return
        if self.list_asked and not self._list:
            self.say("this list was left in the midst: t begins it again, o goes on with it", problem=True)
            return
        if "" in self.back.answers:
            self.say("say how each thing that was left is now, by its number", problem=True)
            return
        if self.identify and not self._serial:
            # Before anything is written: whoever gives up here has not taken the work up.
            self.ask(Question("Serial number, read off the unit:", self._identified))
        else:
            self._take_up()

    def _identified(self, serial: str) -> str:
        if not same_unit(serial, self.run.unit):
            self._wrong.append(serial)
            return f"that is not {self.run.unit}: look again which unit is on the bench"
        self._serial = serial
        self.prompt.close()
        self._take_up()
        return ""

    def _take_up(self) -> None:
        try:
            serials = (*self._wrong, self._serial) if self._serial else ()
            take_up(self.run, self.back.answers, serials, checklist=self._list)
        except BenchError as error:
            if not self._refused and not self.host.store.read_only:
                self._refused = True
                self.say(f"{error}. Space again: look at the steps, mark nothing", problem=True)
                return
            # What cannot be written can be read all the same: the job stays put aside, so no step of it can be marked.
        self.dismiss(True)

    def action_leave(self) -> None:
        self.dismiss(False)
