"""The bench: jobs opened, taken up and listed. `Run`, one open job, is in `jobs.run_job`."""

from __future__ import annotations

import secrets
from contextlib import suppress
from dataclasses import replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Final

from benchtui.errors import BenchError
from benchtui.jobs import events as ev
from benchtui.jobs.glance import JobSummary, glance_text
from benchtui.jobs.iron import iron_cautions
from benchtui.jobs.left_open import PUT_RIGHT, left_open
from benchtui.jobs.left_out import left_out_work
from benchtui.jobs.mistakes import refuse
from benchtui.jobs.plan_text import plan_text
from benchtui.jobs.plans import Plans
from benchtui.jobs.readings import Meter
from benchtui.jobs.run_job import Run as Run
from benchtui.jobs.run_list import record_job as record_job
from benchtui.jobs.run_list import record_jobs as record_jobs
from benchtui.jobs.run_sitting import bench_named
from benchtui.jobs.run_units import Units
from benchtui.jobs.serials import written
from benchtui.jobs.state import begin
from benchtui.record.event import Draft, root_of, text_digest
from benchtui.record.store import local_now

if TYPE_CHECKING:
    from collections.abc import Callable

    from benchtui.content.library import Library
    from benchtui.errors import Problem
    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.left_open import LeftOpen
    from benchtui.jobs.plan import Plan
    from benchtui.record.store import Store

_LETTERS: Final = "ACDEFHJKMNPRTWXY34679"
"""Letters and digits of job names: none that looks like another."""


