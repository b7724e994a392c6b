"""Why an entry of one bench does not fit what another wrote, as sentences for a person who looks at the unit."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.errors import JobError
from benchtui.jobs import events as ev
from benchtui.jobs.steps import Status

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.jobs.jobstate import JobState


ONE_BENCH: Final = "One bench"
"""Stands for the bench that wrote an event, until it is named by what it said of itself."""


def disagreement(state: JobState, event: ev.JobEvent, refused: str, *, after: JobState | None) -> str:
    """What one bench wrote, what the other had before it, and whether it counts.

    Args:
        state: The job before the event.
        event: What the one bench wrote.
        refused: Why it is not allowed there, where nothing plainer can be said.
        after: The job with what it does all the same; None where it has no effect.
    """
    wrote, had = _wrote(state, event), _had(state, event) or f"It did not know that {refused}"
    return f"{ONE_BENCH} wrote: {wrote}. {had}. {_effect(state, event, after)}"


def _effect(state: JobState, event: ev.JobEvent, after: JobState | None) -> str:
    """What holds now: of a step, how it stands, since a reading that is kept need not be the one that decides."""
    key = getattr(event, "step", "")
    now = after or state
    stands = f"the step stands as {now.steps[key].status}" if key in now.steps and now.plan.has(key) else ""
    if after is not None:
        return f"It is kept, and {stands} now." if stands else "It counts."
    again = "If it is so, do it again, or write it down again."
    return f"It does not count: {stands}. {again}" if stands else f"It does not count. {again}"


def _wrote(state: JobState, event: ev.JobEvent) -> str:
    words = _words(state, event)
    key = getattr(event, "step", "")
    step = state.step(key) if key else None
    return words if step is None else f"step {step.number} ({_short(step.text)}), {words}"


def _words(state: JobState, event: ev.JobEvent) -> str:
    match event:
        case ev.ReadingTaken():
            return f"reading {event.typed}, {event.verdict}"
        case ev.ChoiceMade():
            return f"answered {event.choice}"
        case ev.StepFailed():
            return f"it is not so: {event.reason}"
        case ev.StepReopened() | ev.StepSkipped() | ev.StepNotApplicable() | ev.StepHeld():
            because = f", because: {event.reason}" if event.reason else ""
            return f"{_ACTS[type(event)]}{because}"
        case ev.SignedOff():
            return f"signed by {event.name}"
        case ev.DefectFound():
            return f"defect {event.defect}: {event.text or 'no words'}"
        case ev.DispositionGiven():
            return f"{_defect(state, event.defect)}: {event.disposition}, because: {event.reason}"
        case ev.ReworkStarted() | ev.ReworkDone():
            return f"{_defect(state, event.defect)}: {_ACTS[type(event)]}"
        case ev.PartFitted():
            return f"fitted {event.part} at {event.place}"
        case ev.TextGiven():
            return f"{event.what}: {event.text}"
        case ev.RevisionMoved():
            return f"the job goes on by revision {event.revision}"
        case ev.JobClosed():
            return f"the job closed, {event.result}"
    return _ACTS.get(type(event), " ".join(event.KIND.split("-")))


_ACTS: Final[Mapping[type[ev.JobEvent], str]] = {
    ev.StepDone: "done",
    ev.StepBegun: "begun",
    ev.StepReopened: "opened again",
    ev.StepSkipped: "skipped",
    ev.StepNotApplicable: "not applicable",
    ev.StepHeld: "waits",
    ev.TimerStarted: "its wait began",
    ev.TimerEnded: "its wait ended",
    ev.ReworkStarted: "the rework began",
    ev.ReworkDone: "the rework is done",
}


def _had(state: JobState, event: ev.JobEvent) -> str:
    number = getattr(event, "defect", "")
    if number and not isinstance(event, ev.DefectFound):
        known = state.defects.get(number)
        if known is None:
            return f"The other bench had written no defect {number} down"
        decided = f", {known.disposition}" if known.disposition else ""
        return f"At the other bench this defect was {known.status}{decided}"
    key = getattr(event, "step", "")
    if not key:
        return ""
    if key in state.gone:
        return "The other bench had gone on by a newer text, which has no such step"
    if not state.plan.has(key):
        return "The other bench goes by a text that has no such step"
    what = "this defect" if isinstance(event, ev.DefectFound) else "this"
    mark = state.steps[key]
    before = _MARKED.get(mark.status)
    if before:
        reading = f" with the reading {mark.reading.typed}, {mark.verdict_text}," if mark.reading else ","
        # Not "before": the order of the record is that of who had written more, and not of the clock.
        return f"The other bench had {before}{reading} not knowing of {what}"
    first = state.comes_first(key)
    if first is not None:
        known_as = "was open again" if state.steps[first.key].status is Status.REOPENED else "was not done"
        return f"Step {first.number} comes first, and {known_as} at the other bench"
    if state.unread(key):
        return "The caution of this step was not read at the bench that wrote it"
    return ""


_MARKED: Final[Mapping[Status, str]] = {
    Status.DONE: "marked this step done",
    Status.SKIPPED: "left this step out",
    Status.NOT_APPLICABLE: "called this step not applicable",
    Status.FAILED: "written that this step failed",
    Status.HELD: "said that this step waits",
}


def _defect(state: JobState, number: str) -> str:
    known = state.defects.get(number)
    return f"defect {number} ({known.text})" if known else f"defect {number}"


_LONG: Final = 60
"""Characters of a step's text that tell which one it is; more hides the rest of the sentence (estimate)."""


def _short(text: str) -> str:
    text = text.rstrip(".")
    return text if len(text) <= _LONG else f"{text[:_LONG].rpartition(' ')[0]} …"


# -- one serial number on two units ----------------------------------------------------------------------------------


def check_one_unit(unit: str, reason: str) -> None:
    """Check that a decision about a serial number given twice says that it is one unit: only that can be kept.

    Raises:
        JobError: It says that they are two, and the message says how they are parted; or it does not say which.
    """
    first = reason.split()[0].casefold().strip(".,:;") if reason.strip() else ""
    if first == "one":
        return
    if first in ("two", "they", "both"):
        raise JobError(
            f"two units that both are {unit} are parted, not decided on: one of them gets a new number",
            hint=f"type: benchtui record part {unit}",
        )
    raise JobError(
        "say first whether it is one unit, or they are two",
        hint="begin the reason with the word one, or with the word two; then say what you saw",
    )
