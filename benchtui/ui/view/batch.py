"""A batch on the screen: units against stages, the spread of each reading, and the step in hand for all of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.errors import first_and_more
from benchtui.jobs.batch import STUCK
from benchtui.jobs.steps import Status
from benchtui.ui.view.head import EMERGENCY, stands_now, stands_spans
from benchtui.ui.view.rows import Row
from benchtui.ui.view.text import BLANK, Span, cut, line, spread, table, width_of, wrap
from benchtui.units import format_value

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from benchtui.jobs.batch import Cell, Spread
    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.plan import PlanStep
    from benchtui.ui.view.shapes import Shapes
    from benchtui.ui.view.text import Line


def batch_head(
    name: str,
    title: str,
    states: Sequence[JobState],
    step: PlanStep | None,
    width: int,
    shapes: Shapes,
    *,
    out: Mapping[str, str] | None = None,
    around: Sequence[str] = (),
) -> list[Line]:
    """Top of a pass over a batch: design, batch, procedure, revision, step n of m, and every hazard that stands.

    Args:
        name: Name of the batch.
        title: Title of the procedure.
        states: Jobs of its units that are open.
        step: The step in sight; None when every step was gone through.
        width: Cells.
        shapes: Characters of this terminal.
        out: Units the pass goes past, with their state.
        around: What stands in the work it was called from.
    """
    if not states:
        return [spread(line((f"Batch {name}", "title")), line(EMERGENCY), width), line((title, "quiet"))]
    plan = states[0].plan
    what = [part for part in (plan.design_title or plan.design_id, f"batch {name}") if part]
    hazards = stands_spans(stands_now(states, around), shapes)
    place = f"step {step.number} of {len(plan)}" if step else _no_step(states, out or {})
    place = f" {shapes.dot} ".join((place, *counted(states, step, out or {})))
    return [
        spread(line((f" {shapes.dot} ".join(what), "title")), line(EMERGENCY), width),
        spread(line(*hazards, f"{plan.title}, {plan.edition}"), line((place, "strong")), width),
    ]


def _no_step(states: Sequence[JobState], out: Mapping[str, str]) -> str:
    """Said of a pass with no step in hand: nothing is passed where a unit waits at a step that failed or is held."""
    waits = any(state.current for state in states if state.unit not in out)
    return "no unit can go on" if waits or all(state.unit in out for state in states) else "every step passed"


def counted(states: Sequence[JobState], step: PlanStep | None, out: Mapping[str, str]) -> list[str]:
    """How many units are past a step, have it before them, wait at it or are not in the pass; the sum is the batch."""
    here = [state for state in states if state.unit not in out]
    if step is None:
        past = [state for state in here if not state.current]
        stuck = len(here) - len(past)
    else:
        past = [state for state in here if state.plan.has(step.key) and state[step.key].settled]
        rest = [state for state in here if state not in past]
        stuck = sum(bool(state.current) and state[state.current].status in STUCK for state in rest)
    left = len(here) - len(past) - stuck
    held = sum(state == "held" for state in out.values())
    found = ((len(past), "done"), (left, "left"), (stuck, "waiting"), (held, "held"), (len(out) - held, "out"))
    always = {"done", "left"} if step else {"done"}
    return [f"{count} {word}" for count, word in found if count or word in always]


def marks_lines(
    states: Mapping[str, JobState],
    step: str,
    turn: str,
    out: Mapping[str, str],
    waiting: Mapping[str, PlanStep],
    *,
    width: int,
    shapes: Shapes,
) -> list[Line]:
    """Each unit with its mark at the step in sight, whose turn it is, who waits, and who is not in the pass, and why.

    Args:
        states: Job of each unit taking part.
        step: Key of the step in sight.
        turn: The unit that is asked next; empty where the step is done for all of them together.
        out: Units the pass goes past, with their state.
        waiting: Units whose step failed or is held, with that step.
        width: Cells.
        shapes: Characters of this terminal.
    """
    lines: list[Line] = []
    row: list[Span] = []
    for unit, state in states.items():
        here = state[step].status if state.plan.has(step) else Status.NOT_APPLICABLE
        role = "strong" if unit == turn else "quiet" if here is Status.DONE else ""
        mark = shapes.cursor if unit == turn else " "
        word = [Span(mark, "cursor"), Span(shapes.status(here), "mark"), Span(f" {unit} ", role)]
        if row and width_of((*row, *word)) > width:
            lines.append(tuple(row))
            row = []
        row += word
    lines += [tuple(row)] if row else []
    for unit, stuck in waiting.items():
        why = f"step {stuck.number} {states[unit][stuck.key].status}" if unit in states else f"step {stuck.number}"
        said = f" {shapes.failed} waits: {unit}, {why}: t takes it in hand"
        lines.append(cut(line((said, "strong")), width))
    if out:
        gone = ", ".join(f"{unit} ({state})" for unit, state in out.items())
        lines += wrap(gone, width, first="   not in the pass: ", rest="   ", role="quiet")
    return lines


def unit_rows(
    states: Mapping[str, JobState], stands: Mapping[str, str], shapes: Shapes, missing: Mapping[str, int] | None = None
) -> list[Row]:
    """The units of a batch to pick from: state, and the step each is at."""
    rows = []
    for unit, stand in stands.items():
        state = states.get(unit)
        right, mark = stand, shapes.status(Status.DONE)
        if state is not None and state.current:
            step = state.plan.step(state.current)
            status = state[state.current].status
            right, mark = f"{stand}, step {step.number} of {len(state.plan)} {status}", shapes.status(status)
        elif state is not None:
            right = f"{stand}, every step passed"
        if missing and missing.get(unit):
            right = f"{stand}, {missing[unit]} missing"
            mark = shapes.status(Status.OPEN)
        rows.append(Row(id=unit, text=unit, right=right, mark=mark))
    return rows


def held_rows(stands: Mapping[str, str]) -> list[Row]:
    """The units of a batch, to hold one or free it: its state says which of the two is meant."""
    return [
        Row(id=unit, text=unit, right=f"{stand}: {'free it' if stand == 'held' else 'hold it'}")
        for unit, stand in stands.items()
    ]


def end_lines(
    sums: Mapping[str, int], at_end: Sequence[str], waiting: Mapping[str, PlanStep], left: Mapping[str, str], width: int
) -> list[Line]:
    """What stands on the screen when no unit has a step to do."""
    lines = [sums_line(sums, width), BLANK]
    if at_end:
        lines += wrap(f"Every step was gone through on {', '.join(at_end)}.", width, role="strong")
        lines += wrap("Space goes to the end page of their jobs, to count the tools back and close them.", width)
    for unit, step in waiting.items():
        lines += wrap(f"{unit} waits at step {step.number}: t takes it in hand.", width, role="strong")
    for unit, state in left.items():
        lines += wrap(f"{unit} is {state}" + (": h frees it." if state == "held" else "."), width)
    if not at_end and not waiting:
        lines += wrap("Nothing is left to do here. r releases what has nothing missing.", width, role="strong")
    return lines


def release_lines(missing: Mapping[str, Sequence[str]], width: int, *, first: str = "", hand: str = "t") -> list[Line]:
    """Which units may leave the bench, and what keeps each of the others.

    Args:
        missing: Unit to what is missing on it.
        width: Cells.
        first: The unit whose first-unit record is signed by the same name; empty where none is due.
        hand: What takes one of them in hand.
    """
    lines: list[Line] = []
    for unit, open_items in missing.items():
        if not open_items:
            said = "; the name signs its first-unit record as well" if unit == first else ""
            lines.append(line((unit, "strong"), f"  nothing is missing{said}"))
            continue
        lines += wrap(first_and_more(open_items), width, first=f"{unit}  stays: ", rest="    ")
    if any(missing.values()):
        lines += [
            BLANK,
            *wrap(f"{hand} in the pass takes such a unit in hand: its page tests again what is void.", width),
        ]
    return [*lines, BLANK]


def signature_lines(beside: Mapping[str, str], width: int) -> list[Line]:
    """What is to be said of each unit before it is signed for: steps skipped, defects open."""
    lines: list[Line] = []
    for unit, out in beside.items():
        lines += wrap(out or "done as described", width, first=f"{unit}  ", rest="    ")
    return lines


def matrix_lines(matrix: Mapping[str, Mapping[str, Cell]], width: int, shapes: Shapes) -> list[Line]:
    """Units against stages: a shape, and how many steps of the stage are settled."""
    stages = list(dict.fromkeys(stage for cells in matrix.values() for stage in cells))
    if not stages:
        return [line(("no job of this batch was started yet", "quiet"))]
    rows = []
    for unit, cells in matrix.items():
        row = [unit]
        for stage in stages:
            cell = cells.get(stage)
            row.append(f"{shapes.status(cell.status)} {cell.settled}/{cell.of}" if cell else "")
        rows.append(row)
    # As many stages side by side as fit; the rest stand below, so that no column is ever cut off.
    fits = max((width - 12) // 8, 1)
    lines: list[Line] = []
    for start in range(0, len(stages), fits):
        names = [str(number) for number in range(start + 1, min(start + fits, len(stages)) + 1)]
        part = [[row[0], *row[start + 1 : start + 1 + fits]] for row in rows]
        lines += [*table(part, width, head=("unit", *names)), BLANK]
    legend = ", ".join(f"{number} {stage}" for number, stage in enumerate(stages, 1))
    return [*lines, *wrap(legend, width, role="quiet")]


def sums_line(sums: Mapping[str, int], width: int) -> Line:
    """How many units stand in each state; the counts add up to the batch."""
    count = sum(sums.values())
    return cut(line((f"{count} unit{'' if count == 1 else 's'}: ", "strong"), sums_text(sums)), width)


def sums_text(sums: Mapping[str, int]) -> str:
    """The states of a batch that any unit is in, with how many."""
    return ", ".join(f"{count} {state}" for state, count in sums.items() if count)


def spread_lines(spreads: Sequence[Spread], width: int, shapes: Shapes) -> list[Line]:
    """Each measurement over the batch: lowest, middle, highest, and the units that stand out."""
    lines: list[Line] = []
    for one in spreads:
        about = f" {one.subject}," if one.subject else ""
        lines += wrap(f"step {one.number},{about} {one.what}: {one.limits.text}", width, role="title")
        figures = [format_value(value, one.kind) for value in (one.lowest, one.median, one.highest)]
        lines.append(line(f"  lowest {figures[0]}, middle {figures[1]}, highest {figures[2]}"))
        odd = [f"{value.unit} {format_value(value.value, one.kind)}" for value in one.values if value.odd]
        if odd:
            lines += wrap(", ".join(odd), width, first=f"  {shapes.near} stands out: ", rest="    ")
    return lines or [line(("nothing was measured yet", "quiet"))]
