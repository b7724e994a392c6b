"""Of which procedure a job is, and which of its steps a step is, also where one job takes up or repeats another."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from benchtui.jobs.jobstate import JobState

_LEFT: Final = "left-open-"


def left_id(job: str) -> str:
    """Id of the plan that goes through the steps which a closed job left open."""
    return f"{_LEFT}{job}"


def taken_up(job: JobState, jobs: Iterable[JobState]) -> tuple[JobState, ...]:
    """The jobs that took up the steps which a closed one left open."""
    return tuple(each for each in jobs if each.plan.id == left_id(job.job))


def procedure_of(job: JobState, jobs: Mapping[str, JobState]) -> str:
    """Id of the procedure that a job goes through, also where it takes up what another job of it had left open."""
    return first_of(job, jobs).plan.id


def first_of(job: JobState, jobs: Mapping[str, JobState]) -> JobState:
    """The job that left open what this one takes up, however often it was taken up; itself where it is none."""
    while job.plan.id.startswith(_LEFT) and job.plan.id.removeprefix(_LEFT) in jobs:
        job = jobs[job.plan.id.removeprefix(_LEFT)]
    return job


def step_of(job: JobState, key: str, jobs: Mapping[str, JobState]) -> tuple[str, str]:
    """(id of its procedure, key there) of a step, also where this job makes the step of another again."""
    step = job.step(key)
    return step.again if step is not None and step.again[0] else (procedure_of(job, jobs), key)
