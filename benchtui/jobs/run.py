"""Where jobs meet the record: an act is checked, appended to the record, and only then folded into the state.

`Bench` opens jobs and lists them; `Run` is one open job. What the screens show of a job is `Run.state`, which is always
what the record on the disk says, no more and no less.
"""

from __future__ import annotations

import secrets
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Final

from benchtui.errors import JobError
from benchtui.jobs import events as ev
from benchtui.jobs.expand import expand, expand_checklist
from benchtui.jobs.glance import JobSummary, glance_text
from benchtui.jobs.plan_text import plan_text
from benchtui.jobs.readings import Meter, doubt, read_typed, take
from benchtui.jobs.revision import Changes, compare
from benchtui.jobs.run_list import record_job as record_job
from benchtui.jobs.run_list import record_jobs as record_jobs
from benchtui.jobs.run_units import Units
from benchtui.jobs.state import advance, begin
from benchtui.jobs.timers import moment, remaining
from benchtui.record.event import Draft, text_digest
from benchtui.record.store import local_now

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from benchtui.content.library import Kind, Library
    from benchtui.design.model import Design
    from benchtui.jobs.fold import Conflict
    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.plan import Caution, Plan, PlanStep
    from benchtui.record.event import Event
    from benchtui.record.store import Store

_LETTERS: Final = "ACDEFHJKMNPRTWXY34679"
"""Letters and digits of job names: none that looks like another."""


