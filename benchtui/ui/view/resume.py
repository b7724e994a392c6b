"""The page after a break: how long it was, where the work stands, what was said and left, and what to look at again."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING, Final

from benchtui.jobs.kit import lacking
from benchtui.jobs.lists import left_in_the_midst
from benchtui.jobs.standing import BENCH_STATES, IRON_HOT, OVER, STILL, iron_on_at, numbered
from benchtui.jobs.steps import Status
from benchtui.ui.view.ages import span
from benchtui.ui.view.cautions import in_short, named
from benchtui.ui.view.step import neighbour
from benchtui.ui.view.text import BLANK, line, rule, wrap

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from benchtui.jobs.conflicts import Conflict
    from benchtui.jobs.jobstate import JobState
    from benchtui.ui.view.shapes import Shapes
    from benchtui.ui.view.text import Line

SHORT_BREAK: Final = timedelta(minutes=5)
"""A break shorter than this, with nothing left hot or on, needs no page of its own; our own choice."""

ANSWERS: Final[Sequence[str]] = ("", STILL, OVER)
"""What can be said of each of them at the return."""

LIST_ASKED: Final = "Is it begun again from the top, or gone on with where it was left?"
"""Asked once at the return to a checklist."""

ACTS: Final = frozenset(
    {
        "step-begun",
        "step-done",
        "step-skipped",
        "step-not-applicable",
        "step-failed",
        "step-held",
        "step-reopened",
        "reading",
        "choice",
    }
)
"""Kinds of event that are worth naming among the last acts."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Return:
    """What the builder has said so far on coming back."""

    answers: tuple[str, ...] = ()
    """One for each state that was left; empty while not answered."""


def needs_page(state: JobState, gone: timedelta, conflicts: Sequence[Conflict] = ()) -> bool:
    """Whether the break was long or abrupt, something was left on, or two benches disagree, so that it is needed."""
    left = state.suspended
    if left is not None and any(conflict.matters for conflict in conflicts):
        return True
    return left is not None and (left.forced or bool(left.bench) or bool(left.next_act) or gone >= SHORT_BREAK)


def resume_lines(
    state: JobState,
    back: Return,
    *,
    width: int,
    gone: timedelta,
    shapes: Shapes,
    conflicts: Sequence[Conflict] = (),
    bench: str = "",
    by_number: bool = True,
) -> list[Line]:
    """The page.

    Args:
        state: The job.
        back: What was answered so far.
        width: Cells.
        gone: How long nothing was written.
        shapes: Characters of this terminal.
        conflicts: Entries of another bench that did not fit.
        bench: Which bench had it in hand, where that was another; empty when it is not known.
        by_number: What was left on is answered for by its number; not where each is asked about in turn.
    """
    left = state.suspended
    lines = [line("You were away for ", (span(gone), "strong"), ".")]
    if left and left.elsewhere:
        lines = [line("The last entry is ", (span(gone), "strong"), " old, and comes from another bench.")]
        had = f"{bench or 'That bench'} had this job in hand, and may have it still."
        lines += wrap(f"{had} Ask there before you touch the unit.", width)
        power = "By its entries the power is on" if "power-on" in state.standing else "The power may be on"
        lines += wrap(f"{power} there, and the iron hot: nothing here can tell.", width, role="strong")
    elif left and left.forced:
        by_steps = " What stands below is by the steps that were done." if left.bench else ""
        lines += wrap(f"The program was ended from outside, so nothing was said about the bench.{by_steps}", width)
    lines.append(BLANK)
    key = state.current
    if key:
        step, known = state.plan.step(key), state[key]
        word = "begun, not finished" if known.status is Status.BEGUN else str(known.status)
        lines.append(line(("You were at", "title"), f"  step {step.number}, {word}"))
        lines += wrap(state.text(key), width, first=f"  {shapes.status(known.status)} ", role="strong")
    else:
        lines.append(line(("Every step was gone through; the job is not closed.", "strong")))
    if left and left.next_act:
        lines += wrap(left.next_act, width, first="  you meant to: ", role="strong")
    lines += _disagreed(conflicts, width, shapes)
    # A step that was begun and done stands here once.
    # One that an edit took out of the plan since has no place to point at.
    here = (act.step for act in state.trail if act.kind in ACTS and state.plan.has(act.step) and act.step != key)
    acts = dict.fromkeys(here)
    if acts:
        lines += [BLANK, line(("Before that", "title"))]
        lines += [line("  ", *neighbour(state, state.plan.step(step), width - 2, shapes)) for step in [*acts][-3:]]
    failed = [step.number for step in state.plan.steps if state[step.key].status is Status.FAILED]
    defects = [defect for defect in state.defects.values() if not state.defect_over(defect)]
    if failed or defects:
        lines += [BLANK, line(("Not put right yet", "title"))]
        numbers = ", ".join(map(str, failed))
        lines += wrap(f"step{'s' if len(failed) > 1 else ''} {numbers} failed", width, first="  ") if failed else []
        for defect in defects:
            lines += wrap(f"defect {defect.id} {defect.status}: {defect.text}", width, first="  ", rest="    ")
    if lacking(state):
        lines += [BLANK, line(("Begun without", "title"))]
        for item in lacking(state):
            lines += wrap(f"{item} ({state.short[item]})", width, first="  ", rest="    ")
    if state.standing:
        lines += [BLANK, line(("Still standing", "title"))]
        lines += _hazards(state, width, shapes)
    if left and left.bench:
        lines += [BLANK, line(("When you left; how is it now?", "title"))]
        for place, (number, what) in enumerate(numbered(left.bench)):
            said = back.answers[place] if place < len(back.answers) else ""
            answer = (f"{what}: ", (said or "press the number", "strong"))
            lines.append(line("  ", (f" {number} ", "key"), " ", *answer) if by_number else line("  ", *answer))
            if what == IRON_HOT and (on_at := iron_on_at(state)):
                why = f"it was switched on at step {on_at.number}, and no step since has switched it off"
                lines += wrap(why, width, first="     ", role="quiet")
    if left_in_the_midst(state, gone):
        lines += [BLANK, line(("A list left in the midst", "title"))]
        lines += wrap(f"{LIST_ASKED} What was confirmed may hold no longer.", width, first="  ")
    lines += [BLANK, rule(width, mark=shapes.rule)]
    lines += wrap(
        "A look at the last steps before going on is worth its minute: one remembers being further on than one was.",
        width,
        role="quiet",
    )
    return lines


