"""The two lines at the top of every screen of a job: what is in hand, and where one stands in it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.jobs.glance import hazard_words
from benchtui.jobs.steps import Status
from benchtui.jobs.tally import done_text, not_done
from benchtui.ui.view.text import Span, line, spread

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from benchtui.jobs.jobstate import JobState
    from benchtui.ui.view.shapes import Shapes
    from benchtui.ui.view.text import Line

EMERGENCY = Span("smoke, smell or shock: F9", "quiet", "emergency")
"""Stands at the top right of every screen."""


def plain_head(title: str, width: int, *, under: str = "", right: str = "") -> list[Line]:
    """Top of a screen that is about no job in particular."""
    return [
        spread(line((title, "title")), line(EMERGENCY), width),
        spread(line((under, "quiet")), line((right, "quiet")), width),
    ]


_IN_SHORT: Final[Mapping[str, str]] = {
    "something clamped or curing": "clamped or curing",
    "a part or screw loose": "part loose",
}
"""States of the bench in the few letters that a heading has room for."""


def stands_now(states: Sequence[JobState], around: Sequence[str] = ()) -> tuple[str, ...]:
    """What is on, hot or loose, in words: by the steps gone through, by what was said, and in the calling work.

    Args:
        states: The jobs of the screen: one, or those of a batch.
        around: What stands in the work they were called from.
    """
    begun = [hazard_words(hazard) for state in states for hazard in state.standing]
    said = [_IN_SHORT.get(what, what) for state in states for what in state.left]
    return tuple(dict.fromkeys((*begun, *said, *around)))


def stands_spans(words: Sequence[str], shapes: Shapes) -> list[Span]:
    """The same for a heading."""
    spans: list[Span] = []
    for word in words:
        spans += [Span(f" {shapes.stands} {word.upper()} ", "stands"), Span(" ")]
    return spans


def job_head(state: JobState, width: int, shapes: Shapes, *, key: str = "", around: Sequence[str] = ()) -> list[Line]:
    """Top of a screen of a job: design, unit, procedure, revision, step n of m, hazards that stand, what is open.

    Args:
        state: The job.
        width: Cells.
        shapes: Characters of this terminal.
        key: Step to name; the one in focus when empty.
        around: What stands in the work this job was called from.
    """
    plan = state.plan
    what = [part for part in (plan.design_title or plan.design_id, f"unit {state.unit}" if state.unit else "") if part]
    first = line((f" {shapes.dot} ".join(what) or "no unit", "title"))
    key = key or state.current
    counts = state.counts()
    if key:
        place = f"step {plan.step(key).number} of {len(plan)}"
        # What has failed or is held is met again at its step; what was skipped is easily forgotten.
        skipped = counts[Status.SKIPPED]
        left_out = f" {shapes.dot} {skipped} skipped" if skipped else ""
        if key == state.current:
            left_out = f"{_stands_still(state, shapes)}{left_out}"
    else:
        place = done_text(state)
        left_out = "".join(f" {shapes.dot} {text}" for text in not_done(state))
    hazards = stands_spans(stands_now([state], around), shapes)
    name = Span(f"{plan.title}, {plan.edition}")
    return [
        spread(first, line(EMERGENCY), width),
        spread(line(*hazards, name), line((place + left_out, "strong")), width),
    ]


def _stands_still(state: JobState, shapes: Shapes) -> str:
    """Why the work does not go on from the step in hand, in two words; empty where it does."""
    known, step = state[state.current], state.plan.step(state.current)
    if known.status is Status.FAILED:
        return f" {shapes.dot} {step.duty} failed" if step.duty else f" {shapes.dot} failed"
    if known.status is Status.HELD:
        return f" {shapes.dot} held"
    waits = step.act == "wait" and known.timer is not None and not known.timer.ended and not known.fresh
    return f" {shapes.dot} waiting" if waits else ""
