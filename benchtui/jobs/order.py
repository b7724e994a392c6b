"""What came after what on one unit: the order of its events, which neither the start of a job nor a clock tells.

Two jobs go on beside each other, a reading is taken long before its step is marked, and a clock is set back; what
counts is where an event stands among those of the unit.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from benchtui.jobs.events import Recorded
    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.plan import PlanStep

At = tuple[str, str]
"""A step of a job: name of the job, key of the step."""

_SHOWN: Final = frozenset({"reading", "choice", "step-failed", "step-reopened"})
"""Kinds of events by which a step may have shown that something is wrong."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """Places among the events of a unit, from 0."""

    ended: Mapping[str, int] = field(default_factory=dict)
    """Job to the event that closed it last."""
    shown: Mapping[At, int] = field(default_factory=dict)
    """Step to the last event by which it may have shown that something is wrong."""
    proved: Mapping[At, int] = field(default_factory=dict)
    """Step that was marked done to what its mark rests on: the reading, answer or signature, not the mark itself."""
    waited: Mapping[At, int] = field(default_factory=dict)
    """Step to the last end of its wait."""


def order_of(jobs: Iterable[JobState], events: Iterable[Recorded]) -> Order:
    """The order of what happened to a unit.

    Args:
        jobs: States of the unit's jobs.
        events: Every event of the unit in the record's order.
    """
    states = {job.job: job for job in jobs}
    ended: dict[str, int] = {}
    last: dict[tuple[str, str, str], int] = {}
    shown: dict[At, int] = {}
    proved: dict[At, int] = {}
    for place, event in enumerate(events):
        key = str(event.data.get("step", ""))
        last[event.job, key, event.kind] = place
        if event.kind == "job-closed":
            ended[event.job] = place
        if event.kind in _SHOWN:
            shown[event.job, key] = place
        state = states.get(event.job)
        step = state.step(key) if state is not None and event.kind == "step-done" else None
        if step is not None:
            proved[event.job, key] = min(last.get((event.job, key, kind), place) for kind in _rests_on(step))
    waited = {(job, key): place for (job, key, kind), place in last.items() if kind == "timer-ended"}
    return Order(ended=ended, shown=shown, proved=proved, waited=waited)


def _rests_on(step: PlanStep) -> tuple[str, ...]:
    """Kinds of the events that a mark of this step rests on."""
    given = ("reading",) * (step.limits is not None) + ("choice",) * bool(step.choices)
    acts = {"sign": "signed-off", "wait": "timer-ended", "call": "call-returned"}
    return (*given, *((acts[step.act],) if step.act in acts else ())) or ("step-done",)
