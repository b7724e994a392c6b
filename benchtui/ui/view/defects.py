"""Defects of a job as a list: what is wrong, what was decided, and what its rework opened again."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.jobs.steps import Status
from benchtui.ui.view.rows import Row

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.jobs.jobstate import Defect, JobState
    from benchtui.ui.view.shapes import Shapes

NEXT: Final[Mapping[str, str]] = {
    "found": "decide what is to be done",
    "decided": "begin the rework",
    "in rework": "the rework is done",
    "reworked": "test again what it opened",
    "accepted": "nothing more",
}
"""What comes next for a defect, by its status."""

MEANINGS: Final[Mapping[str, str]] = {
    "rework": "bring it to what the design asks for",
    "repair": "make it work, though not as the design asks; stays visible on the unit",
    "use as is": "leave it, with a reason; stays visible on the unit",
    "return": "back to where it came from",
    "scrap": "the unit or part is not used",
}
"""What each disposition means, in words."""


def defect_rows(state: JobState, shapes: Shapes) -> list[Row]:
    """The defects, open ones first."""
    if not state.defects:
        return [Row(text="No defect is written down"), Row(id="new", text="Write one down", right="n")]
    rows = [Row(text="Defects")]
    for defect in sorted(state.defects.values(), key=lambda one: (is_over(state, one), one.id)):
        status = Status.DONE if is_over(state, defect) else Status.FAILED
        decided = f": {defect.disposition}, {defect.reason}" if defect.disposition else ""
        opened = [str(state.plan.step(key).number) for key in defect.reopened if not state[key].settled]
        again = f"; steps to do again: {', '.join(opened)}" if opened else ""
        rows.append(
            Row(
                id=f"defect:{defect.id}",
                text=f"{defect.id}  {defect.text}",
                right=defect.status,
                under=f"{NEXT[defect.status]}{decided}{again}",
                mark=shapes.status(status),
            )
        )
    rows.append(Row(text="Or"))
    rows.append(Row(id="new", text="Write another one down", right="n"))
    return rows


def is_over(state: JobState, defect: Defect) -> bool:
    """Whether a defect needs nothing more."""
    done = defect.status == "reworked" and all(state[key].settled for key in defect.reopened)
    return defect.status == "accepted" or done
