"""Finding a step of a job by what somebody types: a number, a control, a part, a test point, a word of its text."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.errors import UsageError

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.design.model import Design
    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.plan import PlanStep


def words_of_parts(design: Design) -> Mapping[str, str]:
    """Each control of a design to the words for its part, for finding its steps by them."""
    return {one.id: f"{one.part.id} {one.part.title} {one.legend}" for one in design.controls}


def step_of(state: JobState, typed: str, *, after: str = "", parts: Mapping[str, str] | None = None) -> PlanStep:
    """The step that is meant; with several, the next one after `after`, round to the start.

    Args:
        state: The job.
        typed: A name that a step was kept under, a number, or words of which the step has to hold every one.
        after: Key of the step in sight; empty to look from the start.
        parts: Control to the words for its part.

    Raises:
        UsageError: Nothing was typed, or no step is meant by it.
    """
    wanted = typed.strip().lower()
    if not wanted:
        raise UsageError("type a number, a control such as F3, a part, or a word of the step")
    steps = state.plan.steps
    kept = next((key for name, key in state.places.items() if name.lower() == wanted and state.plan.has(key)), "")
    if kept:
        return state.plan.step(kept)
    if wanted.isdigit():
        if 1 <= int(wanted) <= len(steps):
            return steps[int(wanted) - 1]
        raise UsageError(f"the steps go from 1 to {len(steps)}")
    start = state.plan.places[after] + 1 if after else 0
    ring = (*steps[start:], *steps[:start])
    exact = (step for step in ring if step.subject and step.subject.id.lower() == wanted)
    words = wanted.replace("-", " ").split()
    named = (step for step in ring if all(word in _words(state, step, parts or {}) for word in words))
    found = next(exact, None) or next(named, None)
    if found is None:
        raise UsageError(f"no step speaks of {typed.strip()!r}")
    return found


def _words(state: JobState, step: PlanStep, known: Mapping[str, str]) -> str:
    """Everything a step can be found by: its words, control, part, test point and wires."""
    parts = [state.text(step.key), step.section, step.key]
    if step.subject:
        parts += [step.subject.id, step.subject.title, known.get(step.subject.id, "")]
    if step.limits:
        parts += [step.limits.what, step.limits.point]
    parts += [f"{wire.id} {wire.colour} {wire.start} {wire.end}" for wire in step.wires]
    return " ".join(parts).lower().replace("-", " ")