def _disagreed(conflicts: Sequence[Conflict], width: int, shapes: Shapes) -> list[Line]:
    open_ones = [conflict for conflict in conflicts if conflict.matters]
    if not open_ones:
        return []
    lines = [BLANK, line(("Two benches worked on this and disagree", "title"))]
    for conflict in open_ones:
        lines += wrap(conflict.text, width, first=f"  {shapes.failed} ", rest="    ")
    return [*lines, *wrap("Decide it on the page of the unit (d there) before the unit leaves.", width, first="  ")]


def _hazards(state: JobState, width: int, shapes: Shapes) -> list[Line]:
    cautions = {caution.id: caution for step in state.plan.steps for caution in step.cautions}
    lines: list[Line] = []
    for hazard in state.standing:
        if hazard in cautions:
            lines += in_short(cautions[hazard], width, shapes)
        else:
            lines.append(line((f" {shapes.stands} {named(hazard)} ", "stands")))
    return lines


def aside_lines(
    next_act: str,
    bench: Collection[str],
    *,
    width: int,
    shapes: Shapes,
    states: Sequence[str] = BENCH_STATES,
    ends: bool = True,
) -> list[Line]:
    """The page on which work is put aside.

    Args:
        next_act: What was said will be done next.
        bench: What is on, hot or loose.
        width: Cells.
        shapes: Characters of this terminal.
        states: What can be.
        ends: Whether a key ends the work for good.
    """
    lines = wrap("Everything is kept. Two things are worth saying to the one who comes back:", width)
    lines += [BLANK, line(("What is left at the bench", "title"))]
    for number, what in enumerate(states, 1):
        mark = shapes.status(Status.DONE if what in bench else Status.OPEN)
        word = "yes" if what in bench else ""
        lines.append(line("  ", (f" {number} ", "key"), f" {mark} {what}  ", (word, "strong")))
    lines += [BLANK, line(("What you will do next", "title"))]
    lines += wrap(next_act or "nothing said; n types it", width, first="  ", role="strong" if next_act else "quiet")
    if ends:
        lines += [BLANK, line(("It does not go on", "title"))]
        lines += wrap("e: it was begun by mistake, or it ends here", width, first="  ", role="quiet")
    return lines
