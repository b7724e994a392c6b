"""What an act is kept with beyond what the builder said: its time, the meter, what it touched, what its end leaves."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from benchtui.faults.events import (
    TIMED,
    DeadlineSet,
    HuntClosed,
    ReadingTyped,
    RepairDone,
    TestAnswered,
    WalkOpened,
)
from benchtui.faults.extents import close_with_touched, repair_with_touched
from benchtui.faults.near_limit import parts_of
from benchtui.faults.points import points_of
from benchtui.faults.run_beside import with_warning
from benchtui.faults.soaked import doubt_left
from benchtui.faults.standing_fault import close_with_way

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.faults.events import HuntEvent
    from benchtui.faults.hunt import HuntState
    from benchtui.faults.run import HuntRun


def kept_with(run: HuntRun, event: HuntEvent) -> HuntEvent:
    """An act as it is written down; what it already says of itself stays.

    Args:
        run: The hunt as it stands before the act.
        event: The act as the builder made it.
    """
    state = run.state
    if isinstance(event, TIMED) and event.minute is None and state.deadline is not None:
        event = replace(event, minute=round(run.elapsed, 2))
    if isinstance(event, DeadlineSet) and event.minute is None:
        event = replace(event, minute=round(run.by_clock, 2))
    if isinstance(event, TestAnswered) and event.typed and not event.parts:
        event = replace(event, parts=_near_limit(state, event))
    if isinstance(event, TestAnswered | ReadingTyped) and event.typed:
        event = replace(event, meter=event.meter or run.hunts.meter())
    if isinstance(event, RepairDone) and not event.touched:
        event = replace(repair_with_touched(state, event), walked=_walked(run, event.repair))
    return _end(state, event) if isinstance(event, HuntClosed) else event


def _end(state: HuntState, event: HuntClosed) -> HuntClosed:
    """The end of a hunt, with what it touched, what stands in, and what the next person has to know."""
    event = close_with_way(state, event if event.touched else close_with_touched(state, event))
    if state.locks:
        return with_warning(event)
    doubt = doubt_left(state) if event.result == "fixed" else ""
    return replace(event, done="; ".join(each for each in (event.done, doubt) if each))


def _walked(run: HuntRun, repair: str) -> str:
    """Name of the job that walked through a repair to its end since the one before it; empty when none did."""
    known = run.state.layout.repair(repair)
    procedure = known.procedure if known else ""
    for event in reversed(run.state.events):
        if isinstance(event, RepairDone):
            break
        if isinstance(event, WalkOpened) and event.procedure == procedure:
            # One that was closed short was not gone through: the repair was made by hand, after it.
            ends = run.hunts.store.events(job=event.job, kinds=["job-closed"], newest=1)
            # A job that came to its end says nothing of it: the record leaves out what is usual.
            return event.job if ends and ends[0].data.get("result", "complete") == "complete" else ""
    return ""


def _near_limit(state: HuntState, event: TestAnswered) -> Mapping[str, float]:
    """What typed readings near a limit speak for; empty for none."""
    test = state.layout.test(event.test)
    if test is None:
        return {}
    points = points_of(state.design, state.target, test)
    return parts_of(test, points, event.typed, event.outcome) if points else {}
