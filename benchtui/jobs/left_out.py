"""Steps that jobs left out as not for their unit, and that are for it since what is fixed of it was put right."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from benchtui.jobs.applies import is_for
from benchtui.jobs.left_open import LeftOpen, around
from benchtui.jobs.lineage import first_of, left_id, procedure_of, taken_up
from benchtui.jobs.steps import Status

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.plan import Hidden, Plan
    from benchtui.jobs.units import UnitView


def left_out(view: UnitView) -> Iterator[tuple[JobState, Hidden]]:
    """Each closed job with each such step; a job that is open is asked to go on by the newer text.

    A step that any job of the same procedure has done since is out no more.
    """
    jobs = {job.job: job for job in view.jobs}
    told: set[tuple[str, str, str]] = set()
    for job in view.jobs:
        for hidden in job.plan.hidden if job.gone_through and first_of(job, jobs) is job else ():
            place = (procedure_of(job, jobs), job.plan.subject, hidden.step_id)
            if place not in told and is_for(hidden.because, view.facts) and not _done(job, hidden, jobs):
                told.add(place)
                yield job, hidden


def left_out_lines(view: UnitView, must: Callable[[JobState, Hidden], bool]) -> Iterator[str]:
    """The same as lines of what is missing: those that `must` says this of."""
    yield from (out_line(job, hidden) for job, hidden in left_out(view) if must(job, hidden))


def out_line(job: JobState, hidden: Hidden) -> str:
    """One such step in words."""
    return f"left out, and it is for this unit: {hidden.text} ({job.plan.title}, job {job.job})"


def left_out_work(view: UnitView, plan_of: Callable[[JobState], Plan]) -> Iterator[LeftOpen]:
    """Such steps as jobs that do them, one for each job that left some out.

    Args:
        view: The unit.
        plan_of: Gives the plan of a job's procedure as it is for the unit now.
    """
    by_job: dict[str, list[Hidden]] = {}
    for job, hidden in left_out(view):
        by_job.setdefault(job.job, []).append(hidden)
    for job in view.jobs:
        ids = {hidden.step_id for hidden in by_job.get(job.job, ())}
        if not ids or any(not each.closed for each in taken_up(job, view.jobs)):
            continue
        plan = plan_of(job)
        wanted = {step.key for step in plan.steps if step.step_id in ids}
        keys = wanted | around(plan.steps, wanted)
        steps = tuple(step for step in plan.steps if step.key in keys)
        if wanted:
            title = f"Left out: {job.plan.title}"
            text = f"{len(wanted)} step{'s' if len(wanted) != 1 else ''} left out of {job.plan.title} (job {job.job})"
            plan = replace(plan, id=left_id(job.job), title=title, procedure_kind="service", steps=steps)
            yield LeftOpen(id=f"out:{job.job}", text=text, plan=plan.numbered())


def _done(job: JobState, hidden: Hidden, jobs: Mapping[str, JobState]) -> bool:
    root = procedure_of(job, jobs)
    return any(
        step.step_id == hidden.step_id and known.status in (Status.DONE, Status.NOT_APPLICABLE)
        for each in jobs.values()
        if procedure_of(each, jobs) == root and each.plan.subject == job.plan.subject
        for step, known in each.every()
    )
