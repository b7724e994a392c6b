"""Moving a running job to a newer text of its procedure: steps matched by key, changed done steps reopened."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from benchtui.errors import JobError
from benchtui.jobs.moves import needed
from benchtui.jobs.steps import Status, StepState

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


def move(state: JobState, event: RevisionMoved, plan: Plan) -> JobState:
    """The state of the job under the new plan.

    Raises:
        JobError: It is another procedure, or no reason is given.
    """
    if plan.id != state.plan.id:
        raise JobError(f"{plan.title} is another procedure than {state.plan.title}")
    needed(event.reason, "a reason", "say why the job goes on by the newer text")
    changed = set(compare(state.plan, plan).changed)
    steps: dict[str, StepState] = {}
    for step in plan.steps:
        known = state.steps.get(step.key, StepState())
        if step.key in changed and known.status in (Status.DONE, Status.NOT_APPLICABLE, Status.SKIPPED):
            known = replace(
                known, status=Status.REOPENED, reason=f"changed in revision {plan.revision}", fresh=True, done=""
            )
        steps[step.key] = known
    new = replace(state, plan=plan, steps=steps)
    current = state.current if plan.has(state.current) else ""
    return replace(new, current=current or new.next_to_do())


def _substance(step: PlanStep) -> PlanStep:
    return replace(step, number=0, section="", repeat=(1, 1), minutes=0.0, brief="", why="")
