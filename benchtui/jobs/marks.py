"""How the marks of a step change: begun, read, answered, done, left out, failed, held, reopened."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING, Final

from benchtui.errors import JobError
from benchtui.jobs import events as ev
from benchtui.jobs.moves import after_mark, change, failing, in_sight, needed, reopen, unsigned, voidable, workable
from benchtui.jobs.quality import outdated
from benchtui.jobs.readings import doubt
from benchtui.jobs.steps import Reading, Status, Timer
from benchtui.jobs.timers import Moment, remaining
from benchtui.jobs.twice import apart_text, too_far

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.moves import Move
    from benchtui.jobs.plan import PlanStep


def _begun(state: JobState, event: ev.StepBegun, time: str) -> JobState:
    workable(state, event.step)
    if state[event.step].status is Status.FAILED:
        raise JobError("this step failed: reopen it to do it again")
    return change(state, event.step, status=Status.BEGUN, begun=time, current=event.step)


def _acknowledged(state: JobState, event: ev.CautionAcknowledged, _time: str) -> JobState:
    step = state.plan.step(event.step)
    if (event.caution, event.digest) not in {(caution.id, caution.digest) for caution in step.cautions}:
        raise JobError(f"step {step.number} has no caution {event.caution!r} of those words")
    return replace(state, acknowledged=state.acknowledged | {(event.digest, step.step_id)})


def _read(state: JobState, event: ev.ReadingTaken, time: str) -> JobState:
    workable(state, event.step)
    step, before = state.plan.step(event.step), state[event.step]
    if step.limits is None:
        raise JobError(f"step {step.number} has nothing to measure")
    question = doubt(step.limits, event.value)
    if question and not event.asked:
        raise JobError(question, hint="type it again, or confirm it as typed")
    if step.tries and before.tried >= step.tries and before.first is None:
        raise JobError(f"measured {before.tried} times, and {step.tries} is the limit", hint="write down the defect")
    if before.asks_why:
        needed(event.reason, "a reason", "say why you measure again: probe slipped, adjusted, part changed")
    reading = Reading(
        typed=event.typed,
        value=event.value,
        verdict=event.verdict,
        quantity=event.quantity,
        meter=event.meter,
        due=event.meter_due,
        override=event.override,
        reason=event.reason,
        asked=event.asked,
        time=time,
        blind=before.first is not None,
    )
    if step.twice and before.first is None and event.verdict != "fail":
        return change(
            state,
            event.step,
            status=Status.BEGUN,
            begun=before.begun or time,
            first=reading,
            differ=False,
            reason="",
            excused=False,
            current=event.step,
        )
    differ = before.first is not None and too_far(step, before.first.value, event.value)
    status = Status.FAILED if event.verdict == "fail" else Status.BEGUN
    return change(
        state,
        event.step,
        status=status,
        begun=before.begun or time,
        readings=(*before.in_sight, reading),
        first=None,
        differ=differ and status is Status.BEGUN,
        reason="reading outside its limits" if status is Status.FAILED else "",
        failed="" if status is Status.BEGUN else failing(state, f"reading {event.typed}, outside its limits"),
        fresh=False,
        excused=False,
        current=event.step,
    )


def _chosen(state: JobState, event: ev.ChoiceMade, time: str) -> JobState:
    workable(state, event.step)
    step, before = state.plan.step(event.step), state[event.step]
    choices = {choice.text: choice.verdict for choice in step.choices}
    if event.choice not in choices:
        raise JobError(f"{event.choice!r} is not an answer of step {step.number}", hint=", ".join(choices))
    if before.asks_why and before.choice != event.choice:
        needed(event.reason, "a reason", "say why the answer changes")
    status = Status.FAILED if choices[event.choice] == "fail" else Status.BEGUN
    return change(
        state,
        event.step,
        status=status,
        begun=before.begun or time,
        choice=event.choice,
        reason="" if status is Status.BEGUN else f"answered {event.choice}",
        failed="" if status is Status.BEGUN else failing(state, f"answered {event.choice}"),
        fresh=False,
        excused=False,
        current=event.step,
    )


def _done(state: JobState, event: ev.StepDone, time: str) -> JobState:
    workable(state, event.step)
    step, before = state.plan.step(event.step), state[event.step]
    if before.status is Status.FAILED:
        raise JobError("this step failed", hint="write down the defect, or reopen the step and do it again")
    unproven = _unproven(state, step.key)
    if unproven:
        raise JobError(unproven)
    done = change(
        state, step.key, status=Status.DONE, begun=before.begun or time, done=time, reason="", fresh=False, failed=""
    )
    return after_mark(_outdated(_void(done, step), step), step.key)


def _void(state: JobState, by: PlanStep) -> JobState:
    """The state with every proof open again that a step makes void by what it does."""

    def proven(key: str) -> bool:
        return voidable(state, state[key]) if state.rules else state[key].status is Status.DONE

    for step in state.plan.steps:
        if step.step_id in by.voids and step.key != by.key and proven(step.key):
            state = reopen(state, step.key, f"made void by step {by.number}", void=True)
            state = unsigned(state, step.key) if state.rules else state
    return state


def _outdated(state: JobState, by: PlanStep) -> JobState:
    """The state with the tests of what a step works on open again that were made before it was done."""
    if state.rules < 2:
        return state
    for step in outdated(state.plan, by):
        # One that failed is no proof: it is opened by hand, with the reason, and its tries count on.
        if voidable(state, state[step.key]) and state[step.key].status is not Status.FAILED:
            again = reopen(state, step.key, f"step {by.number} was done after it", void=True)
            state = unsigned(again, step.key)
    return state


def _unproven(state: JobState, key: str) -> str:
    """What a step still lacks to be called done, as a sentence; empty when it lacks nothing."""
    step, known = state.plan.step(key), state[key]
    if step.trace and not known.fitted:
        # IPC-1782 5.1: traceability is asked for at the step that fits the part, while its label is still at hand.
        part = step.part or "part"
        return {
            "lot": f"type the lot of the {part} first",
            "serial": f"type the serial number of the {part} first",
            "text": f"write down the {part} first",
            "firmware": "type the version of the firmware first",
        }[step.trace]
    if step.act == "measure" and step.limits is not None and known.to_read:
        if known.differ:
            return f"{apart_text(step)}: measure again"
        return "take the second reading first" if known.first else "take the reading first"
    if step.choices and (not known.choice or known.fresh):
        return "pick an answer first"
    if state.rules and known.reading is not None and known.reading.verdict == "fail":
        return "the reading is outside its limits: measure again, with the reason"
    if state.rules and any(choice.text == known.choice and choice.verdict == "fail" for choice in step.choices):
        return f"it was answered with {known.choice}: answer again, with the reason"
    if step.act == "sign" and not known.signed:
        return "sign first, with your name and what it stands for"
    if step.act == "call" and not known.returned:
        return "the procedure it calls has not come back yet"
    if step.act == "wait":
        if known.timer is None:
            return "start the wait first"
        if not known.timer.ended:
            return "the wait is not over: end it with a reason, or let it run"
    return ""


def _left_out(status: Status) -> Move:
    word = "skipped" if status is Status.SKIPPED else "called not applicable"

    def leave(state: JobState, event: ev.StepSkipped | ev.StepNotApplicable, time: str) -> JobState:
        workable(state, event.step, reading_cautions=False)
        step = state.plan.step(event.step)
        if step.must:
            raise JobError(
                f"step {step.number} is a {step.duty}: it cannot be {word}", hint="do it, or suspend the job"
            )
        if status is Status.NOT_APPLICABLE:
            _not_failed(state, step.key)
            _passed_since(state, step.key)
        needed(event.reason, "a reason", f"say why it is {word}")
        return after_mark(change(in_sight(state, step.key), step.key, status=status, reason=event.reason), step.key)

    return leave


def _not_failed(state: JobState, key: str) -> None:
    """Check that a step has not failed: another mark over it would hide that it has.

    Raises:
        JobError: It has.
    """
    if state.rules and state[key].status is Status.FAILED:
        raise JobError("this step failed", hint="write down the defect, or reopen the step and do it again")


def _passed_since(state: JobState, key: str) -> None:
    """Check that a step which was opened again has not failed before: it does concern this unit.

    Raises:
        JobError: It has, and nothing passed since.
    """
    if failed := state[key].failed:
        hint = "do it again, or skip it: then it stays on the list of open items"
        raise JobError(f"this step does concern this unit: it had failed ({failed})", hint=hint)


def _failed(state: JobState, event: ev.StepFailed, time: str) -> JobState:
    workable(state, event.step)
    needed(event.reason, "a reason", "say what you see")
    before = state[event.step]
    return change(
        in_sight(state, event.step),
        event.step,
        status=Status.FAILED,
        begun=before.begun or time,
        reason=event.reason,
        failed=failing(state, event.reason),
        current=event.step,
    )


def _held(state: JobState, event: ev.StepHeld, _time: str) -> JobState:
    workable(state, event.step, reading_cautions=False)
    _not_failed(state, event.step)
    needed(event.reason, "a reason", "say what it waits for")
    return change(state, event.step, status=Status.HELD, reason=event.reason)


def _reopened(state: JobState, event: ev.StepReopened, _time: str) -> JobState:
    if state.suspended is not None:
        raise JobError("this job is suspended: take it up again first")
    before = state[event.step]
    if before.status in (Status.OPEN, Status.BEGUN, Status.REOPENED):
        raise JobError(f"this step is {before.status}: there is no mark to take back")
    return unsigned(reopen(state, event.step, event.reason, current=event.step), event.step)


def _moved(state: JobState, event: ev.MovedTo, _time: str) -> JobState:
    return replace(state, current=event.step)


def _timer_started(state: JobState, event: ev.TimerStarted, time: str) -> JobState:
    workable(state, event.step)
    running = state[event.step].timer
    if running is not None and not running.ended and not state[event.step].fresh:
        raise JobError("the wait is already running")
    timer = Timer(seconds=event.seconds, started=time, boot=event.boot, boot_seconds=event.boot_seconds)
    return change(state, event.step, status=Status.BEGUN, begun=time, timer=timer, fresh=False, current=event.step)


def _timer_ended(state: JobState, event: ev.TimerEnded, time: str) -> JobState:
    timer = state[event.step].timer
    if timer is None or timer.ended:
        raise JobError("no wait is running at this step")
    left = remaining(timer, Moment(datetime.fromisoformat(time or timer.started), event.boot, event.boot_seconds))
    if left > 0:
        needed(event.reason, "a reason", f"the wait has {left / 60:.0f} min to go: say why it is cut short")
    return change(state, event.step, timer=replace(timer, ended=time, reason=event.reason, known_by=event.known_by))


def _signed(state: JobState, event: ev.SignedOff, _time: str) -> JobState:
    workable(state, event.step)
    needed(event.name, "a name", "type who signs")
    needed(event.meaning, "a meaning", "did, inspected, self-check, approved")
    all_signed = (
        known.signed + tuple(pair for had in known.earlier for pair in had.signed) for known in state.steps.values()
    )
    names = {name for signed in all_signed for name, _ in signed}
    if "independent" in event.meaning.lower() and names <= {event.name}:
        raise JobError(
            "a check by the one who did the work is a self-check", hint="only a second person's is independent"
        )
    return change(
        state,
        event.step,
        status=Status.BEGUN,
        signed=(*state[event.step].signed, (event.name, event.meaning)),
        current=event.step,
    )


def _called(state: JobState, event: ev.CallOpened, time: str) -> JobState:
    workable(state, event.step)
    if state[event.step].called:
        raise JobError("the procedure it calls is already open")
    return change(
        state, event.step, status=Status.BEGUN, begun=time, called=event.called, returned="", current=event.step
    )


def _returned(state: JobState, event: ev.CallReturned, _time: str) -> JobState:
    if state[event.step].called != event.called:
        raise JobError("this step called another job")
    # What it left open is a line of the unit it was gone through for, and of no other one that it served.
    counts = not event.nothing and (not event.shared or event.result == "complete")
    return change(state, event.step, called="", returned=event.result if counts else "")


MARKS: Final[Mapping[type[ev.JobEvent], Move]] = {
    ev.StepBegun: _begun,
    ev.CautionAcknowledged: _acknowledged,
    ev.ReadingTaken: _read,
    ev.ChoiceMade: _chosen,
    ev.StepDone: _done,
    ev.StepSkipped: _left_out(Status.SKIPPED),
    ev.StepNotApplicable: _left_out(Status.NOT_APPLICABLE),
    ev.StepFailed: _failed,
    ev.StepHeld: _held,
    ev.StepReopened: _reopened,
    ev.MovedTo: _moved,
    ev.TimerStarted: _timer_started,
    ev.TimerEnded: _timer_ended,
    ev.SignedOff: _signed,
    ev.CallOpened: _called,
    ev.CallReturned: _returned,
}
"""Event to the function that folds it into the state."""
