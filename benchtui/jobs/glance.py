"""A job in one line, for lists: kept beside the job's last event, and worked out anew where it is missing."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass, fields, replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any, Final

from benchtui.errors import JobError, RecordError
from benchtui.jobs.events import NOTHING_DONE
from benchtui.jobs.steps import Timer
from benchtui.jobs.tally import tally
from benchtui.jobs.timers import remaining

if TYPE_CHECKING:
    from collections.abc import Callable
    from typing import Protocol

    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.timers import Moment

    class Row(Protocol):
        """A job as the record lists it."""

        @property
        def job(self) -> str: ...
        @property
        def unit(self) -> str: ...
        @property
        def title(self) -> str: ...
        @property
        def first_kind(self) -> str: ...
        @property
        def first_time(self) -> str: ...
        @property
        def last_time(self) -> str: ...
        @property
        def closed(self) -> bool: ...
        @property
        def glance(self) -> str: ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiting:
    """A wait that runs, or is over and was not taken up yet."""

    step: str
    number: int
    text: str
    timer: Timer

    def left(self, now: Moment) -> float:
        """Seconds still to wait; 0 when it is over."""
        return remaining(self.timer, now)


@dataclass(frozen=True, slots=True, kw_only=True)
class JobSummary:
    """What a list of jobs shows of one."""

    job: str
    unit: str = ""
    title: str = ""
    procedure: str = ""
    """Id of the procedure or checklist; empty for a hunt for a fault."""
    procedure_kind: str = ""
    """assembly, rework, service, read-do or do-confirm; "fault finding" for a hunt."""
    revision: int = 0
    batch: str = ""
    started: str = ""
    last: str = ""
    """Time of the last event."""
    settled: int = 0
    of: int = 0
    """Steps settled, of how many."""
    number: int = 0
    text: str = ""
    """Number and text of the step in focus; 0 and empty when nothing is left to do."""
    suspended: bool = False
    left_on: tuple[str, ...] = ()
    """What is left on, hot or loose at the bench: hazards of the procedure that stand, and what was said of it."""
    waits: tuple[Waiting, ...] = ()
    next_act: str = ""
    failed: int = 0
    open_items: int = 0
    """Open items once every step was gone through; 0 while work is under way."""
    closed: str = ""
    caller: str = ""
    """Name of the job that called this one."""
    tally: str = ""
    """How many steps are done, failed, held and skipped, in words; empty in a line written by an older version."""

    @property
    def slipped(self) -> bool:
        """It was closed with nothing done in it, as `JobState.slipped`."""
        return self.closed == NOTHING_DONE


STALE_DAYS: Final = 7
"""Days without an event after which an open job is named as forgotten; our own choice."""


def is_stale(job: JobSummary, now: datetime) -> bool:
    """Whether nothing has happened to an open job for so long that it may have been forgotten."""
    return not job.closed and bool(job.last) and now - datetime.fromisoformat(job.last) > timedelta(days=STALE_DAYS)


def summarise(state: JobState) -> JobSummary:
    """The line of a job."""
    plan = state.plan
    step = plan.step(state.current) if state.current else None
    return JobSummary(
        job=state.job,
        unit=state.unit,
        title=plan.title,
        procedure=plan.id,
        procedure_kind=plan.procedure_kind,
        revision=plan.revision,
        batch=state.batch,
        settled=state.settled,
        of=len(plan),
        number=step.number if step else 0,
        text=state.text(step.key) if step else "",
        suspended=state.suspended is not None,
        left_on=left_at_bench(state),
        waits=_waits(state),
        next_act=state.suspended.next_act if state.suspended else "",
        failed=sum(known.status == "failed" for known in state.steps.values()),
        open_items=0 if step else len(state.open_items()),
        closed=state.closed,
        caller=state.caller,
        tally=tally(state),
    )


_HAZARDS: Final = {"soak-fire": "powered for hours: fire risk"}
"""Hazards whose id alone does not say what can happen."""


def hazard_words(hazard: str) -> str:
    """A hazard that stands, by its id, in words for a heading or a list."""
    return _HAZARDS.get(hazard, hazard.replace("-", " "))


def left_at_bench(state: JobState) -> tuple[str, ...]:
    """What a job that is open has left on, hot or loose at the bench, each once: by its steps, or by what was said."""
    standing = [hazard_words(hazard) for hazard in state.standing]
    said = [what for what in state.left if what not in standing]
    return () if state.closed else tuple(dict.fromkeys((*standing, *said)))


def _waits(state: JobState) -> tuple[Waiting, ...]:
    """The waits of a job that are not ended; one that was opened again starts anew and is none."""
    if state.closed:
        return ()
    return tuple(
        Waiting(step=step.key, number=step.number, text=state.text(step.key), timer=known.timer)
        for step in state.plan.steps
        if step.act == "wait" and (known := state[step.key]).timer and not known.timer.ended and not known.fresh
    )


def glance_text(state: JobState) -> str:
    """The line of a job as the record keeps it; times are the record's own."""
    return json.dumps(asdict(summarise(state)), ensure_ascii=False, separators=(",", ":"))


def summary_of(row: Row, look: Callable[[str], JobState]) -> JobSummary:
    """The line of a job from the record's list.

    Args:
        row: The job as the record lists it.
        look: Rebuilds the job, for one whose line is not up to date.
    """
    if row.glance:
        # Written by whichever version of the program wrote the last event; what it says beyond is passed over.
        kept = json.loads(row.glance)
        names = [entry.name for entry in fields(JobSummary) if entry.name in kept]
        values: dict[str, Any] = {
            name: tuple(kept[name]) if isinstance(kept[name], list) else kept[name] for name in names
        }
        values["waits"] = tuple(
            Waiting(**{**wait, "timer": Timer(**wait["timer"])}) for wait in values.get("waits", ())
        )
        known = JobSummary(**values)
    elif row.first_kind == "hunt-started":
        known = JobSummary(
            job=row.job,
            unit=row.unit,
            title=row.title,
            procedure_kind="fault finding",
            closed="closed" if row.closed else "",
        )
    else:
        try:
            known = summarise(look(row.job))
        except (JobError, RecordError) as error:  # one that cannot be read must not take the others along
            known = JobSummary(job=row.job, unit=row.unit, title=row.title, text=error.message)
    return replace(known, started=row.first_time, last=row.last_time)
