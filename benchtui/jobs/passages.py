"""A procedure and all it calls, in the order it is gone through on a unit: one that is called twice comes twice."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping

    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.plan import Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class Passage:
    """A procedure gone through once.

    Attributes:
        plan: Its plan: the one its job was started with, else the one the files give now.
        job: Its job in the record; None where there is none yet.
        called: Where it was called, in words: "step 12 of “Build one Hollin cue desk”"; empty for the first.
    """

    plan: Plan
    job: JobState | None = None
    called: str = ""


def with_called(first: Passage, jobs: Iterable[JobState], plan_of: Callable[[str], Plan | None]) -> Iterator[Passage]:
    """A passage and those of all that its procedure calls, each behind the one that calls it.

    Args:
        first: The procedure that is gone through.
        jobs: Jobs of the unit.
        plan_of: Gives the plan of a procedure that no job was begun of, by its id; None to leave it out.
    """
    yield from _passages(first, {(job.caller, job.caller_step): job for job in jobs if job.caller}, plan_of)


def _passages(
    here: Passage, called: Mapping[tuple[str, str], JobState], plan_of: Callable[[str], Plan | None]
) -> Iterator[Passage]:
    yield here
    for step in here.plan.steps:
        if not step.call:
            continue
        job = called.get((here.job.job, step.key)) if here.job else None
        if job is None and here.job and here.job[step.key].returned:
            continue  # it is about the bench, and was gone through on another unit of the batch
        plan = job.plan if job else plan_of(step.call)
        if plan is not None:
            where = f"step {step.number} of “{here.plan.title}”"
            yield from _passages(Passage(plan=plan, job=job, called=where), called, plan_of)
