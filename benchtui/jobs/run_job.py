"""One open job: an act is checked, appended to the record, and only then folded into the state.

What the screens show of a job is `Run.state`, which is always what the record on the disk says, no more and no less.
"""

from __future__ import annotations

from dataclasses import replace
from hashlib import sha256
from typing import TYPE_CHECKING, Final

from benchtui.errors import BenchError, JobError
from benchtui.jobs import events as ev
from benchtui.jobs.bad import fails, serviced, shows_bad
from benchtui.jobs.glance import glance_text
from benchtui.jobs.mistakes import refusal
from benchtui.jobs.named import names_of, unknown_words
from benchtui.jobs.parts import Fitted, other_in_place, parts_of
from benchtui.jobs.plan_text import plan_text
from benchtui.jobs.readings import doubt, read_typed, take
from benchtui.jobs.revision import Changes, compare, reopened_by
from benchtui.jobs.run_ending import closed_as
from benchtui.jobs.standing import iron_word, power_stands
from benchtui.jobs.state import advance, works
from benchtui.jobs.timers import moment, remaining
from benchtui.jobs.waits import ending
from benchtui.record.event import Draft, text_digest

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import timedelta
    from pathlib import Path

    from benchtui.jobs.fold import Conflict
    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.plan import Caution, Plan, PlanStep
    from benchtui.jobs.run import Bench


_WORK: Final = (
    ev.StepBegun,
    ev.ReadingTaken,
    ev.ChoiceMade,
    ev.StepDone,
    ev.StepSkipped,
    ev.StepNotApplicable,
    ev.TimerStarted,
    ev.SignedOff,
    ev.CallOpened,
    ev.PartFitted,
    ev.FirmwareLoaded,
    ev.TextGiven,
    ev.ReworkStarted,
)
"""Acts that are work on the unit. What was seen, and the end of what had begun, can be written down at any time."""


