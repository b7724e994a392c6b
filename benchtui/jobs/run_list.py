"""Jobs as the record tells them, without the content they were started from and without taking them up."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from benchtui.errors import JobError
from benchtui.jobs.fold import Folded, fold
from benchtui.jobs.glance import JobSummary, glance_text, summary_of
from benchtui.jobs.plan_text import read_plan
from benchtui.jobs.run_batches import with_batch_names

if TYPE_CHECKING:
    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.plan import Plan
    from benchtui.record.store import Store


def record_job(store: Store, job: str) -> Folded:
    """A job rebuilt from the record, without taking it up.

    Raises:
        JobError: There is no such job, or it was not made from a procedure or checklist.
    """
    events = store.events(job=job)
    if not events:
        raise JobError(f"there is no job {job!r}", hint="see them all with: benchtui record --all")
    return fold(events, lambda digest: plan_of(store, digest))


def record_jobs(store: Store, *, open_only: bool = False, unit: str | None = None) -> tuple[JobSummary, ...]:
    """Jobs of a record at a glance, the one touched last first."""
    rows = store.jobs(open_only=open_only, unit=unit)
    clocks = {row.job: row.last_clock for row in rows}
    glances: dict[str, tuple[int, str]] = {}

    def look(job: str) -> JobState:
        state = record_job(store, job).state
        glances[job] = (clocks[job], glance_text(state))
        return state

    summaries = [summary_of(row, look) for row in rows]
    # What came in from another bench has no line yet: worked out once, it is kept.
    store.keep_glances(glances)
    return with_batch_names(store, summaries)


def unit_jobs(store: Store, unit: str) -> tuple[JobState, ...]:
    """The jobs of a unit from procedures and checklists, oldest first, as they stand in the record."""
    rows = sorted(store.jobs(unit=unit), key=lambda row: row.first_time)
    return tuple(record_job(store, row.job).state for row in rows if row.first_kind == "job-started")


def plan_of(store: Store, digest: str) -> Plan:
    """A plan that the record keeps, by its digest."""
    return _parsed(store.text(digest))


@lru_cache(maxsize=32)
def _parsed(text: str) -> Plan:
    """A plan from its text. The units of a batch share one plan, so it is read once for all of them."""
    return read_plan(text)
