"""The list of all steps of a job with their marks, as it stands beside the step or in its place."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.ui.view.text import Span, line, spread, window

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.plan import PlanStep
    from benchtui.ui.view.shapes import Shapes
    from benchtui.ui.view.text import Line


def contents(
    state: JobState, here: str, *, width: int, height: int, shapes: Shapes, steps: Sequence[PlanStep] | None = None
) -> list[Line]:
    """The list of steps with their marks, the one in sight in the middle."""
    rows: list[Line] = []
    at, section = 0, ""
    for step in state.plan.steps if steps is None else steps:
        if step.section != section:
            section = step.section
            rows.append(line((section, "title")))
        cursor = shapes.cursor if step.key == here else " "
        if step.key == here:
            at = len(rows)
        subject = f"{step.subject.id}: " if step.subject else ""
        critical = "CRITICAL: " if step.critical else ""
        name = state.kept_as(step.key)
        text = f"{step.number} {f'kept as {name}: ' if name else ''}{critical}{subject}{state.text(step.key)}"
        role = "strong" if step.key == here else "quiet" if state[step.key].settled else ""
        mark = Span(f"{shapes.status(state[step.key].status)} ", "mark")
        after = "safe stop" if step.stop else "no break" if step.no_break else ""
        rows.append(spread((Span(cursor, "cursor"), mark, *line((text, role))), line((after, "quiet")), width))
    return window(rows, height, at - height // 2)[0]
