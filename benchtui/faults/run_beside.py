"""What hunts on one unit owe each other: a short that one of them finds locks the power in all of them."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from benchtui.errors import BenchError
from benchtui.faults import hunt
from benchtui.faults.events import (
    NeighboursTried,
    ShortBeside,
    TestAnswered,
    TriedAgain,
    WorkaroundDone,
    kind_of,
    to_data,
)
from benchtui.faults.proposal import propose
from benchtui.record.event import Draft

if TYPE_CHECKING:
    from benchtui.faults.events import HuntClosed, HuntEvent
    from benchtui.faults.hunt import HuntState
    from benchtui.faults.run import Hunts


SHORT_INSIDE: Final = "a short may be inside, so no power before V+ to GND is healthy"
"""Written down with a hunt that ends before the measurement was healthy."""


def meant_for_power(before: HuntState, after: HuntState, event: TestAnswered) -> str:
    """What an answer meant for the power: "forbids", "frees", or empty for neither.

    Args:
        before: The hunt as it stood.
        after: The hunt with the answer.
        event: The answer.
    """
    outcome = before.layout.outcome(event.test, event.outcome)
    if outcome is not None and outcome.locks:
        return "forbids" if after.locks else ""
    return "frees" if before.locks and not after.locks else ""


def forbidden(state: HuntState, event: HuntEvent) -> bool:
    """Whether something that another hunt has just locked can no longer be what was meant.

    What had power is no news of a unit that must have none, and a measurement frees nothing that was found after it.

    Args:
        state: The hunt, with what the other one found.
        event: What was to be written down before that was known.
    """
    if isinstance(event, TestAnswered):
        return event.test in state.locks
    return bool(state.locks) and isinstance(event, TriedAgain | NeighboursTried | WorkaroundDone)


def drafts_beside(
    hunts: Hunts, unit: str, job: str, *, before: HuntState | None, after: HuntState, event: HuntEvent
) -> tuple[list[Draft], dict[str, str]]:
    """What has to be written into the other open hunts on a unit, with their lines for lists of jobs.

    Args:
        hunts: The hunts of the record.
        unit: Serial number; nothing is known of other hunts where it is empty.
        job: Name of the hunt in which something happened.
        before: That hunt as it stood; None where it only begins.
        after: That hunt now.
        event: What happened.
    """
    was = before is not None and bool(before.locks)
    # Low once more: another hunt may have measured healthy in between, and has to do it again.
    again = isinstance(event, TestAnswered) and event.power == "forbids"
    if not unit or (was == bool(after.locks) and not again):
        return [], {}
    told = ShortBeside(job=job, found=bool(after.locks))
    drafts, glances = [], {}
    for other in hunts.open_hunts(unit):
        if other.job == job:
            continue
        try:
            state = hunts.resume(other.job, after.design).state
            then = hunt.advance(state, told)
        except BenchError:  # what this version cannot read, it cannot take up either
            continue
        if (then.locks, then.due, then.lent, then.phase) != (state.locks, state.due, state.lent, state.phase):
            drafts.append(Draft(kind=kind_of(told), unit=unit, job=other.job, data=to_data(told)))
            glances[other.job] = glance(then, other.job, unit)
    return drafts, glances


def glance(state: HuntState, job: str, unit: str) -> str:
    """The hunt in one line for lists of jobs; the keys are those of a job's own line."""
    title = state.started.title
    line = {
        "job": job,
        "unit": unit,
        "title": title,
        "procedure_kind": "fault finding",
        "text": "" if state.phase == "closed" else f"next: {propose(state).title}",
        "closed": state.result.result if state.result else "",
    }
    return json.dumps(line, ensure_ascii=False, separators=(",", ":"))


def with_warning(event: HuntClosed) -> HuntClosed:
    """The end of a hunt that leaves a short inside, with what the next person has to know."""
    event = replace(event, locked=True)
    if event.result == "work-around":
        return replace(event, done="; ".join(each for each in (event.done, SHORT_INSIDE) if each))
    return replace(event, conditions="; ".join(each for each in (event.conditions, SHORT_INSIDE) if each))
