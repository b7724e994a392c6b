"""How long it takes to the next safe stop and to the end: by the plan's minutes, and by how long it took before."""

from __future__ import annotations

from collections import defaultdict
from datetime import datetime
from statistics import median
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from benchtui.jobs.events import Recorded
    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.plan import PlanStep

LONGEST: Final = 4 * 3600.0
"""Seconds beyond which a step was not worked on all the while, and says nothing about how long it takes."""

ENOUGH: Final = 3
"""Times a step must have been timed before its own median counts more than the author's estimate."""


def past_minutes(events: Iterable[Recorded]) -> Mapping[str, float]:
    """Median minutes of each step by its id, from begun to done in one go; of steps timed often enough.

    Args:
        events: Events of jobs of one procedure, any number of jobs, in the record's order.
    """
    begun: dict[tuple[str, str], str] = {}
    taken: dict[str, list[float]] = defaultdict(list)
    for event in events:
        step = str(event.data.get("step", ""))
        if event.kind == "step-begun":
            begun[event.job, step] = event.time
        elif event.kind == "suspended":
            begun = {key: time for key, time in begun.items() if key[0] != event.job}
        elif event.kind == "step-done" and (event.job, step) in begun:
            start = begun.pop((event.job, step))
            seconds = (datetime.fromisoformat(event.time) - datetime.fromisoformat(start)).total_seconds()
            if 0 < seconds <= LONGEST:
                taken[step.partition("@")[0]].append(seconds / 60)
    return {step: median(values) for step, values in taken.items() if len(values) >= ENOUGH}


def minutes_of(step: PlanStep, past: Mapping[str, float]) -> float:
    """Minutes a step takes: this person's own median where there is one, else the author's estimate."""
    if step.act == "wait":
        return step.seconds / 60
    return past.get(step.step_id, step.minutes)


def minutes_to_stop(state: JobState, past: Mapping[str, float]) -> float | None:
    """Minutes of work from the step in focus up to and with the next safe stop; None when there is no work left.

    Where the author marked no stop, the end of the section is one, as long as no hazard stands there and the next step
    may be left for later.
    """
    if not state.current:
        return None
    total = 0.0
    place = state.plan.places[state.current]
    standing = set(state.standing)
    for here, following in zip(state.plan.steps[place:], [*state.plan.steps[place + 1 :], None], strict=True):
        if not state[here.key].settled:
            total += minutes_of(here, past)
        if here.begins:
            standing.add(here.begins)
        standing.discard(here.ends)
        ends = following is None or following.section != here.section
        if here.stop or (ends and not standing and not here.no_break):
            return total
    return total


def minutes_left(state: JobState, past: Mapping[str, float]) -> float:
    """Minutes of work left in the whole job."""
    return sum(minutes_of(step, past) for step in state.plan.steps if not state[step.key].settled)


def minutes_unbroken(state: JobState, key: str, past: Mapping[str, float]) -> float:
    """Minutes of the stretch that must not be interrupted and begins with a step; 0 where none begins there."""
    place = state.plan.places[key]
    if place and state.plan.steps[place - 1].no_break:
        return 0.0
    total = 0.0
    for step in state.plan.steps[place:]:
        if not step.no_break:
            return total + minutes_of(step, past) if total else 0.0
        total += minutes_of(step, past)
    return total
