"""What the functions that fold events share: changing one step, and the checks that come before any mark."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from benchtui.errors import JobError
from benchtui.jobs.jobstate import JobState
from benchtui.jobs.steps import Status

Move = Callable[[JobState, Any, str], JobState]
"""Folds one kind of event, which happened at a time, into a state; raises `JobError` where it is not allowed."""


def change(state: JobState, key: str, *, current: str | None = None, **fields: Any) -> JobState:
    """The state with some fields of one step changed, and the focus moved to `current` if it is given."""
    steps = {**state.steps, key: replace(state.steps[key], **fields)}
    return replace(state, steps=steps, current=state.current if current is None else current)


def after_mark(state: JobState, key: str) -> JobState:
    """The state with the focus on the step that comes next, once `key` needs no more work."""
    return replace(state, current=state.next_to_do(after=key))


def workable(state: JobState, key: str, *, reading_cautions: bool = True) -> None:
    """Check that the step can be worked on now.

    Raises:
        JobError: Something comes first, a caution is unread, or the step is done already.
    """
    reason = state.blocked(key)
    if reason:
        raise JobError(reason)
    status = state.steps[key].status
    if status in (Status.DONE, Status.SKIPPED, Status.NOT_APPLICABLE):
        raise JobError(f"this step is {status}", hint="reopen it to do it again")
    unread = state.unread(key) if reading_cautions else ()
    if unread:
        raise JobError(f"read the caution first: {unread[0].hazard}", hint="acknowledge it with its own key")


def needed(text: str, what: str, hint: str) -> None:
    """Check that a text was given.

    Raises:
        JobError: It is blank.
    """
    if not text.strip():
        raise JobError(f"this needs {what}", hint=hint)
