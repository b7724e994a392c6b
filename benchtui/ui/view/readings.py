"""The readings of a step, as they stand under its limits; a first one of two is not among them before the second."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.jobs.readings import shown
from benchtui.jobs.twice import apart_text
from benchtui.ui.view.limits import LABEL
from benchtui.ui.view.text import cut, line, wrap

if TYPE_CHECKING:
    from benchtui.jobs.plan import Limits, PlanStep
    from benchtui.jobs.steps import Reading, StepState
    from benchtui.ui.view.limits import LABEL
    from benchtui.ui.view.shapes import Shapes
from benchtui.ui.view.text import Line

FIRST: Final = "first of two kept, out of sight"
"""What is said of a first reading until the second one is there."""


def readings(step: PlanStep, known: StepState, width: int, shapes: Shapes) -> list[Line]:
    """The readings of a step and, where it is measured twice, how that stands."""
    lines = [_reading(step.limits, reading, number, width, shapes) for number, reading in enumerate(known.readings, 1)]
    if left := tries_left(step, known):
        lines = [*wrap(left, width, first="tries".ljust(LABEL)), *lines]
    if not step.twice:
        return lines
    if known.first is not None:
        return [*lines, *wrap(f"{FIRST}. Take the probes off, and measure anew.", width, first="read".ljust(LABEL))]
    if known.differ:
        return [*lines, *wrap(said_apart(step), width, role="strong")]
    return [
        *wrap(f"measured once more, the first out of sight; {at_most(step)}", width, first="twice".ljust(LABEL)),
        *lines,
    ]


def tries_left(step: PlanStep, known: StepState) -> str:
    """How often the step may still be measured, before the limit bites; empty where there is none, or it has passed."""
    if not step.tries or (known.reading is not None and known.reading.verdict != "fail" and not known.to_read):
        return ""
    left = max(step.tries - known.tried, 0)
    if not left:
        return f"none left of {step.tries}: write down the defect"
    return f"{left} of {step.tries} left" if known.tried else f"{step.tries} at most, then it is a defect"


def at_most(step: PlanStep) -> str:
    """How far two readings of a step may be apart."""
    return f"at most {step.twice} apart"


def said_apart(step: PlanStep) -> str:
    """What two readings that are too far apart ask for, as sentences."""
    text = apart_text(step)
    return f"{text[:1].upper()}{text[1:]}. Look where the probes go, and measure both again."


def _reading(limits: Limits | None, reading: Reading, number: int, width: int, shapes: Shapes) -> Line:
    role = {"pass": "pass", "near limit": "near", "fail": "fail"}.get(reading.verdict, "")
    label = "read" if number == 1 else f"read {number}"
    why = f"  ({reading.reason})" if reading.reason else ""
    return cut(
        line(
            label.ljust(LABEL),
            (shown(limits, reading.typed), "value"),
            "  ",
            (f"{shapes.verdict(reading.verdict)} {reading.verdict}", role),
            (why, "quiet"),
        ),
        width,
    )
