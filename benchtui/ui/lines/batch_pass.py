"""A pass over a batch by lines: one command for all units at a step, one entry a unit; a held unit drops out."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.errors import BenchError
from benchtui.ui import kept, together
from benchtui.ui.lines.batch_acts import Acts
from benchtui.ui.lines.before import how_it_is, prepare
from benchtui.ui.lines.end import put_aside
from benchtui.ui.lines.talk import Left
from benchtui.ui.lines.words import in_words
from benchtui.ui.past import around
from benchtui.ui.power import POWER_ASKED
from benchtui.ui.reply import refused
from benchtui.ui.sittings import ask_meter
from benchtui.ui.taking_up import take_up
from benchtui.ui.view import signature
from benchtui.ui.view.batch import counted
from benchtui.ui.view.spoken import caution_said, step_said, working_said
from benchtui.ui.view.step import outcome
from benchtui.ui.why_again import DEFECT_FIRST
from benchtui.ui.work import UNREAD, Reply, Work, to_go

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.plan import PlanStep
    from benchtui.jobs.run import Run
    from benchtui.jobs.run_batch import Batch
    from benchtui.ui.lines.bench import BenchTalk

HELP: Final = (
    "Enter alone: done for all units that are at the step, one entry for each. a: I have read the caution, for all of "
    "them. A reading or the number of an answer is typed for the unit that is named. m READING: measure again what "
    "failed last, or what is near its limit. unit: take one unit in hand by itself, to write a defect down and put it "
    "right. hold: hold a unit, which drops out, or free one. undo: take the last mark back. early REASON: end a wait. "
    "witness NAME: somebody looks on at a witness point. "
    "where: how far each unit is. spread: readings that stand out; spread all: every measurement. "
    "limits: how they come about. back, ahead: look at another step; Enter comes back. look WORDS: wires, pins, test "
    "points, bill and checks of the design. release: release the units that have nothing missing. "
    "!: smoke, smell or shock. quit: put the batch aside."
)


class BatchTalk:
    """One procedure over the units of a batch, until all are through it or it is put aside.

    Args:
        here: The bench.
        batch: Its units; the jobs of the procedure are open.
        procedure: Id of the procedure.
    """

    def __init__(self, here: BenchTalk, batch: Batch, procedure: str) -> None:
        self.here = here
        self.talk = here.talk
        self.batch = batch
        self.procedure = procedure
        self.acts = Acts(here, batch, procedure)
        self._override = ""
        """Why a meter past its calibration is used, once said for this pass."""
        self._works: dict[str, Work] = {}
        self._said = ("", "")
        """Step that was read out last, and the unit it was read out for."""
        self._failed = ""
        """The unit whose reading failed last."""
        self._looked_at = ""
        self._around: tuple[str, ...] = ()
        """What stands in the work this was called from."""

    def go(self) -> None:
        """Go over the batch."""
        out = self.batch.left_out()
        runs = [run for unit, run in self.batch.runs().items() if unit not in out]
        if not runs:
            self.talk.say("No unit of this batch takes part.")
            return
        plan = runs[0].plan
        self.talk.say(f"Batch {self.batch.name}, {together.said_of([run.unit for run in runs])}. {plan.title}.")
        self.acts.say_out()
        try:
            self._around = around(runs[0])
            if not self.here.ways.go(self._begun(runs)):
                for run in runs:
                    run.suspend()
                return
            self.here.ways.go(ask_meter(self.here.ways, plan))
            while self._turn():
                pass
        except Left:
            for run in self.batch.runs().values():
                run.suspend(forced=True)
            raise

    # -- before the steps --------------------------------------------------------------------------------------------

    async def _begun(self, runs: Sequence[Run]) -> bool:
        """What comes before the steps, asked once for all units that are alike; whether the work may begin."""

        async def how(run: Run) -> Sequence[str] | None:
            answers = how_it_is(self.talk, run)
            if answers is not None:
                take_up(run, answers)
            return answers

        async def notices(run: Run) -> bool:
            return self.acts.notices(run)

        async def before(alike: Sequence[Run]) -> bool:
            return prepare(self.talk, alike[0], units=len(alike))

        return await together.taken_up(runs, how) and await together.prepared(runs, notices, before)

    # -- the steps ---------------------------------------------------------------------------------------------------

    def _turn(self) -> bool:
        """Say the step, hear one line, do it; whether the pass goes on."""
        step = self.batch.current()
        if step is None:
            return self.acts.at_the_end()
        reply = self._step(step)
        if reply is None:
            runs = [run for unit, run in self.batch.runs().items() if unit not in self.batch.left_out()]
            lead = self.batch.runs()[self.batch.at(step.key)[0]]
            put_aside(self.talk, lead, *(run for run in runs if run is not lead))
            return False
        self.acts.say(reply)
        return True

    def _step(self, step: PlanStep) -> Reply | None:
        """One turn at a step; None leaves."""
        unread = together.unread(self.batch, step)
        if unread:
            for row in caution_said(unread[0]):
                self.talk.say(row)
            typed = self.talk.ask("a when you have read this", anew=True)
            if typed == "a":
                return _tried(lambda: self._acknowledged(step))
            return self._do(step, typed)
        if step.act not in ("wait", "call"):
            try:
                self.batch.begin(step.key)
            except BenchError as error:
                self.talk.say(str(error))
        self._say_step(step)
        unit = self.batch.at(step.key)[0]
        reading = bool(step.limits) and not self._looked_at
        what = f"reading of {unit}" if reading else f"answer for {unit}" if step.choices else "step"
        what = f"{what}, or help"
        if self._looked_at:
            what = "looked at only, Enter goes back"
        return self._do(step, self.talk.ask(what, anew=not reading))

    def _acknowledged(self, step: PlanStep) -> Reply:
        together.acknowledge(self.batch, step, together.unread(self.batch, step)[:1])
        return Reply()

    def _say_step(self, step: PlanStep) -> None:
        """The step in full, once; then only how many units are past it."""
        at = self.batch.at(step.key)
        key, of = self._looked_at or step.key, at[0] if step.limits or step.choices else ""
        if self._said == (key, of):
            return
        runs = self.batch.runs()
        if self._said[0] != key:
            if self._around:
                self.talk.say(f"Mind: {', '.join(self._around).upper()}.")
            for row in step_said(runs[at[0]].state, key):
                self.talk.say(row)
        if not self._looked_at:
            states = [run.state for run in runs.values()]
            self.talk.say(f"  Units: {', '.join(counted(states, step, self.batch.left_out()))}.")
        self._said = (key, of)

    def _do(self, step: PlanStep, typed: str) -> Reply | None:
        """What a line means."""
        word, _, rest = typed.partition(" ")
        word, rest = word.lower(), rest.strip()
        if word in ("quit", "q"):
            return None
        if word in ("help", "?"):
            return Reply(HELP)
        acts: Mapping[str, Callable[[str], Reply]] = {
            "limits": lambda _: self.acts.read_out(working_said(step)),
            "back": lambda _: self._look(step, -1),
            "ahead": lambda _: self._look(step, 1),
            "early": lambda why: self._early(step, why),
            "m": self._again,
            "witness": lambda name: together.witness(self.batch, step, name),
            "unit": lambda _: self._in_hand(),
            **self.acts.commands(),
        }
        if word in acts:
            return _tried(lambda: acts[word](rest))
        if self._looked_at:
            self._looked_at, self._said = "", ("", "")
            return Reply() if not typed else Reply("back at the step in hand; type it again")
        if together.unread(self.batch, step):
            return Reply(UNREAD)
        unit = self.batch.at(step.key)[0]
        if not typed:
            return _tried(lambda: self._go_on(step, unit))
        if step.limits is not None:
            if self._near(unit, step):
                return Reply(f"{unit} is near the limit: Enter keeps it, m READING measures again")
            return self._reading(unit, typed)
        if typed.isdigit() and step.choices:
            work = self._work(unit)
            return self._of_one(work, lambda: work.choose(int(typed)))
        return Reply(f"{typed!r} is no command here; help lists them")

    def _go_on(self, step: PlanStep, unit: str) -> Reply:
        """Enter alone: done for all, or what the step still asks for."""
        work = self._work(unit)
        if work.strap.due(step):
            return self.acts.strap(work)
        if self._near(unit, step):
            return self._of_one(work, work.go_on)
        if units := together.lacking(self.batch, step):
            who = units[0] if len(units) == 1 else f"all {len(units)}"
            typed = self.talk.ask(f"{who}: {kept.part_question(step)}")
            return together.keep_part(self.batch, units, typed, then="Enter goes on")
        if step.limits:
            return Reply(f"type the reading of {unit}")
        if step.choices:
            return Reply(f"pick an answer for {unit}: 1 to {len(step.choices)}")
        if step.act == "sign":
            return self._sign(step)
        if step.act == "call":
            return self._call(step)
        if step.act == "wait":
            return self._wait(step)
        return Reply(f"done for {together.said_of(self.batch.done(step.key))}")

    def _wait(self, step: PlanStep) -> Reply:
        left = self.batch.left_to_wait(step.key)
        if left is None:
            return Reply(f"the wait has begun for {together.said_of(self.batch.start_wait(step.key))}")
        if left > 0:
            return Reply(in_words(to_go(left)))
        return Reply(f"done for {together.said_of(self.batch.end_wait(step.key))}")

    def _early(self, step: PlanStep, why: str) -> Reply:
        if step.act != "wait":
            return Reply("nothing is waited for at this step")
        why = why or self.talk.ask("end the wait, because (nothing: go back)")
        if not why:
            return Reply()
        return Reply(f"ended early for {together.said_of(self.batch.end_wait(step.key, reason=why))}")

    def _sign(self, step: PlanStep) -> Reply:
        """Ask who signs, once it was said what the signature does not stand for on each unit."""
        at = self.batch.at(step.key)
        beside = {unit: signature.beside(self.batch.runs()[unit].state, step.key) for unit in at}
        for unit, out in beside.items():
            if any(beside.values()):
                self.talk.say(f"{unit}: {out or 'done as described'}.".replace("..", "."))
        same = " all the same" if any(beside.values()) else ""
        name = self.talk.ask(f"Signed{same} for {together.said_of(at)} by (nothing: go back)")
        if not name:
            return Reply()
        units = self.batch.sign(step.key, name=name, meaning=lambda run: signature.meaning(run.state, step.key))
        return Reply(f"signed for {together.said_of(units)}")

    def _call(self, step: PlanStep) -> Reply:
        """Go over the called procedure with all units that are at the step, and come back."""
        called = self.batch.call(step.key)
        if called.runs():
            BatchTalk(self.here, called, step.call).go()
        back = self.batch.returned(step.key)
        self._said = ("", "")
        return Reply(f"back from the procedure that was called, with {together.said_of(back)}" if back else "")

    def _look(self, step: PlanStep, by: int) -> Reply:
        plan = self.batch.runs()[self.batch.at(step.key)[0]].plan
        place = plan.places[self._looked_at or step.key] + by
        if not 0 <= place < len(plan):
            return Reply("this is the first step" if by < 0 else "this is the last step")
        key = plan.steps[place].key
        self._looked_at, self._said = ("" if key == step.key else key), ("", "")
        return Reply()

    # -- one unit ----------------------------------------------------------------------------------------------------

    def _work(self, unit: str) -> Work:
        """The work on one unit: it remembers a reading that was doubted until the same is typed once more."""
        run = self.batch.runs()[unit]
        if unit not in self._works or self._works[unit].run is not run:
            self._works[unit] = Work(run, override=self._override)
        return self._works[unit]

    def _near(self, unit: str, step: PlanStep) -> bool:
        """A unit has a reading near its limit, which waits to be kept."""
        known = self.batch.runs()[unit].state[step.key] if step.limits else None
        return known is not None and not known.to_read

    def _reading(self, unit: str, typed: str) -> Reply:
        work = self._work(unit)
        first = work.first_asked
        if first == "strap":
            return self.acts.strap(work)
        if first == "power":
            said = self.talk.ask(f"{POWER_ASKED} (nothing: go back)")
            off = together.power_off(list(self.batch.runs().values()), said) if said else Reply()
            return off if off.problem or not said else Reply(f"{off.text}; type the reading of {unit}")
        return self._of_one(work, lambda: work.reading(typed))

    def _again(self, typed: str) -> Reply:
        """Measure again what failed last, or what is near its limit."""
        step = self.batch.current()
        unit = self.batch.at(step.key)[0] if step is not None else ""
        if step is not None and self._near(unit, step):
            return self._reading(unit, typed) if typed else Reply(f"type m and the new reading of {unit}")
        waiting = {name: stuck for name, stuck in self.batch.waiting().items() if stuck.limits}
        if not waiting:
            return Reply("no reading has failed here")
        unit = self._failed if self._failed in waiting else next(iter(waiting))
        if not typed:
            for row in step_said(self.batch.runs()[unit].state, waiting[unit].key):
                self.talk.say(row)
            return Reply(f"type m and the new reading of {unit}, step {waiting[unit].number}")
        about = waiting[unit].subject
        self.talk.say(f"{unit}, step {waiting[unit].number}{f', {about.id}' if about else ''}:")
        return self._reading(unit, typed)

    def _of_one(self, work: Work, act: Callable[[], Reply]) -> Reply:
        """Do something with one unit; ask what it still needs, and name the unit in what came of it."""
        unit, before = work.run.unit, work.state
        reply = act()
        while reply.ask in ("why again", "override"):
            again = reply.ask == "why again"
            typed = self.talk.ask(f"{unit}: {work.why_asked if again else work.override_asked}")
            if not typed:
                return Reply("nothing was kept")
            reply = work.reading_again(typed) if again else work.override(typed)
            self._override = work.overridden  # a number is no reason: it is the next reading, typed too early
        if reply.ask == "strap":
            return self.acts.strap(work)
        if reply.problem and work.state is not before:  # it was kept, and it is a failure
            self._failed = unit
            again_word = "m READING measures again, " if work.step.limits else ""
            said = reply.text.partition(":")[0]
            return Reply(f"{unit}: {said}. It waits, and the others go on. {again_word}unit takes it in hand")
        if not reply.text and not reply.ask and work.state is not before:
            return Reply(f"{unit}: {_said(work, before)}")
        if reply.ask == "defect first":
            return Reply(f"{unit}: {DEFECT_FIRST}: unit takes it in hand to do so", problem=True)
        text = in_words(reply.text)
        return Reply(f"{unit}: {text}" if text else "")

    def _in_hand(self) -> Reply:
        self.acts.in_hand()
        self._said, self._works = ("", ""), {}
        return Reply()


def _said(work: Work, before: JobState) -> str:
    """What was kept at the step that was in hand: nobody sees a mark that is only read out."""
    return outcome(work.state, before.plan.step(before.current))


def _tried(act: Callable[[], Reply]) -> Reply:
    try:
        return act()
    except BenchError as error:
        return refused(error)
