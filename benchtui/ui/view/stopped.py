"""Why the work stands still at a step, and what lets it go on, in a sentence."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.jobs.steps import Status

if TYPE_CHECKING:
    from benchtui.jobs.jobstate import JobState


def stopped(state: JobState, key: str) -> str:
    """Why later steps cannot be gone to from this one, and the keys that help; empty where nothing is in the way."""
    known, step = state[key], state.plan.step(key)
    if known.status is Status.HELD:
        return "held: u opens it again"
    if known.status is not Status.FAILED or state.passable(key):
        return ""
    again = "m measures it again" if step.limits else "u opens it again"
    if step.must:
        first = "d goes to its defect" if state.written(key) else "x writes down the defect"
        return f"this {step.duty} failed, and nothing goes past it: {first}, {again} once it is put right"
    return "this step failed: x writes down the defect, then the work can go on past it"
