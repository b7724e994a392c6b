"""How far a job is, in words: counted here alone, so that every screen, list and paper says the same."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.jobs.steps import Status

if TYPE_CHECKING:
    from benchtui.jobs.jobstate import JobState


def tally(state: JobState) -> str:
    """Such as "41 of 43 steps done, 1 failed, 1 skipped"; what does not concern the unit counts as done."""
    return ", ".join((done_text(state), *not_done(state)))


def done_text(state: JobState) -> str:
    """How many steps are done, of how many. "All" is said only when it is so: a step skipped is no step done."""
    counts = state.counts()
    done, of = counts[Status.DONE] + counts[Status.NOT_APPLICABLE], len(state.plan)
    if done == of:
        return f"all {of} steps done" if of > 1 else "the step is done"
    return f"{done} of {of} steps done"


def not_done(state: JobState) -> tuple[str, ...]:
    """What was gone to and not brought to its end, each kind with its number."""
    counts = state.counts()
    words = ((Status.FAILED, "failed"), (Status.HELD, "held"), (Status.SKIPPED, "skipped"))
    return tuple(f"{counts[status]} {word}" for status, word in words if counts[status])
