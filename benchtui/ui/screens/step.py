"""The step screen: one step of a job at a time, what its keys do, and the fields it needs."""

from __future__ import annotations

from contextlib import suppress
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding

from benchtui.errors import BenchError
from benchtui.jobs.steps import Status
from benchtui.ui import flows, strap
from benchtui.ui.kept_places import places
from benchtui.ui.lookups import beside, look_again
from benchtui.ui.power import POWER_ASKED
from benchtui.ui.screens.keeping import KeepingScreen
from benchtui.ui.screens.step_view import StepView
from benchtui.ui.step_search import words_of_parts
from benchtui.ui.view.signature import sign_label
from benchtui.ui.widgets.prompt import Question
from benchtui.ui.work import NO_WITNESS, UNREAD, WITNESS_ASKED, Reply

if TYPE_CHECKING:
    from collections.abc import Awaitable, Callable

    from textual import events
    from textual.binding import BindingType

    from benchtui.design.model import Design
    from benchtui.jobs.plan import Caution
    from benchtui.jobs.run import Run
    from benchtui.ui.app import BenchApp


class StepScreen(StepView):
    """One job. Leaves with the way it was closed, or an empty text when it was put aside."""

    TITLE = "Steps"
    GOING_ON = (*KeepingScreen.GOING_ON, "enter")
    HELP = (
        "One step at a time. Space marks the step done and goes to the next. A caution comes before the step it "
        "belongs to and has a key of its own, a, which counts once the caution has been on the screen for a moment. "
        "A reading is typed straight away: the first digit opens the field, and Enter keeps it. "
        "Looking back or ahead never marks anything; Space returns to the step in hand."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space,right,pagedown", "go_on", "done, and on to the next step", key_display="Space, → or PgDn"),
        Binding("left,pageup", "back", "look at the step before", key_display="← or PgUp"),
        KeepingScreen.ACKNOWLEDGE,
        Binding("m", "measure", "type the reading"),
        Binding("s", "skip", "skip the step for now, with a reason"),
        Binding("x", "fail", "it is not so: write down what is wrong"),
        Binding("n", "note", "keep a note on this step"),
        Binding("u", "undo", "take the last mark back"),
        Binding("o", "not_applicable", "this step does not concern this unit"),
        Binding("h", "hold", "the step waits for something"),
        Binding("e", "early", "end a wait before its time"),
        Binding("w", "working", "how the limits come about"),
        Binding("p", "picture", "the panel: front, rear, away"),
        Binding("v", "beside", "wiring lists, pins, test points, bill, panel, checks"),
        Binding("V", "beside_again", "the same again, for the control in hand", key_display="Shift+V"),
        Binding("l", "contents", "the list of all steps"),
        Binding("k", "grid", "this step over all its controls"),
        Binding("d", "defects", "the defects of this job"),
        *KeepingScreen.KEEPING,
        Binding("z", "far", "tall characters, to read from afar"),
        Binding("g", "jump", "go and look at a step, by number, control, part, test point or word"),
        Binding("backspace", "before", "back to the step looked at before", key_display="Backspace"),
        Binding("j", "places", "places kept under a name: go to one, or keep this step"),
        Binding("y", "witness", "somebody looks on at a witness point: write the name"),
        Binding("full_stop", "ahead", "look at the step after"),
        Binding("b", "brief", "short or full text"),
        Binding("enter", "work_here", "take the step in sight in hand"),
        Binding("down", "scroll(1)", "further down in a long step"),
        Binding("up", "scroll(-1)", "further up"),
        Binding("escape", "back_out", "leave what is shown beside the step; from the step itself, put the work aside"),
        Binding("q", "leave", "put the work aside"),
        *KeepingScreen.COMMON,
    ]

    def __init__(self, run: Run, *, look_at: str = "") -> None:
        super().__init__(run)
        self._look_at = look_at
        self._leaving_out: tuple[str, Callable[[str], Reply]] = ("", self.work.leave_out)
        """What is asked, and done with the answer, once it is sure that a failed step is skipped."""

    # -- keys ------------------------------------------------------------------------------------------------------

    def on_mount(self) -> None:
        said = self.work.here()
        if self._look_at and self.work.state.plan.has(self._look_at):
            self.work.look(self._look_at)
        self.settle(said)
        self.set_interval(1.0, self._tick)
        if len(self.work.state.trail) > 1:  # begun before: its procedure may have been edited meanwhile
            self.set_timer(0.3, self._look_for_newer)  # after the step is in sight: laying a plan out takes a while

    def _look_for_newer(self) -> None:
        with suppress(BenchError):
            if self.run.newer() is not None and not self.prompt.asking:
                self.say("the procedure was edited since this job began: c shows what changes")

    def caution_read(self, caution: Caution) -> None:
        self.settle(self.work.acknowledge(self._drawn))

    def key_typed(self, event: events.Key, *, fresh: bool) -> None:
        if not event.character or self.work.looking or not self.work.key:
            return
        if self.host.store.read_only:  # no field opens for what could not be kept
            return
        step, known = self.work.step, self.work.known
        if event.character.isdigit() and step.choices:
            event.stop()
            if fresh and self.answers(self.host.keyboard.of(event)):  # and neither may a held key answer one by one
                self.settle(self.work.choose(int(event.character)))
            else:
                self.too_early(self.host.keyboard.of(event))
        elif (
            step.limits
            and not known.settled  # a reading that failed too: its first digit is the next try
            and known.status is not Status.HELD
            and self.caution is None
            and event.character in "0123456789.-+"
        ):
            event.stop()
            self._ask_reading(event.character)

    def _tick(self) -> None:
        """Count a wait down; the program rings when it is over, whichever screen is in front."""
        if self.work.key and self.work.step.act == "wait" and not self.prompt.asking:
            self.redraw()

    def settle(self, reply: Reply) -> None:
        """After an act: show what it brought, say its answer, ask what it asks."""
        self.come_to()
        self.mind_caution()
        self.mind_question(self.work.key)
        self.say(reply.text, problem=reply.problem)
        if reply.ask:
            self._ask(reply.ask)
        if reply.open:
            self.host.go(self._call(reply.open))
        if reply.at_end:
            self.host.close_page(self.run, self._ended)

    async def _call(self, job: str) -> None:
        result = await flows.take_up(self.host, job)
        aside = Reply("the procedure that was called is put aside")
        self.settle(self.work.returned(job, result) if result else aside)

    def _ended(self, result: str | None) -> None:
        if result:
            self.dismiss(result)
        else:  # back to the steps: to what is open still, or to the last one
            self.work.look_at_open()
            self.settle(Reply())

    def action_go_on(self) -> None:
        if self.prompt.asking:
            return
        self.settle(self.work.go_on())

    def action_back(self) -> None:
        if not self.prompt.asking:
            self.settle(self.work.back())

    def action_ahead(self) -> None:
        self.settle(self.work.ahead())

    def action_before(self) -> None:
        self.settle(self.work.before())

    def action_work_here(self) -> None:
        if self.work.looking:
            self.settle(self.work.work_here())

    def action_undo(self) -> None:
        self.settle(self.work.undo())

    def action_measure(self) -> None:
        if not self.work.key or self.work.step.limits is None:
            self.say("there is nothing to measure at this step", problem=True)
        elif self.work.unread is not None:
            self.say(UNREAD, problem=True)
        else:
            self._ask_reading("")

    def action_skip(self) -> None:
        self._leave_out("Skip it for now, because", self.work.leave_out)

    def action_not_applicable(self) -> None:
        self._leave_out(
            "Does not concern this unit, because", lambda why: self.work.leave_out(why, not_applicable=True)
        )

    def _leave_out(self, label: str, act: Callable[[str], Reply]) -> None:
        if not self.work.key:
            return
        if refused := self.work.no_leaving_out:
            self.say(refused, problem=True)
        elif not self.meant():
            self.say("that key came among others: press it once more to go past the step undone", problem=True)
        elif self.work.unwritten:
            # Typed ahead, an answer to another question could otherwise pass for the reason.
            self.ask_why("This step failed: x writes the defect down. Type yes to skip it all the same", self._sure)
            self._leaving_out = (label, act)
        else:
            self.ask_why(label, act)

    def _sure(self, typed: str) -> Reply:
        if typed.strip().lower() not in ("yes", "y"):
            return Reply("type yes to skip it; Esc, then x, writes the defect down", problem=True)
        return Reply(ask="leave out")

    def action_hold(self) -> None:
        if self.meant():
            self.ask_why("It waits for", self.work.hold)
        else:
            self.say("that key came among others: press it once more to hold the step", problem=True)

    def action_fail(self) -> None:
        self.ask_why("What do you see", self.work.fail)

    def action_note(self) -> None:
        self.ask_why("Note (begin with ! to have it read before the next run)", self.work.note)

    def action_early(self) -> None:
        timer = self.work.known.timer if self.work.key else None
        if timer is None or timer.ended:
            self.say("no wait runs at this step", problem=True)
        else:
            self.ask_why("End the wait, because", self.work.end_early)

    def action_jump(self) -> None:
        with suppress(BenchError):
            design = self.host.design_of(self.run.plan)
            if design and not self.work.parts:
                self.work.parts = words_of_parts(design)
        self.ask_why("Look at step (number, control, part, test point, word)", self.work.jump)

    def action_places(self) -> None:
        self.host.go(self._places())

    async def _places(self) -> None:
        self.settle(await places(self.host, self.work))

    def action_witness(self) -> None:
        if self.work.key and self.work.step.witness:
            self.ask_why(WITNESS_ASKED, self.work.witness)
        else:
            self.say(NO_WITNESS, problem=True)

    def action_beside(self) -> None:
        self.host.go(self._beside(beside))

    def action_beside_again(self) -> None:
        self.host.go(self._beside(look_again))

    async def _beside(self, look: Callable[[BenchApp, Design | None, str], Awaitable[None]]) -> None:
        step = self.work.step if self.work.key else None
        await look(self.host, self.host.design_of(self.run.plan), step.subject.id if step and step.subject else "")

    def action_defects(self) -> None:
        from benchtui.ui.screens.defects import DefectScreen

        self.app.push_screen(DefectScreen(self.run, step=self.work.key), lambda _: self.settle(Reply()))

    def action_back_out(self) -> None:
        """Close what is open beside the step, then return to the step in hand, and only then put the work aside."""
        if self.view or self.working or self.far:
            self.view, self.working, self.far, self.top = "", False, False, 0
            self.redraw()
        elif self.work.looking and self.work.state.current:
            self.settle(self.work.go_on())
        else:
            self.action_leave()

    def action_leave(self) -> None:
        self.host.put_aside(self.run, self._aside)

    def _aside(self) -> None:
        self.dismiss(self.run.state.closed)

    # -- questions -------------------------------------------------------------------------------------------------

    def _ask(self, name: str) -> None:
        if name == "reading":
            self._ask_reading(self.prompt.field.value if self.prompt.asking else "")
        elif name == "why again":
            self.ask_why(self.work.why_asked, self.work.reading_again)
        elif name == "override":
            self.ask_why(self.work.override_asked, self.work.override)
        elif name == "strap":
            self.ask_why(strap.ASKED, self.work.strap.keep)
        elif name == "power":
            self.ask_why(POWER_ASKED, self.work.power_off)
        elif name == "sign":
            self.ask_why(sign_label(self.work.state, self.work.key), self.work.sign)
        elif name == "part":
            self.ask_part()
        elif name == "fail":
            self.ask_why("Not so. What do you see (Esc: later)", self.work.fail)
        elif name == "defect first":
            self.ask_why("Before it is touched any further: what do you see (Esc: later)", self.work.fail)
        elif name == "leave out":
            self.ask_why(*self._leaving_out)

    def _ask_reading(self, typed: str) -> None:
        from benchtui.jobs.readings import entry_unit

        if self.host.store.read_only:
            self.say(f"{self.host.store.notice}; nothing was saved", problem=True)
            return
        limits = self.work.step.limits
        if limits is None:
            return
        if first := self.work.first_asked:  # before a field opens for it
            self._ask(first)
            return
        self.ask(Question(f"Reading, {limits.text}:", self._take_reading, unit=entry_unit(limits), value=typed))

    def _take_reading(self, typed: str) -> str:
        taken = len(self.work.known.readings)
        reply = self.work.reading(typed, sure=self.deliberate)
        if reply.problem and len(self.work.known.readings) == taken:
            self.gate.show()
            return reply.text
        if not reply.ask:
            self.prompt.close()
        self.settle(reply)
        return ""
