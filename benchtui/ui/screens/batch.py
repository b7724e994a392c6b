"""A pass over a batch: one step for all units, one event a unit; a unit that is held drops out until it is free."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding

from benchtui.errors import BenchError
from benchtui.ui.screens.base import Key
from benchtui.ui.screens.cautious import CautiousScreen
from benchtui.ui.screens.pages import TextPage
from benchtui.ui.view import batch as view
from benchtui.ui.view.cautions import in_order
from benchtui.ui.view.head import plain_head
from benchtui.ui.view.keys import FIELD, HELP
from benchtui.ui.view.step import Sight, step_page
from benchtui.ui.view.text import line
from benchtui.ui.widgets.prompt import Question
from benchtui.ui.work import Work

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from textual.binding import BindingType

    from benchtui.jobs.plan import Caution, PlanStep
    from benchtui.jobs.run import Run
    from benchtui.jobs.run_batch import Batch
    from benchtui.ui.view.text import Line
    from benchtui.ui.work import Reply


class BatchScreen(CautiousScreen[None]):
    """One procedure over the units of a batch."""

    HELP = (
        "One step for every unit, then the next. Space marks it done for all of them, one entry a unit. Readings and "
        "answers are asked for unit by unit. A unit that is held drops out. m shows who is where, v the readings."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space,right,pagedown", "go_on", "done for all units, and on", key_display="Space, → or PgDn"),
        CautiousScreen.ACKNOWLEDGE,
        Binding("h", "hold", "hold one unit: it drops out"),
        Binding("m", "matrix", "units against stages"),
        Binding("v", "spread", "how the readings spread"),
        Binding("q,escape", "leave", "put the batch aside", key_display="q or Esc"),
        *CautiousScreen.COMMON,
    ]

    def __init__(self, batch: Batch, procedure: str, title: str) -> None:
        super().__init__()
        self.group = batch
        self.procedure = procedure
        self.about = title
        self._read: set[str] = set()
        """Digests of the cautions read at the step in hand, before they are written for every unit."""
        self._step = ""
        self._asked = ""
        """Key of the step that units are asked about one after the other."""

    @property
    def step(self) -> PlanStep | None:
        """The step in hand."""
        return self.group.current()

    @property
    def lead(self) -> Run:
        """The job of the first unit that has the step to do; what is shown is taken from it."""
        step = self.step
        assert step is not None
        return self.group.runs()[self.group.at(step.key)[0]]

    @property
    def unread(self) -> list[Caution]:
        """Cautions of the step that were not read on this screen yet."""
        step = self.step
        found = in_order(self.lead.state.unread(step.key)) if step else []
        return [caution for caution in found if caution.digest not in self._read]

    def head(self, width: int) -> list[Line]:
        step = self.step
        of = len(self.lead.plan) if step else 0
        place = f"step {step.number} of {of}" if step else "all steps passed"
        return plain_head(f"Batch {self.group.name}: {self.about}", width, under="one step for all", right=place)

    def body(self, width: int, height: int) -> list[Line]:
        step = self.step
        if step is None:
            return [view.sums_line(self.group.sums(), width), line("Every step was gone through on every unit here.")]
        top = view.units_line(self.group.at(step.key), self.group.left_out(), width)
        sight = Sight(key=step.key, armed=self.gate.open())
        page = step_page(self.lead.state, sight, width=width, height=max(height - len(top), 1), shapes=self.shapes)
        return [*top, *page.lines]

    def keys(self) -> Sequence[Key]:
        if self.typing:
            return FIELD
        if self.step is not None and self.unread:
            read = (Key("a", "I have read this", "acknowledge"),) if self.gate.open() else ()
            return (*read, HELP)
        return (
            Key("space", "done for all", "go_on"),
            Key("h", "hold a unit", "hold"),
            Key("m", "who is where", "matrix"),
            Key("v", "readings", "spread"),
            HELP,
        )

    def on_mount(self) -> None:
        self._settle("")

    @property
    def caution(self) -> Caution | None:
        return next(iter(self.unread), None)

    def caution_read(self, caution: Caution) -> None:
        step = self.step
        assert step is not None
        try:
            for unit in self.group.at(step.key):
                run = self.group.runs()[unit]
                if any(each.digest == caution.digest for each in run.state.unread(step.key)):
                    run.acknowledge(caution, step=step.key)
        except BenchError as error:
            self._settle(str(error), problem=True)
            return
        self._read.add(caution.digest)
        self._settle("")

    def _settle(self, said: str, *, problem: bool = False) -> None:
        step = self.step
        if step is not None and step.key != self._step:
            self._step, self._read = step.key, set()
        self.mind_caution()
        self.say(said, problem=problem)

    def action_go_on(self) -> None:
        step = self.step
        if self.prompt.asking or step is None:
            return
        if self.unread:
            self.say("read the caution first; a says that you have", problem=True)
        elif step.act in ("do", "observe") and not step.choices:
            try:
                units = self.group.done(step.key)
            except BenchError as error:
                self._settle(str(error), problem=True)
                return
            self._settle(f"done for {len(units)}")
        else:
            self._one_by_one(step)

    def _one_by_one(self, step: PlanStep) -> None:
        """Ask for what a step needs of each unit: a reading, an answer, a signature, a wait."""
        units = self.group.at(step.key)
        if not units:
            self._settle("")
            return
        work = Work(self.group.runs()[units[0]])
        work.look(step.key)
        if step.limits:
            self._ask(f"{units[0]}, {step.limits.text}", work.reading)
        elif step.choices:
            answers = ", ".join(f"{number} {choice.text}" for number, choice in enumerate(step.choices, 1))
            self._ask(f"{units[0]}, {answers}", lambda typed: work.choose(int(typed) if typed.isdigit() else 0))
        elif step.act == "sign":
            self._ask(f"{units[0]}, signed by", work.sign)
        else:
            reply = work.go_on()
            self._settle(reply.text or "go through this one unit by unit, from the bench", problem=reply.problem)

    def _ask(self, label: str, act: Callable[[str], Reply]) -> None:
        def answer(typed: str) -> str:
            reply = act(typed)
            if reply.problem and not reply.ask:
                self.prompt.close()
                self._settle(reply.text, problem=True)
                return ""
            if reply.problem or reply.ask:
                return reply.text or "take this unit in hand from the bench"
            self.prompt.close()
            step = self.step
            self._settle(reply.text)
            if step is not None and step.key == self._asked:
                self._one_by_one(step)
            return ""

        self._asked = self._step
        self.ask(Question(f"{label}:", answer))

    def action_hold(self) -> None:
        self.ask(Question("Hold which unit, and why (HCD-003-K scratched):", self._hold))

    def _hold(self, typed: str) -> str:
        unit, _, why = typed.strip().partition(" ")
        found = next((each for each in self.group.units if each.startswith(unit.upper())), "")
        if not found or not unit:
            return f"no unit of this batch is called {unit!r}"
        try:
            self.host.units.set_state(found, "held", reason=why)
        except BenchError as error:
            return str(error)
        self.prompt.close()
        self._settle(f"{found} is held and drops out")
        return ""

    def action_matrix(self) -> None:
        cells, sums = self.group.matrix(self.procedure), self.group.sums()
        self.app.push_screen(
            TextPage(
                f"Batch {self.group.name}",
                lambda width: [view.sums_line(sums, width), *view.matrix_lines(cells, width, self.shapes)],
            )
        )

    def action_spread(self) -> None:
        spreads = self.group.spread(self.procedure)
        title = f"Readings of batch {self.group.name}"
        self.app.push_screen(TextPage(title, lambda width: view.spread_lines(spreads, width, self.shapes)))

    def action_leave(self) -> None:
        for run in self.group.runs().values():
            run.suspend()
        self.dismiss(None)
