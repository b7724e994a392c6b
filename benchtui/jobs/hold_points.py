"""What of a unit no reason and no signature stands for: hold points never passed, procedures never gone through.

Behind a hold point stand the first power and the bonding of the panel: of a unit that did not get there nobody knows
whether it is safe to touch (ISO 9001:2015 8.6: a concession takes evidence).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.jobs.events import NOTHING_DONE
from benchtui.jobs.left_open import closed_short, still_told
from benchtui.jobs.left_out import left_out, out_line
from benchtui.jobs.lineage import first_of, procedure_of
from benchtui.jobs.plan import BUILDS, CALL, HOLD
from benchtui.jobs.steps import Status

if TYPE_CHECKING:
    from collections.abc import Iterator

    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.missing import Needs
    from benchtui.jobs.plan import PlanStep
    from benchtui.jobs.units import UnitView


def uncalled(view: UnitView, needs: Needs) -> Iterator[tuple[JobState, PlanStep]]:
    """Steps of closed jobs that called what proves something, are settled, and nobody went through what they called.

    An older program let such a step be called not applicable, or go by a job in which nothing was done. A run of the
    same procedure that was begun later, and came to its end, makes it good.
    """
    for place, job in enumerate(view.jobs):
        for step, known in job.every() if job.gone_through else ():
            empty = known.status is Status.DONE and known.returned == NOTHING_DONE
            if step.act != "call" or not (empty or known.status is Status.NOT_APPLICABLE):
                continue
            about = ("", job.plan.subject, step.subject.id if step.subject else "")
            done = any(
                each.plan.id == step.call and each.closed == "complete" and each.plan.subject in about
                for each in view.jobs[place + 1 :]
            )
            if not done and needs.proves(step.call):
                yield job, step


def uncalled_lines(view: UnitView, needs: Needs) -> Iterator[str]:
    """The same as lines of what is missing."""
    for job, step in uncalled(view, needs):
        yield f"step {step.number} was not gone through: {job.text_of(step)} (job {job.job})"


def unreached_hold(view: UnitView, needs: Needs) -> str:
    """The first hold point of a build or rework that nobody got past, in words; empty where all were passed.

    Args:
        view: The unit.
        needs: What its design asks of it.
    """
    return next(_unreached(view, needs), "")


def _unreached(view: UnitView, needs: Needs) -> Iterator[str]:
    jobs = {job.job: job for job in view.jobs}

    def words(job: JobState, step: PlanStep) -> str:
        where = f"step {step.number} of {job.plan.title}"
        if step.act == "call":
            return f"{where} was not gone through ({job.text_of(step)})"
        return f"the hold point at {where} was not passed ({job.text_of(step)})"

    begun = {procedure_of(job, jobs) for job in view.jobs if not job.slipped}
    for id, title in needs.procedures if view.planned else ():
        if id not in begun and needs.proves(id):
            yield f"{title} was never begun, and there are hold points in it"
    for job in view.jobs:
        builds = _kind(job, jobs) == "assembly" or (_kind(job, jobs) == "rework" and job.worked)
        for step in job.plan.steps if builds and not job.closed else ():
            if _holds(step, needs) and not job[step.key].settled:
                yield words(job, step)
    for job, items in closed_short(view):
        for item in items if _kind(job, jobs) in BUILDS else ():
            left = job.step(item.step)
            if left is not None and _holds(left, needs) and still_told(job, item, view):
                yield words(job, left)
    yield from (words(job, step) for job, step in uncalled(view, needs) if _kind(job, jobs) in BUILDS)
    for job, hidden in left_out(view):
        if _kind(job, jobs) in BUILDS and needs.duty(job.plan.id, hidden.step_id) in (HOLD, CALL):
            yield out_line(job, hidden)


def _holds(step: PlanStep, needs: Needs) -> bool:
    return step.hold or (step.act == "call" and needs.proves(step.call))


def _kind(job: JobState, jobs: dict[str, JobState]) -> str:
    """The kind of work a job belongs to: that of the procedure it was called from, or took up what was left open of."""
    first = first_of(job, jobs)
    while first.caller in jobs:
        first = first_of(jobs[first.caller], jobs)
    return first.plan.procedure_kind
