"""The page before a job: conditions to answer, and the kit to count out. And the page at its end."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.jobs.events import NO
from benchtui.jobs.kit import lacking
from benchtui.jobs.look_through import look_through_lines
from benchtui.jobs.steps import Status
from benchtui.ui.view.ages import lasting
from benchtui.ui.view.rows import Row
from benchtui.ui.view.shapes import UNICODE
from benchtui.ui.view.text import BLANK, line, wrap

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.plan import Plan
    from benchtui.ui.view.shapes import Shapes
    from benchtui.ui.view.text import Line

HEADINGS: Final[Mapping[str, str]] = {
    "tools": "Tools, counted out",
    "parts": "Parts",
    "materials": "Materials",
}


NOTHING: Final[Mapping[str, str]] = {}
"""No tool stays in use."""


def before_rows(state: JobState, shapes: Shapes) -> list[Row]:
    """Every line of the preliminary page; an empty heading says "none", so that it is known not to be forgotten."""
    before = state.plan.before
    rows = [Row(text="Is it so?")]
    for number, text in enumerate(before.conditions):
        answer = state.conditions.get(text, "")
        mark = shapes.status(Status.FAILED if answer == NO else Status.DONE if answer else Status.OPEN)
        rows.append(Row(id=f"condition:{number}", text=text, right=answer or "to be answered", mark=mark))
    if not before.conditions:
        rows.append(Row(text="none"))
    for heading, title in HEADINGS.items():
        rows.append(Row(text=title))
        items: tuple[str, ...] = getattr(before, heading)
        for number, text in enumerate(items):
            found = state.kit.get((heading, text))
            status = {True: Status.DONE, False: Status.FAILED, None: Status.OPEN}[found]
            word = {True: "here", False: "missing", None: ""}[found]
            rows.append(Row(id=f"{heading}:{number}", text=text, right=word, mark=shapes.status(status)))
        if not items:
            rows.append(Row(text="none"))
    rows.append(Row(text="Then"))
    rows.append(Row(id="begin", text=begin_text(state), right="space"))
    return rows


def next_open(state: JobState, after: Row | None) -> str:
    """Id of the line to go to: the next one without an answer, from the one after `after` round to the start."""
    before = state.plan.before
    ids = [f"condition:{n}" for n, text in enumerate(before.conditions) if text not in state.conditions]
    for heading in HEADINGS:
        items: tuple[str, ...] = getattr(before, heading)
        ids += [f"{heading}:{n}" for n, item in enumerate(items) if (heading, item) not in state.kit]
    order = [row.id for row in before_rows(state, UNICODE) if row.id]
    here = order.index(after.id) if after is not None and after.id in order else -1
    ring = (*order[here + 1 :], *order[: here + 1])
    return next((id for id in ring if id in ids), "begin")


def begin_text(state: JobState) -> str:
    """What the last row of the page offers."""
    if state.gate:
        verb = "is" if len(state.gate) == 1 else "are"
        return f"Begin the work, once {len(state.gate)} more {verb} answered"
    without = [f"without {', '.join(state.shortage)}"] if state.shortage else []
    though = [f"though it is not so: {'; '.join(state.not_so)}"] if state.not_so else []
    if without or though:
        return f"Begin {', and '.join((*without, *though))}, with a reason"
    return "Begin the work"


def about(plan: Plan, width: int) -> list[Line]:
    """What the job is, how long it takes, and what it will ask for."""
    lines = wrap(plan.purpose, width) if plan.purpose else []
    holds = sum(step.hold for step in plan.steps)
    readings = sum(step.limits is not None for step in plan.steps)
    hazards = {caution.id: caution for step in plan.steps for caution in step.cautions if caution.person}
    # As it is laid out over this design: the figure of the procedure is that of a large one.
    minutes = sum(step.minutes for step in plan.steps) or plan.minutes
    parts = [f"{len(plan)} steps"]
    parts += [f"about {lasting(minutes)}"] if minutes else []
    parts += [f"{holds} hold point{'s' if holds > 1 else ''}"] if holds else []
    parts += [f"{readings} reading{'s' if readings > 1 else ''}"] if readings else []
    parts += [f"{len(hazards)} hazard{'s' if len(hazards) > 1 else ''} to people"] if hazards else []
    listed = "; l: list" if look_through_lines(plan, {}) else ""
    return [*lines, *wrap(", ".join(parts) + listed, width, role="quiet")]


def ahead(plan: Plan, titles: Mapping[str, str], width: int) -> list[Line]:
    """What the work will ask for, to be gone through in the mind before it is begun.

    Args:
        plan: The work.
        titles: Title of each procedure by id, for those that are called.
        width: Cells of a line.
    """
    lines: list[Line] = []
    for heading, under in look_through_lines(plan, titles).items():
        lines.append(line((heading, "title")))
        for text in under:
            lines += wrap(text, width, first="  ", rest="    ")
        lines.append(BLANK)
    return lines or [line("No hold point, no reading, no caution.")]


def end_rows(
    state: JobState, ticked: frozenset[int], shapes: Shapes, *, stay: Mapping[str, str] = NOTHING
) -> list[Row]:
    """The page at the end: lines to see to, tools to count back in, and what is still open.

    Args:
        state: The job.
        ticked: Numbers of the lines that were seen to.
        shapes: Characters of this terminal.
        stay: Tools that stay in use for the work this job was called from, to its title.
    """
    rows: list[Row] = []
    if state.plan.after:
        rows.append(Row(text="To see to"))
    for number, text in enumerate(state.plan.after):
        mark = shapes.status(Status.DONE if number in ticked else Status.OPEN)
        rows.append(Row(id=f"after:{number}", text=text, mark=mark))
    tools = [(heading, item) for (heading, item), found in state.kit.items() if found and heading == "tools"]
    tools = [(heading, item) for heading, item in tools if item not in stay]
    if tools:
        rows.append(Row(text="Tools, counted back in"))
    for heading, item in tools:
        mark = shapes.status(Status.DONE if (heading, item) in state.back else Status.OPEN)
        rows.append(Row(id=f"back:{item}", text=item, mark=mark))
    if stay:
        rows.append(Row(text=f"Stays in use for {next(iter(stay.values()))}, and is counted back in there"))
        rows += [Row(text=f"  {item}") for item in stay]
    # The number of each is its place in the whole list, whatever of it is shown.
    open_items = [(number, each) for number, each in enumerate(state.open_list()) if each.not_back not in stay]
    unticked = len(state.plan.after) - len(ticked)
    see_to = f"To see to above: {unticked}" if unticked else ""
    still = f"Still open: {len(open_items)}" if open_items else ""
    rows.append(Row(text="; ".join(filter(None, (still, see_to))) or "Nothing is open"))
    for number, each in open_items:
        right = "space: it is here now" if each.without in lacking(state) else ""
        rows.append(Row(id=f"open:{number}", text=each.text, mark=shapes.failed, right=right))
    rows.append(Row(text="Then"))
    close = "Close the job with this left open, by your decision" if open_items else "Close the job: complete"
    close = f"{close}, once {unticked} more {'is' if unticked == 1 else 'are'} seen to" if unticked else close
    rows.append(Row(id="close", text=close))
    if state.current or open_items:
        rows.append(Row(id="return", text="Go back to the steps"))
    return rows


def heading_of(plan: Plan, item: str) -> str:
    """Heading of the preliminary page that a line of the kit stands under."""
    return next((heading for heading in HEADINGS if item in getattr(plan.before, heading)), "tools")


def next_tick(state: JobState, ticked: frozenset[int], after: Row | None, *, stay: Mapping[str, str] = NOTHING) -> str:
    """Id of the line of the end page to go to: the next one without its tick, round to the start; or to close."""
    rows = end_rows(state, ticked, UNICODE, stay=stay)
    order = [row.id for row in rows if row.id.startswith(("after:", "back:"))]
    open_still = {row.id for row in rows if row.id in order and row.mark == UNICODE.status(Status.OPEN)}
    here = order.index(after.id) if after is not None and after.id in order else -1
    return next((id for id in (*order[here + 1 :], *order[: here + 1]) if id in open_still), "close")