class Bench:
    """The jobs of one record, and the content they are started from.

    Args:
        library: Procedures, checklists, cautions and designs.
        store: The record.
        clock: Gives the time of day with its offset.
    """

    def __init__(self, library: Library, store: Store, *, clock: Callable[[], datetime] = local_now) -> None:
        self.library = library
        self.store = store
        self.clock = clock
        self.units = Units(store, library)
        self.meter: Meter | None = None
        """The meter of this sitting; None while none was chosen."""
        self._runs: dict[str, Run] = {}

    def plan(self, id: str, *, design_id: str = "", subject: str = "", unit: str = "") -> Plan:
        """The plan of a procedure or checklist as its file stands now.

        Args:
            id: Id of the procedure or checklist.
            design_id: Design to lay it out over, for one that is made for any.
            subject: The one control, bank or connector it is about, for a procedure about one.
            unit: Serial number of the unit, to leave out steps that are not for it.

        Raises:
            JobError: There is no such procedure or checklist.
            ContentError: Its file, or that of its design, has problems.
        """
        kinds = {entry.id: entry.kind for entry in self.library.entries() if entry.kind in ("procedure", "checklist")}
        if id not in kinds:
            raise JobError(f"there is no procedure or checklist {id!r}", hint=_nearest(id, kinds))
        cautions = self.library.cautions()
        if kinds[id] == "checklist":
            checklist = self.library.checklist(id)
            design = self._design(checklist.design, design_id)
            return expand_checklist(checklist, design, cautions, digest=self._digest("checklist", id), subject=subject)
        procedure = self.library.procedure(id)
        design = self._design(procedure.design, design_id)
        return expand(
            procedure,
            design,
            cautions,
            digest=self._digest("procedure", id),
            subject=subject,
            unit=self.units.facts(unit) if unit else None,
        )

    def start(
        self,
        id: str,
        unit: str = "",
        *,
        subject: str = "",
        batch: str = "",
        design_id: str = "",
        caller: tuple[str, str] = ("", ""),
        defect: tuple[str, str] = ("", ""),
    ) -> Run:
        """Open a job on a unit.

        Args:
            id: Id of the procedure or checklist.
            unit: Serial number; empty for a list that is about no unit.
            subject: The one control, bank or connector it is about; the caller's own when empty.
            batch: Batch the unit is built in.
            design_id: Design to lay it out over, for a procedure made for any.
            caller: (job, step) that this job returns to.
            defect: (id, text) of the defect that this job puts right, as the unit's own list gives it.

        Raises:
            JobError: There is nothing of that id, or it has no step for this unit.
            RecordError: It could not be written down.
        """
        if caller[0] and not subject:
            subject = self._subject_of(*caller)
        return self.open(
            self.plan(id, design_id=design_id, subject=subject, unit=unit),
            unit,
            batch=batch,
            caller=caller,
            defect=defect,
        )

    def open(
        self,
        plan: Plan,
        unit: str = "",
        *,
        batch: str = "",
        caller: tuple[str, str] = ("", ""),
        defect: tuple[str, str] = ("", ""),
    ) -> Run:
        """Open a job by a plan that is laid out already; arguments and errors as for `start`."""
        body = plan_text(plan)
        event = ev.JobStarted(
            plan=text_digest(body),
            procedure=plan.id,
            title=plan.title,
            revision=plan.revision,
            digest=plan.digest,
            procedure_kind=plan.procedure_kind,
            design=plan.design_id,
            design_revision=plan.design_revision,
            subject=plan.subject,
            defect=defect[0],
            defect_text=defect[1],
            batch=batch,
            caller=caller[0],
            caller_step=caller[1],
        )
        job = self._new_name()
        state = begin(plan, event, job=job, unit=unit, time=self.clock().isoformat())
        drafts = [
            *self.units.opening(unit, plan, batch=batch),
            Draft(kind=event.KIND, unit=unit, job=job, data=event.to_data()),
        ]
        recorded = self.store.append_all(drafts, texts=[body], glances={job: glance_text(state)})[-1]
        run = Run(self, begin(plan, event, job=job, unit=unit, time=recorded.time), away=timedelta())
        self._runs[job] = run
        return run

    def resume(self, job: str) -> Run:
        """Take up a job where the record says it stands.

        A job that was never suspended, since the program was killed or the power failed, is suspended now, so that
        the screen after a break is the same in every case.

        Raises:
            JobError: There is no such job, or it was not made from a procedure or checklist.
            RecordError: The suspension could not be written down.
        """
        if job in self._runs:
            return self._runs[job]
        folded = record_job(self.store, job)
        away = max(self.clock() - datetime.fromisoformat(folded.state.last), timedelta())
        run = Run(self, folded.state, away=away, conflicts=folded.conflicts)
        if folded.state.suspended is None and not folded.state.closed and not self.store.read_only:
            run.act(ev.Suspended(forced=True))
        self._runs[job] = run
        return run

    def look(self, job: str) -> JobState:
        """The state of a job as the record tells it, without taking it up."""
        return record_job(self.store, job).state

    def open_jobs(self) -> tuple[JobSummary, ...]:
        """Jobs that are not closed, the one touched last first; hunts for a fault are among them."""
        return self.jobs(open_only=True)

    def jobs(self, *, open_only: bool = False, unit: str | None = None) -> tuple[JobSummary, ...]:
        """Jobs at a glance, the one touched last first."""
        return record_jobs(self.store, open_only=open_only, unit=unit)

    def _subject_of(self, job: str, step: str) -> str:
        """What a called procedure is about: the subject of the step that calls it, or that of the whole job."""
        plan = self.resume(job).plan
        about = plan.step(step).subject
        return about.id if about else plan.subject

    def _design(self, own: str, chosen: str) -> Design | None:
        """The design to lay out over: the procedure's own, or the chosen one where it is made for any."""
        id = chosen if own in ("", "any") else own
        if id in ("", "any"):
            return None
        from benchtui.design import load_design

        return load_design(self.library.path_of("design", id))

    def _digest(self, kind: Kind, id: str) -> str:
        return text_digest(self.library.path_of(kind, id).read_text(encoding="utf-8"))

    def _new_name(self) -> str:
        known = {row.job for row in self.store.jobs()}
        while True:
            name = "J" + "".join(secrets.choice(_LETTERS) for _ in range(5))
            if name not in known:
                return name


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
        after = advance(self.state, event, time=self.bench.clock().isoformat(), plan=plan)
        data = event.to_data()
        if happened:
            data["happened"] = happened
        recorded = self._append(event.KIND, data, after, texts=[plan_text(plan)] if plan else [])
        # Folded anew with the time the record gave, so that this state is the very one a later start will find.
        self.state = advance(self.state, event, time=recorded.time, plan=plan)
        return self.state

    def _append(self, kind: str, data: dict[str, object], after: JobState, *, texts: Sequence[str]) -> Event:
        return self.bench.store.append(
            kind, unit=self.unit, job=self.job, data=data, texts=texts, glance=glance_text(after)
        )

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
        event = take(
            self.plan.step(step or self.state.current),
            typed,
            meter=self.bench.meter,
            today=self.bench.clock().date().isoformat(),
            override=override,
            reason=reason,
            asked=asked,
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
        """End the wait of the step in focus; before its time only with a reason."""
        now = moment(self.bench.clock)
        key = step or self.state.current
        return self.act(ev.TimerEnded(step=key, reason=reason, boot=now.boot, boot_seconds=now.boot_seconds))

    def left_to_wait(self, *, step: str = "") -> float | None:
        """Seconds still to wait at the step; None when no wait was started."""
        timer = self.state[step or self.state.current].timer
        return None if timer is None else remaining(timer, moment(self.bench.clock))

    def suspend(self, *, next_act: str = "", bench: Sequence[str] = (), forced: bool = False) -> JobState:
        """Stop work, in one key when nothing is said; harmless when the job is suspended or closed already."""
        if self.state.suspended is not None or self.state.closed:
            return self.state
        return self.act(ev.Suspended(next_act=next_act, bench=tuple(bench), forced=forced))

    def close(self, *, decision: str = "") -> JobState:
        """Close the job: complete, or with open items by a decision.

        Raises:
            JobError: Something is open and no decision was given.
        """
        open_items = self.state.open_items()
        result = "closed with open items" if open_items and decision.strip() else "complete"
        return self.act(ev.JobClosed(result=result, decision=decision, open_items=open_items))

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
            JobError: It is another procedure, or no reason is given.
        """
        changes = compare(self.plan, plan)
        event = ev.RevisionMoved(
            plan=text_digest(plan_text(plan)),
            revision=plan.revision,
            reason=reason,
            reopened=tuple(key for key in changes.changed if self.state[key].settled),
        )
        return self.act(event, plan=plan)


def _nearest(word: str, known: Iterable[str]) -> str:
    from difflib import get_close_matches

    close = get_close_matches(word, list(known), n=1)
    return f"did you mean {close[0]!r}?" if close else ""
