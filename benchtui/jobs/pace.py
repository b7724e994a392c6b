"""How long it takes to the next safe stop and to the end: by the plan's minutes, and by how long it took before."""

from __future__ import annotations

from collections import defaultdict
from datetime import datetime
from statistics import median
from typing import TYPE_CHECKING, Final

from benchtui.jobs.timers import remaining

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from benchtui.jobs.events import Recorded
    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.plan import PlanStep
    from benchtui.jobs.timers import Moment

LONGEST: Final = 4 * 3600.0
"""Seconds beyond which a step was not worked on all the while, and says nothing about how long it takes."""

ENOUGH: Final = 3
"""Times a step must have been timed before its own median counts more than the author's estimate."""


def past_minutes(events: Iterable[Recorded]) -> Mapping[str, float]:
    """Median minutes of each step by its id, from begun to done in one go; of steps timed often enough.

    Units of a batch have one step in hand together: the time is divided by how many they were, and counts once.

    Args:
        events: Events of jobs of one procedure, any number of jobs, in the record's order.
    """
    begun: dict[tuple[str, str], str] = {}
    spans: dict[str, list[tuple[float, float]]] = defaultdict(list)
    for event in events:
        step = str(event.data.get("step", ""))
        if event.kind == "step-begun":
            begun[event.job, step] = event.time
        elif event.kind == "suspended":
            begun = {key: time for key, time in begun.items() if key[0] != event.job}
        elif event.kind == "step-done" and (event.job, step) in begun:
            start = datetime.fromisoformat(begun.pop((event.job, step))).timestamp()
            end = datetime.fromisoformat(event.time).timestamp()
            if 0 < end - start <= LONGEST:
                spans[step].append((start, end))
    taken: dict[str, list[float]] = defaultdict(list)
    for step, found in spans.items():
        taken[step.partition("@")[0]] += _each(found)
    return {step: median(values) for step, values in taken.items() if len(values) >= ENOUGH}


def _each(spans: Sequence[tuple[float, float]]) -> list[float]:
    """Minutes a unit for each time a step was done, of one unit or of several whose times overlap.

    Args:
        spans: (begun, done) in seconds, one for each unit.
    """
    minutes: list[float] = []
    first, last, count = 0.0, 0.0, 0
    for start, end in [*sorted(spans), (float("inf"), float("inf"))]:
        if count and start >= last:
            minutes.append((last - first) / count / 60)
            count = 0
        first, last, count = (start, end, 1) if not count else (first, max(last, end), count + 1)
    return minutes


def minutes_of(step: PlanStep, past: Mapping[str, float]) -> float:
    """Minutes a step takes: this person's own median where there is one, else the author's estimate."""
    if step.act == "wait":
        return step.seconds / 60
    return past.get(step.step_id, step.minutes)


def _minutes_still(state: JobState, step: PlanStep, past: Mapping[str, float], now: Moment | None) -> float:
    """The same of a step that is not settled, with what is left of a wait that runs."""
    timer = state[step.key].timer
    if now is None or step.act != "wait" or timer is None or state[step.key].fresh:
        return minutes_of(step, past)
    return remaining(timer, now) / 60


def minutes_to_stop(state: JobState, past: Mapping[str, float], now: Moment | None = None) -> float | None:
    """Minutes of work from the step in focus up to and with the next safe stop; None when there is no work left.

    Where the author marked no stop, the end of the section is one, as long as no hazard stands there and the next step
    may be left for later.

    Args:
        state: The job.
        past: Minutes of each step by its id, as this person took them.
        now: The present moment, of which a wait that runs has only its rest to go; None counts every wait whole.
    """
    if not state.current:
        return None
    total = 0.0
    place = state.plan.places[state.current]
    standing = set(state.standing)
    for here, following in zip(state.plan.steps[place:], [*state.plan.steps[place + 1 :], None], strict=True):
        if not state[here.key].settled:
            total += _minutes_still(state, here, past, now)
        if here.begins:
            standing.add(here.begins)
        standing.discard(here.ends)
        ends = following is None or following.section != here.section
        if here.stop or (ends and not standing and not here.no_break):
            return total
    return total


def minutes_left(state: JobState, past: Mapping[str, float], now: Moment | None = None) -> float:
    """Minutes of work left in the whole job."""
    return sum(_minutes_still(state, step, past, now) for step in state.plan.steps if not state[step.key].settled)


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
