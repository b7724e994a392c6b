"""A procedure that was edited while a job by it is under way: what changes, and what the job would have to do again."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.jobs.revision import reopened_by
from benchtui.jobs.steps import Status
from benchtui.ui.view.text import BLANK, line, wrap

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from benchtui.errors import Problem
    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.plan import Plan, PlanStep
    from benchtui.jobs.revision import Changes
    from benchtui.ui.view.shapes import Shapes
    from benchtui.ui.view.text import Line


def revision_lines(
    state: JobState,
    plan: Plan,
    changes: Changes,
    *,
    width: int,
    shapes: Shapes,
    mistakes: Sequence[Problem] = (),
) -> list[Line]:
    """The page.

    Args:
        state: The job, with the text it goes by.
        plan: The plan as the files give it now.
        changes: What differs.
        width: Cells of a line.
        shapes: Characters of this terminal.
        mistakes: What is wrong with the newer text.
    """
    lines = []
    if mistakes:
        many = "a mistake" if len(mistakes) == 1 else f"{len(mistakes)} mistakes"
        text = f"The newer text has {many}. The job keeps its text until the file is put right."
        lines += wrap(text, width, first=f"{shapes.failed} ", rest="  ", role="strong")
        for problem in mistakes:
            lines += wrap(str(problem), width, first=f"  {shapes.dot} ", rest="    ")
        lines.append(BLANK)
    lines += wrap(
        f"{_revisions(state.plan, plan)} Keep the text as it is, or move the job to the newer one: marks and readings "
        "stay, and steps that read otherwise now and were done are open again.",
        width,
    )
    # One that was only begun is not opened again: it was never closed.
    again = [plan.step(key) for key in reopened_by(state, plan) if not _only_begun(state, key)]
    lines += [BLANK, line(("Open again if moved", "title"))]
    lines += [row for step in again for row in _named(step, width, shapes.status(Status.REOPENED))] or [line("  none")]
    lines += [BLANK, line(("Changed", "title"))]
    for key in changes.changed:
        old, new = state.plan.step(key), plan.step(key)
        lines += _named(new, width, shapes.dot, text=old.text)
        for what, before, after in differences(old, new):
            lines += wrap(f"{what}: {before or 'nothing'}", width, first="      was  ", rest="           ")
            lines += wrap(
                f"{what}: {after or 'nothing'}", width, first="      now  ", rest="           ", role="strong"
            )
    lines += [] if changes.changed else [line("  none")]
    for title, keys, where in (("New", changes.added, plan), ("Gone", changes.removed, state.plan)):
        lines += [BLANK, line((title, "title"))]
        lines += [row for key in keys for row in _named(where.step(key), width, shapes.dot)] or [line("  none")]
    if not (changes.changed or changes.added or changes.removed):
        lines += [BLANK, *wrap("What differs is outside the steps: the page before them, a heading or a time.", width)]
    return lines


def _only_begun(state: JobState, key: str) -> bool:
    known = state.known(key)
    return known is not None and known.status is Status.BEGUN


def _revisions(old: Plan, new: Plan) -> str:
    """Which text is which; a text that was changed and kept its number cannot be told from the old one by it."""
    if old.revision > new.revision:
        return (
            f"This job goes by revision {old.revision}, and the files here have the older revision {new.revision}: "
            "another bench may have the newer file. Moving would go back to the older text."
        )
    if old.revision != new.revision:
        return f"This job goes by revision {old.revision}. The files have revision {new.revision} now."
    if old.digest != new.digest:
        return (
            f"The text was changed since this job began, and both call themselves revision {new.revision}: raise the "
            "number after `revision:` in its file."
        )
    if old.design_digest != new.design_digest:
        return f"The text is still revision {new.revision}; the design it is laid out over was changed."
    return f"The text is still revision {new.revision}; what it takes from other files was changed."


def differences(old: PlanStep, new: PlanStep) -> Iterator[tuple[str, str, str]]:
    """What differs between two texts of a step: what it is, how it was, how it is now."""
    for what, before, after in (
        ("text", old.text, new.text),
        ("details", "; ".join(old.detail), "; ".join(new.detail)),
        ("done when", old.accept, new.accept),
        ("limits", old.limits.text if old.limits else "", new.limits.text if new.limits else ""),
        ("probes", old.limits.where if old.limits else "", new.limits.where if new.limits else ""),
        ("answers", _answers(old), _answers(new)),
        ("wait", _minutes(old), _minutes(new)),
        ("cautions", _cautions(old), _cautions(new)),
        ("wires", _wires(old), _wires(new)),
        ("must be done", _must(old), _must(new)),
    ):
        if before != after:
            yield what, before, after


def hidden_lines(plan: Plan, width: int, shapes: Shapes) -> list[Line]:
    """The steps that are not for this unit, each with the reason."""
    lines: list[Line] = []
    for hidden in plan.hidden:
        lines += wrap(hidden.text, width, first=f"  {shapes.dot} ", rest="    ")
        lines += wrap(f"not for this unit, because {hidden.because}", width, first="    ", rest="    ", role="strong")
    return lines or wrap("There is none: every step of the procedure is for this unit.", width)


def _named(step: PlanStep, width: int, mark: str, *, text: str = "") -> list[Line]:
    subject = f"{step.subject.id}: " if step.subject else ""
    return wrap(f"{step.number} {subject}{text or step.text}", width, first=f"  {mark} ", rest="    ")


def _answers(step: PlanStep) -> str:
    return ", ".join(f"{choice.text} ({choice.verdict})" for choice in step.choices)


def _minutes(step: PlanStep) -> str:
    return f"{step.seconds / 60:g} min" if step.seconds else ""


def _cautions(step: PlanStep) -> str:
    return "; ".join(f"{caution.signal} {caution.hazard} {caution.avoid}" for caution in step.cautions)


def _wires(step: PlanStep) -> str:
    return "; ".join(f"{wire.id} {wire.colour} {wire.start} to {wire.end}" for wire in step.wires)


def _must(step: PlanStep) -> str:
    return "required" if step.duty == "required test" else step.duty
