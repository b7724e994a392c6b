"""Defects of a job as a list: what is wrong, what was decided, and what its rework opened again."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING, Final

from benchtui.jobs.steps import Status
from benchtui.ui.view.rows import Row

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.jobs.jobstate import JobState
    from benchtui.ui.view.shapes import Shapes

NEXT: Final[Mapping[str, str]] = {
    "found": "next: decide what is to be done",
    "decided": "next: begin the rework",
    "in rework": "next: say when the rework is done",
    "reworked": "next: test again what it opened",
    "accepted": "nothing more",
}
"""What comes next for a defect, by its status."""

NEXT_OUT: Final[Mapping[str, str]] = {
    "return": "next: say so on the page of the unit; Enter decides anew",
    "scrap": "next: say so on the page of the unit; Enter decides anew",
}
"""What comes next where nothing is put right."""

MEANINGS: Final[Mapping[str, str]] = {
    "rework": "bring it to what the design asks for",
    "repair": "make it work, though not as the design asks; stays visible on the unit",
    "use as is": "leave it, with a reason; stays visible on the unit",
    "return": "back to where it came from",
    "scrap": "the unit or part is not used",
}
"""What each disposition means, in words."""


LIST_WIDTH: Final = 68
"""Characters of a line of the steps to do again; fits the narrowest window there is."""


OF_THE_UNIT: Final = Row(id="unit", text="Write one down of the unit itself, and not of this step", right="u")
"""A chip in the panel, seen while something else is done, must not stand against the step in hand."""


def defect_rows(state: JobState, shapes: Shapes) -> list[Row]:
    """The defects, open ones first."""
    if not state.defects:
        return [Row(text="No defect is written down"), Row(id="new", text="Write one down", right="n"), OF_THE_UNIT]
    rows = [Row(text="Defects")]
    for defect in sorted(state.defects.values(), key=lambda one: (state.defect_over(one), one.id)):
        status = Status.DONE if state.defect_over(defect) else Status.FAILED
        decided = f"; decided: {defect.decision}" if defect.disposition else ""
        left = [key for key in defect.reopened if state.plan.has(key)]
        opened = [str(state.plan.step(key).number) for key in left if not state[key].settled]
        rows.append(
            Row(
                id=f"defect:{defect.id}",
                text=f"{defect.id}  {defect.text}",
                right=defect.status,
                under=f"{NEXT_OUT.get(defect.disposition, NEXT[defect.status])}{decided}",
                mark=shapes.status(status),
            )
        )
        # In lines of their own: a list that is cut off at the edge says less than it seems to.
        again = f"steps to do again: {', '.join(opened)}" if opened else ""
        rows += [Row(text=f"    {part}") for part in textwrap.wrap(again, LIST_WIDTH)]
    if state.joints:
        rows.append(Row(text="Joints heated again"))
    for joint, (times, attempts) in state.joints.items():
        bears = f"; its part bears {attempts - 1 or 'none'} after the first soldering" if attempts else ""
        rows.append(Row(text=f"  {joint}: {times} time{'s' if times > 1 else ''}{bears}"))
    rows.append(Row(text="Or"))
    rows += [Row(id="new", text="Write another one down", right="n"), OF_THE_UNIT]
    return rows


def heated_text(joint: str, before: int, limit: int) -> str:
    """How often a joint was heated, against what its part bears.

    Args:
        joint: Its name.
        before: How often it was reworked.
        limit: How often its part bears soldering, the first time counted; 0 where that is not known.
    """
    heated = "once" if before == 0 else f"{before + 1} times"
    bears = "once" if limit == 1 else f"{limit} times"
    known = f"its part bears it {bears}" if limit else "what its part bears is not known"
    return f"{joint} was soldered {heated} already; {known}."


def design_unread(why: str) -> str:
    """What to do where the design of a job cannot be read, as sentences.

    Args:
        why: What is wrong, without a full stop.
    """
    return f"The design cannot be asked: {why}. Put its file back, or go on by the text that this job keeps."
