"""Acts that show a unit not to be good to go, whatever it was released on before (ISO 9001:2015 8.7.1)."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.errors import first_and_more
from benchtui.jobs import events as ev

if TYPE_CHECKING:
    from benchtui.jobs.jobstate import JobState


def shows_bad(state: JobState, event: ev.JobEvent) -> str:
    """Why a unit is good to go no longer after an act, as a reason for its state; empty where the act tells nothing.

    Args:
        state: The job before the act.
        event: The act.
    """
    match event:
        case ev.DefectFound():
            return f"defect {event.defect}: {event.text}"
        case ev.PartFitted() if event.replaces:
            return f"{event.part} at {event.place} was exchanged: {event.reason}"
        case ev.StepDone() if state.plan.step(event.step).voids:
            return f"{_where(state, event.step)}: what was proven before has to be tested again"
        case ev.JobClosed() if event.open_items:
            return f"{state.plan.title} was closed with open items: {first_and_more(event.open_items)}"
    return ""


def serviced(state: JobState, event: ev.JobEvent) -> str:
    """The same for work in a service: something is open, moved or out until it has come to its end and was tested.

    Switching on and off for a test is no work, and neither is a step that says it is about nothing of the unit.
    """
    if not isinstance(event, ev.StepDone) or state.plan.procedure_kind != "service":
        return ""
    return f"{state.plan.title} was begun" if state.plan.step(event.step).is_work else ""


def fails(state: JobState, event: ev.JobEvent) -> str:
    """The same for an answer that is not as it should be; it says nothing of the unit where the job is about the bench.

    Args:
        state: The job before the act.
        event: The act.
    """
    match event:
        case ev.ReadingTaken(verdict="fail"):
            return f"{_where(state, event.step)}: the reading {event.typed} is outside its limits"
        case ev.ChoiceMade():
            step = state.plan.step(event.step)
            if any(choice.text == event.choice and choice.verdict == "fail" for choice in step.choices):
                return f"{_where(state, event.step)}: {event.choice}"
        case ev.StepFailed():
            return f"{_where(state, event.step)} failed: {event.reason}"
    return ""


def _where(state: JobState, step: str) -> str:
    return f"{state.plan.title}, step {state.plan.step(step).number}"
