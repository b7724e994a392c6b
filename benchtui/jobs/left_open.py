"""What closed jobs of a unit left open, each as a job that does it: steps that were not gone through, and defects."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from benchtui.jobs.plan import Plan, PlanStep
from benchtui.jobs.steps import Status

if TYPE_CHECKING:
    from collections.abc import Iterator

    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.units import OpenDefect, UnitView


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOpen:
    """Work that a closed job left open."""

    id: str
    text: str
    plan: Plan
    """Goes through it."""
    defect: tuple[str, str] = ("", "")
    """(id, text) of the defect it puts right, where it is one."""


def left_id(job: str) -> str:
    """Id of the plan that goes through the steps which a closed job left open."""
    return f"left-open-{job}"


def taken_up(job: JobState, view_jobs: tuple[JobState, ...]) -> JobState | None:
    """The last job that took up the steps which a closed one left open; None when there is none."""
    return next((each for each in reversed(view_jobs) if each.plan.id == left_id(job.job)), None)


def closed_short(view: UnitView) -> Iterator[JobState]:
    """Jobs that were closed with something open, and whose work no later job has gone through to the end."""
    for place, job in enumerate(view.jobs):
        same = (job.plan.id, job.plan.subject)
        later = (each for each in view.jobs[place + 1 :] if (each.plan.id, each.plan.subject) == same)
        if job.closed not in ("", "complete") and all(each.closed != "complete" for each in later):
            yield job


def left_open(view: UnitView) -> Iterator[LeftOpen]:
    """What closed jobs of a unit left open and no job has in hand now, steps first."""
    for job in closed_short(view):
        steps = () if taken_up(job, view.jobs) else _steps(job)
        if steps:
            title = f"Left open: {job.plan.title.removeprefix('Left open: ')}"
            plan = replace(job.plan, id=left_id(job.job), title=title, procedure_kind="service", steps=steps)
            count = sum(item.kind in ("step", "test") for item in job.open_list())
            text = f"{count} step{'s' if count != 1 else ''} of {job.plan.title} (job {job.job})"
            yield LeftOpen(id=job.job, text=text, plan=plan)
    jobs = {job.job: job for job in view.jobs}
    in_hand = {defect for job in view.jobs if not job.closed for defect in job.defects}
    for defect in view.defects:
        job = jobs[defect.id.partition(":")[0]]
        if job.closed and defect.id not in in_hand:
            text = f"defect {defect.id} {defect.status}: {defect.text}"
            yield LeftOpen(id=defect.id, text=text, plan=_rework(job, defect), defect=(defect.id, defect.text))


_OVER = (Status.DONE, Status.NOT_APPLICABLE)


def _steps(job: JobState) -> tuple[PlanStep, ...]:
    """The open steps, and those that begin and end a hazard which stands around one, such as power on and off."""
    wanted: set[str] = {gone.step.key for gone in job.gone.values() if gone.open}
    begun: list[PlanStep] = []
    within: set[str] = set()
    for step in job.plan.steps:
        if job.steps[step.key].status not in _OVER:
            wanted.add(step.key)
            within |= {each.key for each in begun}
        if step.begins:
            begun.append(step)
        if step.ends:
            for each in [each for each in begun if each.begins == step.ends]:
                within |= {step.key} if each.key in within or each.key in wanted else set()
                begun.remove(each)
    every = [step for step, _ in job.every() if step.key in wanted | within] if wanted else []
    return tuple(replace(step, number=number) for number, step in enumerate(every, start=1))


def _rework(job: JobState, defect: OpenDefect) -> Plan:
    what = defect.text.rstrip(".")
    begin = (("begin", f"Press d. Begin the rework of this defect: {what}.", "the list says: in rework"),)
    texts = (
        # What was touched at the first try is told at the end of this one, and no second rework is begun over it.
        *(begin if defect.status != "in rework" else ()),
        ("put-right", f"Put it right: {what}.", ""),
        ("end", "Press d. End the rework, and name all that was touched.", "the list says: reworked"),
    )
    steps = tuple(
        PlanStep(key=key, step_id=key, number=number, act="do", text=text, accept=accept)
        for number, (key, text, accept) in enumerate(texts, start=1)
    )
    title = f"Put right: {what}"
    return replace(
        job.plan,
        id=left_id(defect.id),
        title=title,
        procedure_kind="service",
        steps=steps,
        subject=defect.subject,
        hidden=(),
        after=(),
    )
