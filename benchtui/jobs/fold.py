"""Rebuilding a job from its record.

Events of one bench always fold, for each was checked before it was written. A job that was worked on at two benches and
merged can hold events that contradict each other; such an event is kept where it can be and named (`jobs.conflicts`),
never dropped in silence, and as the order of a merged record is the same everywhere, so is the outcome.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from benchtui.errors import JobError
from benchtui.jobs.benches import Sittings
from benchtui.jobs.conflicts import Conflict as Conflict
from benchtui.jobs.conflicts import bench_of, decided, settle, told_apart
from benchtui.jobs.events import JobStarted, RevisionMoved, read_event
from benchtui.jobs.state import advance, begin

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from benchtui.jobs.events import Recorded
    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.plan import Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class Folded:
    """A job rebuilt from its events."""

    state: JobState
    conflicts: tuple[Conflict, ...] = ()
    """Those that were not decided yet."""


def fold(events: Iterable[Recorded], plan_of: Callable[[str], Plan]) -> Folded:
    """Rebuild a job.

    Args:
        events: Its events in the record's order.
        plan_of: Gives the plan of a digest.

    Raises:
        JobError: The events do not begin with the start of a job.
    """
    state: JobState | None = None
    conflicts = []
    sittings = Sittings()
    every = told_apart(list(events))
    for recorded in every:
        event = read_event(recorded.kind, recorded.data)
        if event is None:
            continue
        if state is None:
            if not isinstance(event, JobStarted):
                raise JobError(f"the job {recorded.job} has no beginning in this record")
            state = begin(plan_of(event.plan), event, job=recorded.job, unit=recorded.unit, time=recorded.time)
            continue
        before = state
        plan = plan_of(event.plan) if isinstance(event, RevisionMoved) else None
        try:
            state = advance(state, event, time=recorded.time, plan=plan)
        except JobError as error:
            seen = sittings.seen_by(bench_of(recorded), state)
            try:
                new = advance(seen, event, time=recorded.time, plan=plan)
                state = _in_the_sitting_of(state, new)
            except JobError:
                state, conflict = settle(state, event, recorded, plan, error, seen)
                conflicts.append(conflict)
        sittings.follow(bench_of(recorded), event, before)
    if state is None:
        raise JobError("this job has no events")
    settled = decided(every) if conflicts else frozenset()
    return Folded(state=state, conflicts=tuple(each for each in conflicts if each.id not in settled))


def _in_the_sitting_of(state: JobState, new: JobState) -> JobState:
    """What was done in another sitting: it counts, and whether the work is in hand here stays as it was."""
    suspended = None if new.closed else state.suspended
    return replace(new, suspended=suspended, acknowledged=state.acknowledged, identify=state.identify)
