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
    from collections.abc import Callable, Iterable, Sequence

    from benchtui.jobs.events import Recorded
    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.plan import Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class Folded:
    """A job rebuilt from its events."""

    state: JobState
    conflicts: tuple[Conflict, ...] = ()
    """Those that were not decided yet."""


def fold(events: Iterable[Recorded], plan_of: Callable[[str], Plan], *, kept: Folds | None = None) -> Folded:
    """Rebuild a job.

    Args:
        events: Its events in the record's order.
        plan_of: Gives the plan of a digest.
        kept: How far the same job was rebuilt before, so that only what came after has to be read; None for nothing.

    Raises:
        JobError: The events do not begin with the start of a job.
    """
    every = told_apart(list(events))
    job = every[0].job if every else ""
    folding = (kept.pop(job, None) if kept is not None else None) or _Folding()
    if not folding.begins(every):
        folding = _Folding()
    for recorded in every[len(folding.read) :]:
        folding.take(recorded, plan_of)
    if folding.state is None:
        raise JobError("this job has no events")
    if kept is not None:
        kept[job] = folding
    settled = decided(every) if folding.conflicts else frozenset()
    conflicts = tuple(each for each in folding.conflicts if each.id not in settled)
    return Folded(state=folding.state, conflicts=conflicts)


class _Folding:
    """A job rebuilt as far as its events were read."""

    def __init__(self) -> None:
        self.read: list[Recorded] = []
        self.state: JobState | None = None
        self.conflicts: list[Conflict] = []
        self._sittings = Sittings()

    def begins(self, every: Sequence[Recorded]) -> bool:
        """Whether what was read is how these events begin; an import may have put others between them."""
        return list(map(_told, self.read)) == list(map(_told, every[: len(self.read)]))

    def take(self, recorded: Recorded, plan_of: Callable[[str], Plan]) -> None:
        """Go on by one event; raises JobError where the first is not the start of a job."""
        self.read.append(recorded)
        event = read_event(recorded.kind, recorded.data)
        if event is None:
            return
        if self.state is None:
            if not isinstance(event, JobStarted):
                raise JobError(f"the job {recorded.job} has no beginning in this record")
            self.state = begin(plan_of(event.plan), event, job=recorded.job, unit=recorded.unit, time=recorded.time)
            return
        before = state = self.state
        plan = plan_of(event.plan) if isinstance(event, RevisionMoved) else None
        try:
            state = advance(state, event, time=recorded.time, plan=plan)
        except JobError as error:
            seen = self._sittings.seen_by(bench_of(recorded), state)
            try:
                new = advance(seen, event, time=recorded.time, plan=plan)
                state = _in_the_sitting_of(state, new)
            except JobError:
                state, conflict = settle(state, event, recorded, plan, error, seen)
                self.conflicts.append(conflict)
        self._sittings.follow(bench_of(recorded), event, before)
        self.state = state


Folds = dict[str, _Folding]
"""Name of a job to how far it was rebuilt."""


def _told(event: Recorded) -> tuple[str, str, object]:
    """What tells an event apart, also after a unit was parted or a defect renamed by an import."""
    return event.id, event.unit, event.data.get("defect")


def _in_the_sitting_of(state: JobState, new: JobState) -> JobState:
    """What was done in another sitting: it counts, and whether the work is in hand here stays as it was."""
    suspended = None if new.closed else state.suspended
    return replace(new, suspended=suspended, acknowledged=state.acknowledged, identify=state.identify)