class Bench:
    """The jobs of one record, and the content they are started from.

    Args:
        library: Procedures, checklists, cautions and designs.
        store: The record.
        clock: Gives the time of day with its offset.
        judge: What `benchtui check` finds wrong with the files that a plan is made of. No job is begun by a text with a
            mistake. None where every text is known to be good.
    """

    def __init__(
        self,
        library: Library,
        store: Store,
        *,
        clock: Callable[[], datetime] = local_now,
        judge: Callable[[Library, Plan], tuple[Problem, ...]] | None = None,
    ) -> None:
        self.library = library
        self.store = store
        self.clock = clock
        self.units = Units(store, library, clock=clock)
        self.units.ended = self.look_again
        self._laid_out = Plans(library)
        self._judge = judge
        self.meter: Meter | None = None
        """The meter of this sitting; None while none was chosen."""
        self._runs: dict[str, Run] = {}

    def meter_id(self) -> str:
        """Id of that meter; empty for none."""
        return self.meter.id if self.meter else ""

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
        facts = self.units.facts(unit) if unit else None
        return self._laid_out.plan(id, design_id=design_id, subject=subject, unit=facts)

    def trusted(self, id: str, *, design_id: str = "", subject: str = "", unit: str = "") -> Plan:
        """The plan of a procedure or checklist, to begin a job by; arguments and errors as for `plan`.

        Raises:
            JobError: The check finds a mistake in its text, such as a hazard to a person without its caution.
        """
        plan = self.plan(id, design_id=design_id, subject=subject, unit=unit)
        refuse(plan, self.mistakes(plan))
        return plan

    def mistakes(self, plan: Plan) -> tuple[Problem, ...]:
        """What the check finds wrong with the files of a plan; no job is begun by such a text or moved to it."""
        return self._judge(self.library, plan) if self._judge else ()

    def left_open(self, unit: str) -> tuple[LeftOpen, ...]:
        """What closed jobs of a unit left open, and what they left out that is for it by what is known now.

        Raises:
            JobError: A procedure whose steps were left out is there no more.
            ContentError: Its file has problems.
        """

        def plan_of(job: JobState) -> Plan:
            return self.plan(job.plan.id, design_id=job.plan.design_id, subject=job.plan.subject, unit=unit)

        view = self.units.view(unit)
        return (*map(self._with_iron, left_open(view)), *left_out_work(view, plan_of))

    def _with_iron(self, left: LeftOpen) -> LeftOpen:
        """Work that was left open; what puts a defect right has the cautions of the iron, since a joint may need it."""
        if not left.defect[0] or self.library is None:
            return left
        design = None
        with suppress(BenchError):  # its file may be gone; the cautions that hold for any iron stand
            design = self._laid_out.design(left.plan.design_id)
        found = iron_cautions(self.library.cautions(), design)
        steps = [replace(step, cautions=found) if step.key == PUT_RIGHT else step for step in left.plan.steps]
        return replace(left, plan=replace(left.plan, steps=tuple(steps)))

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
            JobError: There is nothing of that id, it has no step for this unit, or its text has a mistake.
            RecordError: It could not be written down.
        """
        if caller[0] and not subject:
            subject = _about(self.resume(caller[0]).plan, caller[1])
        return self.open(
            self.trusted(id, design_id=design_id, subject=subject, unit=unit),
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
        calling: Run | None = None,
    ) -> Run:
        """Open a job by a plan that is laid out already; arguments and errors as for `start`.

        The calling job, where it is given, gets its mark in the same stroke: a kill between the two would leave a job
        that nothing leads back to.
        """
        unit, plan = written(unit), plan.numbered()
        body = plan_text(plan)
        event = ev.JobStarted(
            plan=text_digest(body),
            procedure=plan.id,
            title=plan.title,
            revision=plan.revision,
            digest=plan.digest,
            proven="" if plan.proven == "released" else plan.proven,
            first_use=plan.proven == "draft" and not self._used(plan),
            procedure_kind=plan.procedure_kind,
            design=plan.design_id,
            design_revision=plan.design_revision,
            subject=plan.subject,
            defect=defect[0],
            defect_text=defect[1],
            defect_begun=bool(defect[0]) and self.units.rework_begun(unit, defect[0]),
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
        glances = {job: glance_text(state)}
        opened = ev.CallOpened(step=caller[1], called=job)
        if calling is not None:
            draft, glances[calling.job] = calling.prepare(opened)
            drafts += [*calling.beside(opened), draft]
        recorded = self.store.append_all(drafts, texts=[body], glances=glances)[-1]
        if calling is not None:
            calling.adopt(opened, time=recorded.time)
        run = Run(self, begin(plan, event, job=job, unit=unit, time=recorded.time), away=timedelta())
        self._runs[job] = run
        return run

    def _used(self, plan: Plan) -> bool:
        """Whether somebody has worked by this revision of the text before."""
        begun = self.store.events(kinds=[ev.JobStarted.KIND], where=("procedure", plan.id))
        return any(event.data.get("revision") == plan.revision for event in begun)

    def call(self, run: Run, step: str) -> Run:
        """The job of the procedure that a step calls: the one that is open or has come to its end, or else a new one.

        Raises:
            JobError: There is no such procedure, or its text has a mistake.
            ContentError: Its file has problems.
            RecordError: It could not be written down.
        """
        called = self.called(run, step)
        if called is not None:
            return called
        here = run.plan.step(step)
        plan = self.trusted(here.call, design_id=run.plan.design_id, subject=_about(run.plan, step), unit=run.unit)
        return self.open(plan, run.unit, caller=(run.job, step), calling=run)

    def called(self, run: Run, step: str) -> Run | None:
        """The job that a step of a job has called and not returned from; None when there is none."""
        known = run.state[step]
        return self.resume(known.called) if known.called else None

    def once_a_sitting(self, procedure: str) -> bool:
        """Whether one run of a procedure serves every unit of a batch, since it is about the bench."""
        return procedure in self._laid_out.once_a_sitting()

    def resume(self, job: str) -> Run:
        """Take up a job where the record says it stands.

        A job that was never suspended, since the program was killed or the power failed, is suspended now, so that
        the screen after a break is the same in every case. One that another bench has in hand says so.

        Raises:
            JobError: There is no such job, or it was not made from a procedure or checklist.
            RecordError: The suspension could not be written down.
        """
        if job in self._runs:
            return self._runs[job]
        folded = record_job(self.store, job)
        away = max(self.clock() - datetime.fromisoformat(folded.state.last), timedelta())
        run = Run(self, folded.state, away=away, conflicts=bench_named(self.store, folded.conflicts))
        if folded.state.suspended is None and not folded.state.closed and not self.store.read_only:
            elsewhere = root_of(self.store.events(job=job, newest=1)[0].origin) != root_of(self.store.origin)
            # Nothing was ended from outside here: the other bench has it in hand, or had when it gave its record out.
            run.act(ev.Suspended(bench=folded.state.left, forced=True, elsewhere=elsewhere))
        self._runs[job] = run
        return run

    def look_again(self) -> None:
        """Take the jobs in hand as the record has them now: a unit of theirs may have been given another number."""
        for job, run in self._runs.items():
            run.state = record_job(self.store, job).state

    def look(self, job: str) -> JobState:
        """The state of a job as the record tells it, without taking it up."""
        return record_job(self.store, job).state

    def stack(self, run: Run) -> tuple[tuple[str, int, str], ...]:
        """Where the job was called from, outermost first: (job, number of the calling step, title)."""
        found: list[tuple[str, int, str]] = []
        state = run.state
        while state.caller:
            calling = self.look(state.caller)
            number = calling.plan.step(state.caller_step).number if calling.plan.has(state.caller_step) else 0
            found.append((calling.job, number, calling.plan.title))
            state = calling
        return tuple(reversed(found))

    def open_jobs(self) -> tuple[JobSummary, ...]:
        """Jobs that are not closed, the one touched last first; hunts for a fault are among them."""
        return self.jobs(open_only=True)

    def jobs(self, *, open_only: bool = False, unit: str | None = None) -> tuple[JobSummary, ...]:
        """Jobs at a glance, the one touched last first."""
        return record_jobs(self.store, open_only=open_only, unit=unit)

    def _new_name(self) -> str:
        known = {row.job for row in self.store.jobs()}
        while True:
            name = "J" + "".join(secrets.choice(_LETTERS) for _ in range(5))
            if name not in known:
                return name


def _about(plan: Plan, step: str) -> str:
    """What a called procedure is about: the subject of the step that calls it, or that of the whole job."""
    subject = plan.step(step).subject
    return subject.id if subject else plan.subject
