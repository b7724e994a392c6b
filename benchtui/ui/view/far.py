"""The far-reading layout: one step, one value in tall characters, and nothing that is not needed from afar."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.jobs.readings import shown
from benchtui.ui.view.cautions import acknowledge_line, in_full, in_order, signal
from benchtui.ui.view.step import duty, outcome
from benchtui.ui.view.tall import tall
from benchtui.ui.view.text import BLANK, line, wrap

if TYPE_CHECKING:
    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.plan import PlanStep
    from benchtui.ui.view.shapes import Shapes
    from benchtui.ui.view.step import Sight
    from benchtui.ui.view.text import Line


def far_page(state: JobState, sight: Sight, *, width: int, height: int, shapes: Shapes) -> list[Line]:
    """A step to be read from a distance. Cautions, limits and holds are all there.

    Args:
        state: The job.
        sight: What is to be shown.
        width: Cells of a line.
        height: Lines there are.
        shapes: Characters of this terminal.
    """
    step = state.plan.step(sight.key)
    unread = in_order(state.unread(sight.key)) if sight.key == state.current else []
    if unread:
        return _fitting(
            [*in_full(unread[0], width, shapes), acknowledge_line("the step opens", armed=sight.armed)], height
        )
    lines = [line(signal(caution, shapes), " ", caution.hazard) for caution in in_order(step.cautions)[:2]]
    where = step.subject.title if step.subject else step.section
    lines += [line((f"{step.number}", "strong"), f"  {where}", (f"  {duty(step)}".rstrip(), "strong")), BLANK]
    lines += wrap(state.text(step.key), width, role="do")
    for wire in step.wires:
        lines += wrap(f"{wire.colour}: {wire.start} to {wire.end}", width, role="wire", first="  ")
    lines.append(BLANK)
    lines += tall(value_of(state, step, sight), width, full=shapes.full)
    said = outcome(state, step)
    if said:
        lines += [BLANK, line((said, "strong"))]
    return _fitting(lines, height)


def _fitting(lines: list[Line], height: int) -> list[Line]:
    """What there is room for; where something is left off, that is said, and how to see it."""
    return (
        lines
        if len(lines) <= height
        else [*lines[: height - 1], line(("… z: the whole page, in small letters", "title"))]
    )


def value_of(state: JobState, step: PlanStep, sight: Sight) -> str:
    """The one value that matters: the limits, what is left to wait, the control in hand, or else the step's number."""
    if sight.countdown:
        return sight.countdown.removesuffix(" left")
    if step.limits:
        return step.limits.text.replace(" to ", " - ")
    return step.subject.id if step.subject else str(step.number)


def grid(state: JobState, step_id: str, here: str, *, width: int, shapes: Shapes) -> list[Line]:
    """The repeats of a step as a grid, one cell for each control: its mark, and its reading where it has one."""
    steps = state.plan.repeats(step_id)
    cells = []
    for step in steps:
        known = state[step.key]
        name = step.subject.id if step.subject else str(step.number)
        reading = known.reading
        value = f" {shown(step.limits, reading.typed)} {shapes.verdict(reading.verdict)}" if reading else ""
        cursor = shapes.cursor if step.key == here else " "
        cells.append((cursor, f"{shapes.status(known.status)} {name}{value}", step.key == here))
    wide = max((len(text) for _, text, _ in cells), default=0) + 2
    columns = max(width // (wide + 1), 1)
    missing = [step.subject.id for step in steps if step.subject and not state[step.key].settled]
    lines = [line((f"each of {len(steps)}: {steps[0].section}", "title"))]
    for start in range(0, len(cells), columns):
        row: list[tuple[str, str]] = []
        for cursor, text, mine in cells[start : start + columns]:
            row += [(cursor, "cursor"), (text.ljust(wide), "strong" if mine else "")]
        lines.append(line(*row))
    left = f"still to do: {', '.join(missing)}" if missing else "all done"
    return [*lines, *wrap(left, width, role="quiet")]
