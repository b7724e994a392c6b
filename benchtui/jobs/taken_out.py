"""What was taken out of a unit by a procedure that names the one which puts it back, and was not put back since."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.units import UnitView


def still_out(view: UnitView) -> Iterator[str]:
    """What is still out of a unit, as lines of what it misses.

    It is back once the other procedure has come to its end, or a new part went into its place.
    """
    for job in view.jobs:
        if job.plan.put_back and job.gone_through and not _is_back(job, view):
            what = job.plan.subject or "a part"
            yield f"{what} is still out: {job.plan.title} (job {job.job}); {job.plan.put_back} puts it back"


def _is_back(out: JobState, view: UnitView) -> bool:
    ended = view.order.ended
    since, subject = ended.get(out.job, -1), out.plan.subject
    return any(
        job.plan.id == out.plan.put_back
        and job.plan.subject == subject
        and job.closed == "complete"
        and ended.get(job.job, -1) > since
        for job in view.jobs
    ) or any(part.exchange and part.order > since and subject in part.place.split() for part in view.parts)
