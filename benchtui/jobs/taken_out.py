"""What was taken out of a unit by a procedure that names the one which puts it back, and was not put back since."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.jobs.lineage import first_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.parts import Fitted
    from benchtui.jobs.units import UnitView


def still_out(view: UnitView) -> Iterator[str]:
    """What is still out of a unit, as lines of what it misses.

    It is back once the other procedure has come to its end, or a new part went into its place.
    """
    for job in view.jobs:
        if job.plan.put_back and job.gone_through and _worked(job) and not _is_back(job, view):
            what = job.plan.subject or "a part"
            yield f"{what} is still out: {job.plan.title} (job {job.job}); {job.plan.put_back} puts it back"


def _worked(job: JobState) -> bool:
    """Whether anything was done to the unit, or left out as done before: a photograph takes nothing out."""
    return any(step.is_work and known.settled for step, known in job.every())


def _is_back(out: JobState, view: UnitView) -> bool:
    ended, jobs = view.order.ended, {job.job: job for job in view.jobs}
    since, subject = ended.get(out.job, -1), out.plan.subject
    return any(
        first_of(job, jobs).plan.id == out.plan.put_back  # or what took up the steps that one of it left open
        and first_of(job, jobs).plan.subject == subject
        and job.closed == "complete"
        and ended.get(job.job, -1) > since
        for job in view.jobs
    ) or any(part.order > since and subject in part.place.split() and _in_place(part, view) for part in view.parts)


def _in_place(part: Fitted, view: UnitView) -> bool:
    """Whether a part went in where another came out, or rework put it in that says where: not a knob beside it."""
    return (
        part.exchange
        or any(old.out == part.order for old in view.parts)
        or any(
            job.plan.procedure_kind == "rework"
            and job.closed == "complete"
            and job.plan.subject == part.place
            and any(step.trace and step.subject and step.subject.id == part.place for step in job.plan.steps)
            for job in view.jobs
        )
    )
