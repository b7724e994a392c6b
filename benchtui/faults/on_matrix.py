"""What holding three corners of a matrix shows under a spot: a press that nobody makes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.design.circuit.elements import Short

if TYPE_CHECKING:
    from benchtui.faults.on_bench import Answer, Case


def corners(case: Case) -> Answer | None:
    """Whether a fourth button reports itself, and whether that is the one hunted on; None where no diode is shorted.

    A shorted diode makes the button at the corner opposite report itself, in every rectangle that it belongs to. So it
    is the one hunted on just where the diode is neither its own nor one of its row or column.
    """
    shorted = next((each.element for each in case.spot.changes if isinstance(each, Short)), "")
    button, _, part = shorted.partition(".")
    if part != "diode":
        return None
    if case.target.scope != "control":
        return {"phantom": 1.0}
    own, other = case.design.control(case.target.subject), case.design.control(button)
    return {"another" if own.row == other.row or own.column == other.column else "phantom": 1.0}
