"""A pass over a batch: one step for all units, one event a unit; a unit that is held drops out until it is free."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding

from benchtui.errors import BenchError
from benchtui.ui import batches, kept, strap, together
from benchtui.ui.power import POWER_ASKED
from benchtui.ui.reply import refused
from benchtui.ui.screens.batch_view import BatchView
from benchtui.ui.screens.cautious import CautiousScreen
from benchtui.ui.trouble import told
from benchtui.ui.view import signature
from benchtui.ui.why_again import DEFECT_FIRST
from benchtui.ui.widgets.prompt import Question
from benchtui.ui.work import NO_WITNESS, UNREAD, WITNESS_ASKED, Reply, Work, to_go

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from textual import events
    from textual.binding import BindingType

    from benchtui.jobs.plan import Caution, PlanStep
    from benchtui.jobs.run import Run
    from benchtui.jobs.run_batch import Batch


class BatchScreen(BatchView):
    """One procedure over the units of a batch."""

    HELP = (
        "One step for every unit, then the next. Space marks it done for all of them, one entry a unit. Readings and "
        "answers are taken unit by unit: the mark shows whose turn it is, the first digit opens the field or picks the "
        "answer. A unit whose step failed waits, and the others go on: t takes it in hand by itself, to measure again, "
        "write the defect down and put it right. h holds a unit, which drops out, or frees one."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space,right,pagedown", "go_on", "done for all units, and on", key_display="Space, → or PgDn"),
        CautiousScreen.ACKNOWLEDGE,
        Binding("left,pageup", "look(-1)", "look at the step before", key_display="← or PgUp"),
        Binding("full_stop", "look(1)", "look at the step after"),
        Binding("t", "in_hand", "take one unit in hand: defects, rework, a second look"),
        Binding("h", "hold", "hold one unit, which drops out, or free it"),
        Binding("m", "again", "measure again what failed last"),
        Binding("u", "undo", "take the last mark back"),
        Binding("y", "witness", "somebody looks on at a witness point: write the name"),
        Binding("e", "early", "end a wait before its time"),
        Binding("l", "matrix", "who is where: units against stages"),
        Binding("k", "spread", "the readings over the units"),
        Binding("v", "beside", "wiring list, test points, bill"),
        Binding("w", "working", "how the limits come about"),
        Binding("r", "release", "release the units that have nothing missing"),
        Binding("down", "scroll(1)", "further down in a long step"),
        Binding("up", "scroll(-1)", "further up"),
        Binding("escape", "back_out", "leave what is shown; from the step in hand, put the batch aside"),
        Binding("q", "leave", "put the batch aside"),
        *CautiousScreen.COMMON,
    ]

    def __init__(self, batch: Batch, procedure: str, title: str) -> None:
        super().__init__(batch, procedure, title)
        self._override = ""
        """Why a meter past its calibration is used, once said for this pass."""
        self._failed = ""
        """The unit whose reading failed last."""
        self._kept = False
        """What was typed last was kept, though it is a failure."""
        self._rung = ""
        self.strap = strap.Strap(batch.bench)

    @told
    def on_mount(self) -> None:
        self.settle()
        self.set_interval(1.0, self._tick)

    def _tick(self) -> None:
        step = self._now
        if step is None or step.act != "wait" or self.prompt.asking:
            return
        if self.group.left_to_wait(step.key) == 0.0 and self._rung != step.key:
            self._rung = step.key
            self.app.bell()
            self.say("the wait is over: Space goes on")
        self.redraw()

    def caution_read(self, caution: Caution) -> None:
        step = self._now
        assert step is not None
        try:
            together.acknowledge(self.group, step, self._drawn)
        except BenchError as error:
            self.settle(refused(error))
            return
        self.settle()

    @told
    def on_screen_resume(self) -> None:
        self._place()  # a page that was open over this one may have moved a job on, or closed it
        super().on_screen_resume()

    def _place(self) -> None:
        """See which step comes next, and for whom."""
        self._now = self.group.current()
        self._at = self.group.at(self._now.key) if self._now else ()

    def settle(self, reply: Reply | None = None) -> None:
        """After an act: see which step comes next and for whom, and say what came of it."""
        self._place()
        if self._now is not None and self._now.key != self._step:
            self._step, self.top = self._now.key, 0
        self._looked_at, self._again = "", ("", "")
        if self._now is not None and self._now.act not in ("wait", "call") and not self.unread:
            try:
                self.group.begin(self._now.key)
            except BenchError as error:
                reply = refused(error)
        self.mind_caution()
        self.mind_question(f"{self._step} {' '.join(self._at[:1])}")
        self.say(reply.text if reply else "", problem=bool(reply and reply.problem))

    # -- the work --------------------------------------------------------------------------------------------------

    def key_typed(self, event: events.Key, *, fresh: bool) -> None:
        step, letter = self._now, event.character
        if step is None or not letter or self._looked_at or self.unread:
            return
        if step.limits and letter in "0123456789.-+":
            event.stop()
            if self._near:  # the next unit's reading must not be taken for a second one of this unit
                self.say(f"{self._at[0]} is near the limit: Space keeps it, m measures again", problem=True)
            else:
                self._ask_reading(self._at[0], step, letter)
        elif step.choices and letter.isdigit():
            event.stop()
            if fresh and self.answers(self.host.keyboard.of(event)):  # a held key must not answer unit by unit either
                work = Work(self.lead)
                self.settle(self._of_one(work, lambda: work.choose(int(letter))))
            else:
                self.too_early(self.host.keyboard.of(event))

    def action_go_on(self) -> None:
        step = self._now
        if self.prompt.asking:
            return
        if self._looked_at:
            self._looked_at = ""
            self.redraw()
        elif step is None:
            self._end()
        elif self.unread:
            self.say(UNREAD, problem=True)
        elif self.strap.due(step):
            self._ask(strap.ASKED, self.strap.keep)
        elif self._near:
            work = Work(self.lead)
            self.settle(self._of_one(work, work.go_on))
        elif units := together.lacking(self.group, step):
            who = units[0] if len(units) == 1 else f"all {len(units)}"
            self._ask(
                f"{who}: {kept.part_question(step)}",
                lambda typed: together.keep_part(self.group, units, typed, then="Space goes on"),
            )
        elif step.limits:
            self._ask_reading(self._at[0], step, "")
        elif step.choices:
            self.say(f"pick an answer for {self._at[0]}: 1 to {len(step.choices)}", problem=True)
        elif step.act == "sign":
            self._signature(step)
        elif step.act == "call":
            self.host.go(self._call(step))
        elif step.act == "wait":
            self._wait(step)
        else:
            self._for_all(lambda: self.group.done(step.key))

    def _for_all(self, act: Callable[[], Sequence[str]], said: str = "done for {}") -> None:
        try:
            units = act()
        except BenchError as error:
            self.settle(refused(error))
            return
        self.settle(Reply(said.format(together.said_of(units))))

    def _wait(self, step: PlanStep) -> None:
        left = self.group.left_to_wait(step.key)
        if left is None:
            self._for_all(lambda: self.group.start_wait(step.key), "the wait has begun for {}")
        elif left > 0:
            self.say(to_go(left), problem=True)
        else:
            self._for_all(lambda: self.group.end_wait(step.key))

    def _signature(self, step: PlanStep) -> None:
        """Ask who signs; what the signature does not stand for is read first, on a page of its own."""
        beside = {unit: signature.beside(self.group.runs()[unit].state, step.key) for unit in self._at}
        if any(beside.values()):
            self.host.go(self._sign_for(step, beside))
        else:
            self._ask(f"Signed for {len(self._at)} units by", lambda name: self._sign(step, name))

    async def _sign_for(self, step: PlanStep, beside: Mapping[str, str]) -> None:
        name = await batches.who_signs(self.host, self.group, beside)
        if name is not None:
            self.settle(self._sign(step, name))

    def _sign(self, step: PlanStep, name: str) -> Reply:
        if not name.strip():
            return Reply("type who signs", problem=True)
        units = self.group.sign(step.key, name=name.strip(), meaning=lambda run: signature.meaning(run.state, step.key))
        return Reply(f"signed for {len(units)}")

    async def _call(self, step: PlanStep) -> None:
        """Go over the called procedure with all units that are at the step, and come back."""
        called = self.group.call(step.key)
        if called.runs():
            await batches.pass_over(self.host, called, step.call)
        back = self.group.returned(step.key)
        self.settle(Reply(f"back from {self.host.title_of(step.call)} with {len(back)}" if back else ""))

    def _end(self) -> None:
        if self.group.at_the_end():
            self.host.go(self._close())
        else:
            self.say("nothing is left to do for all; t takes one unit in hand, q leaves", problem=True)

    async def _close(self) -> None:
        await batches.close_jobs(self.host, self.group)
        if self.group.called and not self.runs:
            self.dismiss(None)
        else:
            self.settle()

    # -- one unit --------------------------------------------------------------------------------------------------

    def _ask_reading(self, unit: str, step: PlanStep, typed: str) -> None:
        from benchtui.jobs.readings import entry_unit

        if step.limits is None:
            return
        work = Work(self.group.runs()[unit], override=self._override)
        first = work.first_asked
        if first == "strap":
            self._ask(strap.ASKED, self.strap.keep)
            return
        if first == "power":
            self._ask(POWER_ASKED, lambda typed: together.power_off(self.runs, typed))
            return
        elsewhere = self._now is None or step.key != self._now.key
        self._again = (unit, step.key) if elsewhere else ("", "")
        label = f"{unit}, {step.limits.text}"
        self._ask(label, lambda text: self._read_of(work, text), unit=entry_unit(step.limits), value=typed)

    def _read_of(self, work: Work, typed: str) -> Reply:
        reply = self._of_one(work, lambda: work.reading(typed, sure=self.deliberate))
        if reply.ask == "reading":
            self.gate.show()
        return reply

    def _of_one(self, work: Work, act: Callable[[], Reply]) -> Reply:
        """Do something with one unit; ask what it still needs, and name the unit in what came of it."""
        unit, before = work.run.unit, work.state
        reply = act()
        if reply.ask == "why again":
            self._ask(f"{unit}: {work.why_asked}", lambda text: self._of_one(work, lambda: work.reading_again(text)))
        elif reply.ask == "strap":
            self._ask(strap.ASKED, self.strap.keep)
        elif reply.ask == "override":
            self._ask(work.override_asked, lambda text: self._overridden(work, text))
        elif reply.ask == "defect first":
            return Reply(f"{DEFECT_FIRST}: Esc, then t takes {unit} in hand to do so", problem=True)
        elif reply.problem and work.state is not before:  # it was kept, and it is a failure
            again = "m measures again, " if work.step.limits else ""
            self._failed, self._kept = unit, True
            return Reply(f"{unit}: {reply.text.partition(':')[0]}. {again}t takes it in hand", problem=True)
        elif reply.text and not reply.problem:
            return Reply(f"{unit}: {reply.text}")
        return reply

    def _overridden(self, work: Work, why: str) -> Reply:
        reply = self._of_one(work, lambda: work.override(why))
        self._override = work.overridden  # a number is no reason: it is the next reading, typed too early
        return reply

    def _ask(self, label: str, act: Callable[[str], Reply], *, unit: str = "", value: str = "") -> None:
        """Ask for a text; what comes of it is said, or asked about further."""

        def answer(typed: str) -> str:
            question, self._kept = self.prompt.question, False
            try:
                reply = act(typed)
            except BenchError as error:
                return str(error)
            if self.prompt.question is not question:
                return ""  # it led to another question
            if reply.problem and not self._kept:
                return reply.text
            self.prompt.close()
            self.settle(reply)
            return ""

        self.ask(Question(f"{label}:", answer, unit=unit, value=value))

    def action_again(self) -> None:
        waiting = {unit: step for unit, step in self.group.waiting().items() if step.limits}
        if self._now is not None and self._near and not self.unread:
            self._ask_reading(self._at[0], self._now, "")
            return
        if not waiting:
            self.say("no reading has failed here", problem=True)
            return
        unit = self._failed if self._failed in waiting else next(iter(waiting))
        self._ask_reading(unit, waiting[unit], "")

    def action_witness(self) -> None:
        step = self._now
        if step is None or self._looked_at or not step.witness:
            self.say(NO_WITNESS, problem=True)
        else:
            self._ask(WITNESS_ASKED, lambda name: together.witness(self.group, step, name))

    def action_in_hand(self) -> None:
        self.host.go(self._in_hand())

    async def _in_hand(self) -> None:
        await batches.take_in_hand(self.host, self.group)
        self.first = None
        self.settle()

    def action_hold(self) -> None:
        self.host.go(self._hold())

    async def _hold(self) -> None:
        said = await together.hold_or_free(self.host, self.group)
        self.first = None
        self.settle(said)

    # -- other keys ------------------------------------------------------------------------------------------------

    def action_undo(self) -> None:
        try:
            key, units = self.group.take_back()
        except BenchError as error:
            self.settle(refused(error))
            return
        word = f"taken back for {', '.join(units)}" if key else "there is no mark to take back here"
        self.settle(Reply(word, problem=not key))

    def action_early(self) -> None:
        step = self._now
        if step is None or step.act != "wait":
            self.say("nothing is waited for at this step", problem=True)
            return
        self._ask("End the wait, because", lambda why: self._early(step, why))

    def _early(self, step: PlanStep, why: str) -> Reply:
        if not why.strip():
            return Reply("say why it is cut short", problem=True)
        units = self.group.end_wait(step.key, reason=why.strip())
        return Reply(f"ended early for {len(units)}")

    def action_release(self) -> None:
        self.host.go(self._release())

    async def _release(self) -> None:
        said = await batches.release(self.host, self.group)
        self.first = None
        self.settle(Reply(said))

    def action_back_out(self) -> None:
        if self.working or self._looked_at:
            self.working, self._looked_at, self.top = False, "", 0
            self.say("")
        else:
            self.action_leave()

    def action_leave(self) -> None:
        out = self.group.left_out()
        here = [run for run in self.runs if run.unit not in out]
        if here:
            lead = self.lead if self._at else here[0]
            self.host.put_aside(lead, lambda: self._aside(lead), others=len(here) > 1)
            return
        for run in self.runs:  # of units that are held: nothing is being done on them
            run.suspend()
        self.dismiss(None)

    def _aside(self, lead: Run) -> None:
        left = lead.state.suspended
        for run in self.runs:
            if left is not None:
                run.suspend(next_act=left.next_act, bench=left.bench)
        self.dismiss(None)