class Run:
    """One open job."""

    def __init__(self, bench: Bench, state: JobState, *, away: timedelta, conflicts: tuple[Conflict, ...] = ()) -> None:
        self.bench = bench
        self.state = state
        self.away = away
        """How long nothing had happened when the job was taken up."""
        self.conflicts = conflicts
        """Events of another bench that did not fit, to be shown once."""

    @property
    def plan(self) -> Plan:
        """The plan as it was when the job was started, or moved to a newer text."""
        return self.state.plan

    @property
    def job(self) -> str:
        """Name of the job."""
        return self.state.job

    @property
    def unit(self) -> str:
        """Serial number of the unit; empty for a job about none."""
        return self.state.unit

    def current(self) -> PlanStep | None:
        """The step in focus; None when nothing is left to do."""
        return self.plan.step(self.state.current) if self.state.current else None

    def act(self, event: ev.JobEvent, *, happened: str = "", plan: Plan | None = None) -> JobState:
        """Do something: check it, write it down, and move the state on.

        Args:
            event: What is done.
            happened: When it was really done, for an act entered later from paper (ISO time).
            plan: The new plan, for an event that moves the job to another revision.

        Returns:
            The new state, which is on the disk.

        Raises:
            JobError: It is not allowed now; nothing was written and the state is as before.
            RecordError: It could not be written; the state is as before.
        """
        event = self.whole(event)
        draft, glance = self.prepare(event, happened=happened, plan=plan)
        texts = [plan_text(plan)] if plan else []
        drafts = [*self.beside(event), draft]
        recorded = self.bench.store.append_all(drafts, texts=texts, glances={self.job: glance})[-1]
        return self.adopt(event, time=recorded.time, plan=plan)

    def act_all(self, events: Sequence[ev.JobEvent]) -> JobState:
        """Do several things in one stroke, such as one bag for eight faders: all are on the disk, or none is.

        Raises:
            JobError: One of them is not allowed now; nothing was written and the state is as before.
            RecordError: They could not be written; the state is as before.
        """
        before, now = self.state, self.bench.clock().isoformat()
        events = [self.whole(event) for event in events]
        drafts: list[Draft] = []
        glance = ""
        try:
            for event in events:
                draft, glance = self.prepare(event)
                drafts += [*(each for each in self.beside(event) if each not in drafts), draft]
                self.state = advance(self.state, event, time=now)
            recorded = self.bench.store.append_all(drafts, glances={self.job: glance})[-1]
        finally:
            self.state = before
        for event in events:
            self.adopt(event, time=recorded.time)
        return self.state

    def whole(self, event: ev.JobEvent) -> ev.JobEvent:
        """The act with what the record knows of it.

        A part whose place holds another one takes that one's place. A called procedure may have been gone through for
        another unit of the batch, or closed with nothing done in it.
        """
        if isinstance(event, ev.CallReturned):
            made = self.bench.store.events(job=event.called, newest=1)
            shared = bool(made) and made[0].unit != self.unit
            iron = iron_word(self.bench.look(event.called)) if made else ""
            return replace(event, shared=shared, nothing=event.result == ev.NOTHING_DONE, iron=iron)
        if not isinstance(event, ev.PartFitted) or event.replaces or event.corrects or not self.unit:
            return event
        old = other_in_place(self.fitted(), event)
        if old is None:
            return event
        return replace(event, replaces=old.named, reason=event.reason or "another one was written down in its place")

    def written_before(self, event: ev.PartFitted) -> bool:
        """Whether the same step of this job has written down the same part at the same place already."""
        told = self.bench.store.events(job=self.job, kinds=[ev.PartFitted.KIND])
        same = (event.step, event.part, event.place)
        return any(tuple(each.data.get(key, "") for key in ("step", "part", "place")) == same for each in told)

    def fitted(self) -> tuple[Fitted, ...]:
        """Every part ever fitted to the unit, in order; none where the job is about no unit."""
        return parts_of(self.bench.store.events(unit=self.unit, kinds=[ev.PartFitted.KIND])) if self.unit else ()

    def prepare(self, event: ev.JobEvent, *, happened: str = "", plan: Plan | None = None) -> tuple[Draft, str]:
        """What has to be appended for an act, and the job's line after it; raises as `act` does and changes nothing."""
        stopped = self.bench.units.stopped(self.unit) if isinstance(event, _WORK) else ""
        if stopped:
            raise JobError(stopped, hint="say on its page that it goes back into work")
        if isinstance(event, ev.ReworkStarted) and power_stands(self.state):
            raise JobError("the power is on: nothing is put right with the lead in", hint="pull it out, and say so")
        if isinstance(event, ev.ReworkDone):
            self._named(event)
        after = advance(self.state, event, time=self.bench.clock().isoformat(), plan=plan)
        data = event.to_data()
        if happened:
            data["happened"] = happened
        return Draft(kind=event.KIND, unit=self.unit, job=self.job, data=data), glance_text(after)

    def beside(self, event: ev.JobEvent) -> list[Draft]:
        """What has to be written about the unit in the same stroke as an act."""
        why = shows_bad(self.state, event)
        # A strap or a meter that fails says nothing of the unit that happens to lie there.
        if not why and (told := fails(self.state, event) or serviced(self.state, event)) and not self._about_bench():
            why = told
        if why:
            return self.bench.units.found_bad(self.unit, why)
        first = not self.state.worked and works(self.plan, event)
        return self.bench.units.worked_on(self.unit, self.plan) if first else []

    def _about_bench(self) -> bool:
        """The procedure is about the bench, and not the unit; one whose file is gone or damaged is about the unit."""
        try:
            return self.bench.once_a_sitting(self.plan.id)
        except BenchError:  # a reading is kept whatever has become of the file
            return False

    def _named(self, event: ev.ReworkDone) -> None:
        """Check that everything that was touched is known by name, so that no test of it stays as it is by a slip."""
        names = self.bench.units.names(self.unit) if self.unit else names_of(self.state)
        strange = unknown_words(event.touched, names)
        if strange:
            raise JobError(
                f"nothing here is called {', '.join(strange)}",
                hint=f"type {names.some or 'all'}; or type all, and everything is tested again",
            )

    def adopt(self, event: ev.JobEvent, *, time: str, plan: Plan | None = None) -> JobState:
        """Move the state on by an event that has been appended, with the time the record gave it."""
        # Folded with the record's own time, so that this state is the very one a later start will find.
        self.state = advance(self.state, event, time=time, plan=plan)
        return self.state

    # -- what screens do most --------------------------------------------------------------------------------------

    def acknowledge(self, caution: Caution, *, step: str = "") -> JobState:
        """Write down that a caution of the step in focus was read."""
        return self.act(
            ev.CautionAcknowledged(step=step or self.state.current, caution=caution.id, digest=caution.digest)
        )

    def question(self, typed: str, *, step: str = "") -> str:
        """The question to put before this reading is kept: wrong prefix, or decimal point; empty when it is plausible.

        Raises:
            UnitError: What was typed cannot be understood.
            JobError: The step measures nothing, or nothing was typed.
        """
        limits = self.plan.step(step or self.state.current).limits
        if limits is None:
            raise JobError("this step has nothing to measure")
        return doubt(limits, read_typed(limits, typed))

    def read(self, typed: str, *, step: str = "", reason: str = "", override: str = "", asked: str = "") -> JobState:
        """Keep a reading.

        Args:
            typed: What the builder typed.
            step: Key of the step; the one in focus when empty.
            reason: Why it is not the first reading.
            override: Why a meter past its calibration date was used.
            asked: What `question` gave, once the builder has said that it is as typed.

        Raises:
            UnitError: It cannot be understood.
            JobError: A question has to be answered first, or a reason given.
            RecordError: It could not be written.
        """
        key = step or self.state.current
        event = take(
            self.plan.step(key),
            typed,
            meter=self.bench.meter,
            today=self.bench.clock().date().isoformat(),
            override=override,
            reason=reason,
            asked=asked,
            blind=self.state[key].first is not None,
        )
        return self.act(event)

    def start_wait(self, *, step: str = "") -> JobState:
        """Begin the wait of the step in focus."""
        here = self.plan.step(step or self.state.current)
        now = moment(self.bench.clock)
        return self.act(
            ev.TimerStarted(step=here.key, seconds=here.seconds, boot=now.boot, boot_seconds=now.boot_seconds)
        )

    def end_wait(self, *, step: str = "", reason: str = "") -> JobState:
        """End the wait of the step in focus; before its time only with a reason, and see `jobs.waits`."""
        key = step or self.state.current
        return self.act(ending(key, self.state[key].timer, moment(self.bench.clock), reason))

    def left_to_wait(self, *, step: str = "") -> float | None:
        """Seconds still to wait at the step; None when no wait was started."""
        timer = self.state[step or self.state.current].timer
        return None if timer is None else remaining(timer, moment(self.bench.clock))

    def suspend(self, *, next_act: str = "", bench: Sequence[str] | None = None, forced: bool = False) -> JobState:
        """Stop work, in one key when nothing is said; harmless when the job is suspended or closed already.

        Args:
            next_act: What will be done next.
            bench: What is on, hot or loose; None where nobody was asked, so that what was said before still stands.
            forced: The program was ended from outside.
        """
        if self.state.suspended is not None or self.state.closed:
            return self.state
        left = self.state.left if bench is None else tuple(bench)
        return self.act(ev.Suspended(next_act=next_act, bench=left, forced=forced))

    def next_defect(self) -> str:
        """Id for a defect that was just found: "D3"; no other job of the unit has one of that name."""
        taken = {*self.state.defects}
        if self.unit:
            kinds = [ev.DefectFound.KIND]
            taken |= {
                str(event.data.get("defect", "")) for event in self.bench.store.events(unit=self.unit, kinds=kinds)
            }
        numbers = [int(name[1:]) for name in taken if name[:1] == "D" and name[1:].isdecimal()]
        return f"D{max((len(self.state.defects), *numbers)) + 1}"

    def close(self, *, decision: str = "", untouched: bool = False) -> JobState:
        """Close the job: complete, or with open items by a decision.

        Args:
            decision: Why it is closed with something open.
            untouched: The builder says that it was begun by mistake, and nothing of the unit was touched in it.

        Raises:
            JobError: Something is open and no decision was given; or a mark stands in it that says it was worked in.
        """
        if untouched and not self.state.unmarked_but():
            raise JobError("it was worked in", hint="take each mark back first, or say that it ends here")
        return self.act(closed_as(self.state, decision=decision, untouched=untouched))

    def attach(self, path: Path, *, step: str = "") -> JobState:
        """Keep a file with a step by its name and digest; the file itself stays where it is.

        Raises:
            JobError: There is no such file, or it cannot be read.
            RecordError: It could not be written down.
        """
        try:
            digest = sha256()
            with path.open("rb") as file:
                size = 0
                while block := file.read(1 << 20):
                    digest.update(block)
                    size += len(block)
        except IsADirectoryError:
            raise JobError(f"{path} is a folder", hint="name one file in it") from None
        except OSError as error:
            why = "there is no file" if isinstance(error, FileNotFoundError) else f"{error.strerror or error}:"
            raise JobError(f"{why} {path}", hint="type the path of a picture or other file") from None
        name = str(path.absolute())
        return self.act(ev.FileAttached(step=step, name=name, digest=digest.hexdigest(), size=size))

    # -- a procedure edited meanwhile ------------------------------------------------------------------------------

    def newer(self) -> tuple[Plan, Changes] | None:
        """The plan as the files give it now and what differs, when they were edited since the job was started.

        Raises:
            ContentError: The edited files have problems.
            JobError: The procedure is no longer there.
        """
        plan = self.bench.plan(self.plan.id, design_id=self.plan.design_id, subject=self.plan.subject, unit=self.unit)
        if plan_text(plan) == plan_text(self.plan):
            return None
        return plan, compare(self.plan, plan)

    def move_to(self, plan: Plan, *, reason: str) -> JobState:
        """Go on by a newer text; changed steps that were done are open again.

        Raises:
            JobError: It is another procedure, its text has a mistake, or no reason is given.
        """
        refused = refusal(self.bench.mistakes(plan))
        if refused:
            raise JobError(refused)
        event = ev.RevisionMoved(
            plan=text_digest(plan_text(plan)),
            revision=plan.revision,
            reason=reason,
            reopened=reopened_by(self.state, plan),
        )
        return self.act(event, plan=plan)
