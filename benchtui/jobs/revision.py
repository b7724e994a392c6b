"""Moving a running job to a newer text of its procedure: steps matched by key, changed done steps reopened."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from benchtui.errors import JobError
from benchtui.jobs.jobstate import Gone
from benchtui.jobs.moves import needed, reopen, unsigned, voidable
from benchtui.jobs.steps import SETTLED, Status, StepState

if TYPE_CHECKING:
    from benchtui.jobs.events import RevisionMoved
    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.plan import Plan, PlanStep


@dataclass(frozen=True, slots=True, kw_only=True)
class Changes:
    """What differs between two texts of a procedure, as keys of steps."""

    added: tuple[str, ...] = ()
    removed: tuple[str, ...] = ()
    changed: tuple[str, ...] = ()


def compare(old: Plan, new: Plan) -> Changes:
    """Steps added, removed and changed in what the builder does, reads or is warned of.

    A step that only moved, or whose place number differs, has not changed.
    """
    return Changes(
        added=tuple(step.key for step in new.steps if not old.has(step.key)),
        removed=tuple(step.key for step in old.steps if not new.has(step.key)),
        changed=tuple(
            step.key for step in new.steps if old.has(step.key) and _substance(old.step(step.key)) != _substance(step)
        ),
    )


_LEFT_OUT: Final = frozenset({Status.NOT_APPLICABLE, Status.SKIPPED})
"""Marks of a step that nothing was done at."""


def reopened_by(state: JobState, plan: Plan) -> tuple[str, ...]:
    """Keys of the steps that open again when the job goes on by another text.

    They are those with a mark that do, read or warn of something else in it. What was begun is among them, for a
    reading taken under the old limits says nothing of the new ones.
    """
    return tuple(step.key for step in plan.steps if _opens(state, step))


def _opens(state: JobState, step: PlanStep) -> bool:
    old, known = state.step(step.key), state.known(step.key)
    if old is None or known is None:
        return False
    if known.status not in SETTLED and not (state.rules and voidable(state, known)):
        return False
    # A step that was left out while it was no test, or taken out and decided on, is one that has to be done now.
    return _substance(old) != _substance(step) or (step.must and known.status in _LEFT_OUT)


def move(state: JobState, event: RevisionMoved, plan: Plan) -> JobState:
    """The state of the job under the new plan. What is known of a step that was taken out is kept beside it.

    Raises:
        JobError: It is another procedure, or no reason is given.
    """
    if plan.id != state.plan.id:
        raise JobError(f"{plan.title} is another procedure than {state.plan.title}")
    needed(event.reason, "a reason", "say why the job goes on by the newer text")
    opened = reopened_by(state, plan)
    left = {
        step.key: Gone(step=step, known=state[step.key], revision=plan.revision)
        for step in state.plan.steps
        if not plan.has(step.key)
    }
    back = {key: gone.known for key, gone in state.gone.items() if plan.has(key)}
    gone = {key: each for key, each in {**state.gone, **left}.items() if not plan.has(key)}
    steps = {step.key: state.steps.get(step.key, back.get(step.key, StepState())) for step in plan.steps}
    new = replace(state, plan=plan, texts=(*state.texts, state.plan), steps=steps, gone=gone if state.rules else {})
    for key in opened:
        was = state.step(key)
        same_call = was is not None and (was.call, was.subject) == (plan.step(key).call, plan.step(key).subject)
        new = reopen(new, key, f"changed in revision {plan.revision}", void=True, same_call=same_call)
    if state.rules:
        # A signature stands for all that comes before it, a new step as well as one that is open again.
        unproven = [step.key for step in plan.steps if step.key in opened or not state.plan.has(step.key)]
        new = unsigned(new, unproven[0]) if unproven else new
    if state.rules >= 2:
        new = _signed_for_less(new, state.plan)
    current = state.current if plan.has(state.current) else ""
    return replace(new, current=current or new.next_to_do())


def _signed_for_less(state: JobState, old: Plan) -> JobState:
    """The state with each signature opened again that has a step before it now which stood after it in the old text."""
    for place, step in enumerate(state.plan.steps):
        if step.act == "sign" and state[step.key].signed and old.has(step.key):
            before = {each.key for each in old.steps[: old.places[step.key]]}
            if any(each.key not in before for each in state.plan.steps[:place]):
                state = reopen(state, step.key, f"revision {state.plan.revision} has more steps before it")
    return state


def _substance(step: PlanStep) -> PlanStep:
    # What hangs together is worked out from the design, and nothing that the builder does, reads or is warned of.
    return replace(
        step,
        # That a call may not be left out follows from what it calls.
        required=step.required and step.act != "call",
        number=0,
        section="",
        repeat=(1, 1),
        minutes=0.0,
        about="",
        brief="",
        why="",
        loose=False,
        # How long the called one takes stands in the words of a call; it may change with its own revision.
        text="" if step.act == "call" else step.text,
        tries=0,
        source="",
        critical=False,
        witness=False,
        touches=(),
    )
