"""Folding events into the state of a job: `advance(state, event) -> state`, with every rule of what is allowed when.

Pure: no clock, no files. The same function checks an event before it is recorded and rebuilds a job from its record, so
a job can never be in a state its record does not explain. Each refusal is a `JobError` that says what comes first.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from benchtui.errors import JobError
from benchtui.jobs import events as ev
from benchtui.jobs.jobstate import Act as Act
from benchtui.jobs.jobstate import Defect as Defect
from benchtui.jobs.jobstate import JobState as JobState
from benchtui.jobs.lists import FROM_TOP, from_the_top
from benchtui.jobs.marks import MARKS
from benchtui.jobs.moves import change, in_sight, needed, reopen
from benchtui.jobs.quality import QUALITY
from benchtui.jobs.readings import doubt as doubt
from benchtui.jobs.readings import verdict as verdict
from benchtui.jobs.revision import move
from benchtui.jobs.serials import same_unit
from benchtui.jobs.standing import after_done, left_after, with_iron
from benchtui.jobs.steps import Note, Status, StepState

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.jobs.jobstate import DefectStatus
    from benchtui.jobs.moves import Move
    from benchtui.jobs.plan import Plan, PlanStep

TRAIL: Final = 6
"""How many of the last acts a state remembers for the screen after a break."""


def begin(plan: Plan, event: ev.JobStarted, *, job: str, unit: str = "", time: str = "") -> JobState:
    """The state of a job that has just been opened."""
    if not plan.steps:
        raise JobError(f"{plan.title} has no step for this unit")
    return JobState(
        plan=plan,
        job=job,
        unit=unit,
        batch=event.batch,
        caller=event.caller,
        caller_step=event.caller_step,
        rules=event.rules,
        first_use=event.first_use,
        started=time,
        last=time,
        steps={step.key: StepState() for step in plan.steps},
        current=plan.steps[0].key,
        defects=_brought(event),
        trail=(Act(time=time, kind=event.KIND),),
    )


def _brought(event: ev.JobStarted) -> dict[str, Defect]:
    """The defect a rework job was opened for, as decided in the job that found it.

    Rework that had begun there has to be ended here, for something was touched.
    """
    if not event.defect:
        return {}
    status: DefectStatus = "in rework" if event.defect_begun else "decided"
    return {
        event.defect: Defect(
            id=event.defect, text=event.defect_text, subject=event.subject, status=status, disposition="rework"
        )
    }


def advance(state: JobState, event: ev.JobEvent, *, time: str = "", plan: Plan | None = None) -> JobState:
    """The state after `event`.

    Args:
        state: The state before.
        event: What happened.
        time: When, as ISO text with offset.
        plan: The new plan, for an event that moves the job to another revision.

    Raises:
        JobError: It is not allowed now; the message says why, and nothing has changed.
    """
    if state.closed:
        raise JobError("this job is closed", hint="start a new job on the unit, such as a rework")
    step = getattr(event, "step", "")
    if step in state.gone and isinstance(event, ev.StepNotApplicable):
        return replace(_decided_gone(state, event), last=time, worked=True)
    if step and not state.plan.has(step):
        raise JobError(f"there is no step {step!r} in {state.plan.title}")
    if isinstance(event, ev.RevisionMoved):
        if plan is None:
            raise JobError(f"the text of revision {event.revision} is not in the record")
        new = move(state, event, plan)
    else:
        new = _MOVES[type(event)](state, event, time)
    if isinstance(event, ev.StepDone):
        new = replace(new, left=after_done(new.left, state.plan.step(step)))
    elif isinstance(event, ev.CallReturned):
        new = replace(new, left=with_iron(new.left, event.iron))
    if step in state.over and isinstance(event, ev.StepBegun | ev.StepDone):
        new = replace(new, over=new.over - {step})
    act = Act(time=time, kind=event.KIND, step=step)
    return replace(with_work(new, state, event), last=time, trail=(*state.trail, act)[-TRAIL:])


def with_work(state: JobState, before: JobState, event: ev.JobEvent) -> JobState:
    """The state after an act with what it tells of work, whether its mark fits there or not.

    Args:
        state: The state after it.
        before: The one it was done in, of which the plan counts.
        event: The act.
    """
    step = before.step(event.step) if isinstance(event, ev.StepDone) else None
    return replace(
        state,
        worked=state.worked or works(before.plan, event),
        handled=state.handled or (step is not None and _handles(before.plan, step)),
    )


def works(plan: Plan, event: ev.JobEvent) -> bool:
    """Whether an act is work on the unit, or a finding about it.

    A page marks the step in hand as begun by itself. In rework that counts: hands are on the joint before any mark.
    """
    if isinstance(event, ev.StepBegun):
        return _says_touched(plan)
    return not isinstance(event, _NO_WORK)


def _handles(plan: Plan, step: PlanStep) -> bool:
    """Whether a step of rework or service has a hand or tool on the unit, which taking its mark back does not undo."""
    return _says_touched(plan) and step.is_work and bool(step.uses or step.subject)


def _says_touched(plan: Plan) -> bool:
    """Whether it is rework, or a service that says what of the unit it touches."""
    return plan.procedure_kind == "rework" or bool(plan.touched)


_NO_WORK: Final = (
    ev.MovedTo,
    ev.CautionAcknowledged,
    ev.NoticeRead,
    ev.UnitIdentified,
    ev.ConditionAnswered,
    ev.KitTicked,
    ev.StartedShort,
    ev.Suspended,
    ev.Resumed,
    ev.BenchSaid,
    ev.NoteAdded,
    ev.PlaceKept,
    ev.RevisionMoved,
    ev.JobClosed,
)


def _decided_gone(state: JobState, event: ev.StepNotApplicable) -> JobState:
    """A step that a newer text took out is decided to be needed no more, whatever it had shown."""
    needed(event.reason, "a reason", "say why it is needed no more")
    gone = state.gone[event.step]
    known = replace(gone.known, status=Status.NOT_APPLICABLE, reason=event.reason)
    return replace(state, gone={**state.gone, event.step: replace(gone, known=known)})


# -- before the work, and breaks -------------------------------------------------------------------------------------


def _started_twice(state: JobState, _event: ev.JobStarted, _time: str) -> JobState:
    raise JobError(f"the job {state.job} was already started")


def _identified(state: JobState, event: ev.UnitIdentified, _time: str) -> JobState:
    # A wrong serial number is kept in the record as well: it tells that hands were on another unit.
    return replace(state, identify=state.identify and not same_unit(event.serial, state.unit))


def _condition(state: JobState, event: ev.ConditionAnswered, _time: str) -> JobState:
    if event.condition not in state.plan.before.conditions:
        raise JobError(f"the preliminary page has no line {event.condition!r}")
    needed(event.answer, "an answer", "type the state or value you found")
    # What did not hold at the start and now does is no longer something the work goes on without.
    excused = state.excused if event.answer == ev.NO else state.excused - {event.condition}
    return replace(state, conditions={**state.conditions, event.condition: event.answer}, excused=excused)


def _ticked(state: JobState, event: ev.KitTicked, _time: str) -> JobState:
    place = (event.heading, event.item)
    if event.back:
        if place not in state.kit:
            raise JobError(f"{event.item} was never counted out")
        return replace(state, back=state.back | {place})
    # What was missing at the start and has turned up is no longer something the work goes on without.
    excused = state.excused - {event.item} if event.found else state.excused
    return replace(state, kit={**state.kit, place: event.found}, back=state.back - {place}, excused=excused)


def _short(state: JobState, event: ev.StartedShort, _time: str) -> JobState:
    needed(event.reason, "a reason", "say why the work can go on without it")
    short = {**state.short, **dict.fromkeys(event.missing, event.reason.strip())}
    return replace(state, excused=state.excused | set(event.missing), short=short)


def _suspended(state: JobState, event: ev.Suspended, _time: str) -> JobState:
    if state.suspended is not None:
        raise JobError("this job is already suspended")
    return replace(state, suspended=event, left=event.bench)


def _resumed(state: JobState, event: ev.Resumed, _time: str) -> JobState:
    if state.suspended is None:
        raise JobError("this job is not suspended")
    missing = state.suspended.bench[len(event.answers) :]
    if missing:
        raise JobError(f"when you left: {missing[0]}", hint="say how you found it before going on")
    # Hazards are acknowledged anew: the reader may be another person, or the same one on another day.
    identify = event.identify and bool(state.unit)
    rules = max(state.rules, event.rules)
    # Only the plain word ends it: "still so", and "not looked at", leave it standing at every screen of the job.
    left = left_after(state.suspended.bench, event.answers)
    new = replace(state, suspended=None, left=left, acknowledged=frozenset(), identify=identify, rules=rules)
    if event.checklist != FROM_TOP:
        return new
    new = from_the_top(new)
    return replace(new, current=new.next_to_do())


def _said(state: JobState, event: ev.BenchSaid, _time: str) -> JobState:
    for step in state.plan.steps:
        if step.begins in event.off and step.begins in state.standing and _may_stand(state, step.key):
            # What comes after may need it on: the step that switches it on is done once more before that.
            if state[step.key].status not in (Status.HELD, Status.FAILED):  # those keep their mark, and its reason
                state = reopen(state, step.key, "it was switched off meanwhile", void=True)
            state = replace(state, over=state.over | {step.key})
    return replace(state, left=event.bench)


def _may_stand(state: JobState, key: str) -> bool:
    """Whether what a step begins stands by its mark, or would but for what was said."""
    return state[key].status not in (Status.OPEN, Status.SKIPPED, Status.NOT_APPLICABLE)


# -- what is kept beside the marks -----------------------------------------------------------------------------------


def _noted(state: JobState, event: ev.NoteAdded, time: str) -> JobState:
    needed(event.text, "a note", "type it first")
    note = Note(text=event.text, time=time, urgent=event.urgent)
    if event.step:
        return change(state, event.step, notes=(*state[event.step].notes, note))
    return replace(state, notes=(*state.notes, note))


def _place_kept(state: JobState, event: ev.PlaceKept, _time: str) -> JobState:
    needed(event.name, "a name", "type a word or two that you know it by")
    return replace(state, places={**state.places, event.name.strip(): event.step})


def _witnessed(state: JobState, event: ev.Witnessed, _time: str) -> JobState:
    step, known = state.plan.step(event.step), state[event.step]
    if not step.witness:
        raise JobError(f"step {step.number} is no witness point", hint="keep a note there instead")
    if known.settled:
        raise JobError(f"this step is {known.status}", hint="open it again, and do it while somebody looks on")
    needed(event.name, "a name", "type who looks on")
    return change(state, event.step, witnessed=(*known.witnessed, event.name.strip()))


def _attached(state: JobState, event: ev.FileAttached, _time: str) -> JobState:
    if not event.step:
        return state
    return change(state, event.step, files=(*state[event.step].files, (event.name, event.digest)))


def _redlined(state: JobState, event: ev.Redlined, _time: str) -> JobState:
    needed(event.text, "a text", "type the step as it should read")
    needed(event.reason, "a reason", "say why the text is wrong")
    return change(state, event.step, redline=event.text, redlined=event.reason, until=event.until)


def _loaded(state: JobState, event: ev.FirmwareLoaded, _time: str) -> JobState:
    needed(event.version, "a version", "type what the unit says of itself")
    if not event.step:
        return state
    return change(state, event.step, fitted=(*state[event.step].fitted, event.version))


def _closed(state: JobState, event: ev.JobClosed, _time: str) -> JobState:
    open_items = state.open_items()
    if open_items and event.result == "complete":
        raise JobError(
            f"{len(open_items)} open: {open_items[0]}", hint="finish them, or decide to close with open items"
        )
    if open_items:
        needed(event.decision, "a decision", "say why the job is closed with open items")
    # Another bench may have worked in it, which the one that closed it did not know.
    unknown = event.result == ev.NOTHING_DONE and not (state.unmarked_but() if event.untouched else not state.worked)
    result = "closed with open items" if unknown else event.result
    for key in state.steps:
        state = in_sight(state, key)
    return replace(state, closed=result, decision=event.decision, suspended=None)


def _nothing(state: JobState, _event: ev.JobEvent, _time: str) -> JobState:
    return state


_MOVES: Final[Mapping[type[ev.JobEvent], Move]] = {
    ev.JobStarted: _started_twice,
    ev.UnitIdentified: _identified,
    ev.ConditionAnswered: _condition,
    ev.KitTicked: _ticked,
    ev.StartedShort: _short,
    ev.Suspended: _suspended,
    ev.Resumed: _resumed,
    ev.BenchSaid: _said,
    ev.NoteAdded: _noted,
    ev.NoticeRead: _nothing,
    ev.PlaceKept: _place_kept,
    ev.Witnessed: _witnessed,
    ev.FileAttached: _attached,
    ev.Redlined: _redlined,
    ev.FirmwareLoaded: _loaded,
    ev.JobClosed: _closed,
    **MARKS,
    **QUALITY,
}
