"""Steps and cautions as sentences to be read out, without frames, columns or anything drawn over."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.jobs.plan import TEST
from benchtui.ui.view.cautions import in_order
from benchtui.ui.view.head import stands_now
from benchtui.ui.view.readings import at_most, said_apart, tries_left
from benchtui.ui.view.step import looked_on, outcome

if TYPE_CHECKING:
    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.plan import Caution, Limits, PlanStep


def job_said(state: JobState) -> str:
    """Which job this is."""
    plan = state.plan
    parts = [plan.design_title or plan.design_id, f"unit {state.unit}" if state.unit else "no unit in particular"]
    return f"{plan.title}, {plan.edition}. {', '.join(part for part in parts if part)}."


def caution_said(caution: Caution) -> list[str]:
    """A caution in full."""
    lines = [f"{caution.signal}: {caution.hazard}", f"  {caution.avoid}"]
    lines += [f"  If not: {caution.consequence}"] if caution.consequence else []
    lines += [f"  First aid: {caution.first_aid}"] if caution.first_aid else []
    return lines


def step_said(state: JobState, key: str) -> list[str]:
    """A step in full: cautions read before in short, then what to do, with wires, limits and answers."""
    step, known = state.plan.step(key), state[key]
    n, of = step.repeat
    about = [step.section, step.subject.title if step.subject else "", f"{n} of {of}" if of > 1 else ""]
    hold = " This test is required." if step.duty == TEST else f" This is a {step.duty}." if step.duty else ""
    head = ", ".join(part for part in about if part)
    lines = [f"Step {step.number} of {len(state.plan)}, {known.status}.{f' {head}.' if head else ''}{hold}"]
    standing = stands_now([state])
    lines += [f"Standing: {', '.join(standing).upper()}."] if standing else []
    lines += [f"{each.signal}: {each.hazard} {each.avoid}" for each in in_order(step.cautions)]
    lines.append(state.text(key))
    lines += [f"  {detail}" for detail in step.detail]
    for wire in step.wires:
        gauge = "".join(f", {word}" for word in (wire.gauge, wire.length) if word)
        lines.append(f"  Wire {wire.id}: {wire.colour}{gauge}, {wire.role}, from {wire.start} to {wire.end}.")
    lines += limits_said(step.limits) if step.limits else []
    lines += [f"  It is measured twice, {at_most(step)}."] if step.twice else []
    lines += [f"  {said_apart(step)}"] if known.differ else []
    tries = tries_left(step, known)
    lines += [f"  Tries: {tries}."] if tries else []
    lines += [f"  {number}  {choice.text}" for number, choice in enumerate(step.choices, 1)]
    lines += [f"  Find: {step.response}"] if step.response else []
    lines += [f"  Wait {_minutes(step.seconds)}."] if step.act == "wait" else []
    lines += [f"  Goes there, then back here. {step.why}"] if step.act == "call" else []
    lines += [f"  Done when: {step.accept}"] if step.accept else []
    said = outcome(state, step)
    lines += [f"  So far: {said}."] if said and said != str(known.status) else []
    lines += [f"  Witness point: {looked_on(known)}."] if step.witness else []
    lines += [f"  Note: {note.text}" for note in known.notes]
    return lines


def _minutes(seconds: float) -> str:
    minutes = seconds / 60
    return f"{minutes:g} minute{'' if minutes == 1 else 's'}"


def limits_said(limits: Limits) -> list[str]:
    """What is measured, where, and between which limits."""
    # The program cannot know how it is: an order, and no statement.
    power = {"off": " The power must be OFF: pull the lead first.", "on": " The power must be ON."}.get(
        limits.power, ""
    )
    return [
        f"  Measure {limits.what}. {limits.where[:1].upper()}{limits.where[1:]}.".replace("..", "."),
        f"  Limits: {limits.text}.{power}",
    ]


def working_said(step: PlanStep) -> list[str]:
    """How the limits come about."""
    if step.limits is None:
        return ["There is nothing to measure at this step."]
    sources = [f"Source: {source}" for source in step.limits.sources]
    return [*(step.limits.working or ("The limits are stated in the procedure itself.",)), *sources]
