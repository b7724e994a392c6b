"""What the functions that fold events share: changing one step, and the checks that come before any mark."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from benchtui.errors import JobError
from benchtui.jobs.jobstate import JobState
from benchtui.jobs.steps import SETTLED, Earlier, Status, StepState

Move = Callable[[JobState, Any, str], JobState]
"""Folds one kind of event, which happened at a time, into a state; raises `JobError` where it is not allowed."""


def change(state: JobState, key: str, *, current: str | None = None, **fields: Any) -> JobState:
    """The state with some fields of one step changed, and the focus moved to `current` if it is given."""
    steps = {**state.steps, key: replace(state.steps[key], **fields)}
    return replace(state, steps=steps, current=state.current if current is None else current)


def in_sight(state: JobState, key: str) -> JobState:
    """The state with a first reading of a step among its readings, where no second one is to follow."""
    known = state.steps[key]
    if known.first is None:
        return state
    return change(state, key, readings=known.in_sight, first=None)


def failing(state: JobState, how: str) -> str:
    """How a step fails, to be kept until it passes; the rules of older jobs kept it only as long as its mark."""
    return how if state.rules >= 2 else ""


def voidable(state: JobState, known: StepState) -> bool:
    """Whether a step bears a mark or a proof that other work can make void. All that voids asks this one question.

    A step that waits (held) keeps what it was proven by until then, and would be done with it.
    """
    if known.status is Status.HELD:
        return state.rules >= 2 and known.given
    return known.status in (Status.DONE, Status.BEGUN, Status.FAILED)


def reopen(
    state: JobState,
    key: str,
    reason: str,
    *,
    void: bool = False,
    current: str | None = None,
    same_call: bool = False,
) -> JobState:
    """The state with a step open again: nothing it was proven by counts any more.

    Args:
        state: The state before.
        key: Key of the step.
        reason: Why.
        void: Other work made its proof void, or its text changed: measuring again is then no second try.
        current: Key of the step to put in focus; the focus stays where it is when it is None.
        same_call: The procedure it calls is the one that is open for it, and goes on.
    """
    state = in_sight(state, key)
    known = state.steps[key]
    fields: dict[str, Any] = {"differ": False, "status": Status.REOPENED, "reason": reason, "fresh": True, "done": ""}
    if void or not state.rules:
        fields |= {"excused": True, "since": len(known.readings)}
    if state.rules:
        had = Earlier(
            timer=known.timer,
            signed=known.signed,
            returned=known.returned,
            fitted=known.fitted,
            witnessed=known.witnessed,
        )
        fields |= {"timer": None, "signed": (), "returned": "", "fitted": (), "witnessed": ()}
        if state.rules >= 2 and not same_call:
            had = replace(had, called=known.called)
            fields["called"] = ""
        fields["earlier"] = (*known.earlier, had) if had != Earlier() else known.earlier
    return change(state, key, current=current, **fields)


def unsigned(state: JobState, opened: str) -> JobState:
    """The state with every later signature opened again: it stood for a step that is open now.

    One that was given and is not marked yet, since the program was killed in between, is one of them.
    """
    here = state.plan.step(opened).number
    for step in state.plan.steps:
        if step.act == "sign" and step.number > here and _signed(state, step.key):
            state = reopen(state, step.key, f"step {here} was opened again")
    return state


def _signed(state: JobState, key: str) -> bool:
    known = state[key]
    return known.status is Status.DONE or (state.rules >= 2 and bool(known.signed))


def after_mark(state: JobState, key: str) -> JobState:
    """The state with the focus on the step that comes next, once `key` needs no more work.

    Where an earlier step was opened again and comes first, that is the first one that waits for hands.
    """
    following = state.next_to_do(after=key)
    if following and state.rules and state.comes_first(following) is not None:
        following = state.next_to_do()
    return replace(state, current=following)


def workable(state: JobState, key: str, *, reading_cautions: bool = True) -> None:
    """Check that the step can be worked on now.

    Raises:
        JobError: Something comes first, a caution is unread, or the step is done already.
    """
    reason = state.blocked(key)
    if reason:
        raise JobError(reason)
    status = state.steps[key].status
    if status in SETTLED:
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
