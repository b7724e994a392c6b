"""Defects and rework: written down before they are touched, decided, put right, and tested again."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from benchtui.errors import JobError
from benchtui.jobs import events as ev
from benchtui.jobs.jobstate import Defect, JobState
from benchtui.jobs.moves import change, needed, reopen, unsigned, voidable
from benchtui.jobs.named import joint_name, names_of, touched
from benchtui.jobs.steps import TO_DO, Status

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.jobs.jobstate import DefectStatus
    from benchtui.jobs.moves import Move
    from benchtui.jobs.plan import Plan, PlanStep

DISPOSITIONS: Final = ("rework", "repair", "use as is", "return", "scrap")
"""What can be decided about a defect (ISO 9001:2015 8.7; the split of rework and repair follows IPC-A-610 practice)."""

CONCESSIONS: Final = ("repair", "use as is")
"""Dispositions that leave the unit different from its design, and so stay visible on it for life."""

_BY_NAME_ALONE: Final = ("papers", "bare")
"""What tests are about that no work on the unit changes: only a step that names them makes them void."""

_HUNG_ON: Final = ("bus", "multiplexer")
"""Kinds of what many controls hang on, and which the work on one of them leaves as it is."""


def voided(plan: Plan, touched: frozenset[str], *, exchanged: bool = False) -> tuple[PlanStep, ...]:
    """Steps whose proof no longer holds once `touched` was disturbed.

    A step that proves something about one of the touched subjects is void, and so is every required test of the power:
    iron or a tool was inside. A test of the unit as a whole or of its firmware is void where everything was touched;
    work on the unit changes neither its papers nor what was found on the bare board. One control is not what all hang
    on: a test of a feed or chip is void when that, or more than one that runs through it, was touched. With nothing
    named as touched, every other proof is void. What was found on a part while it was loose stays as it is: it cannot
    be tried so again without taking the part out.

    Args:
        plan: The steps.
        touched: Ids of what was disturbed; empty for everything.
        exchanged: Another part went in, so what was found on the loose one says nothing of it.
    """
    return tuple(step for step in plan.steps if is_voided(step, touched, exchanged=exchanged))


def is_voided(step: PlanStep, touched: frozenset[str], *, exchanged: bool = False) -> bool:
    """The same of one step."""
    if not step.proves or (step.loose and not exchanged) or step.about in _BY_NAME_ALONE:
        return False
    if not touched:
        return True
    if not step.touches:
        return step.required and of_power(step)
    hit = touched.intersection(step.touches)
    if step.subject is not None and step.subject.kind in _HUNG_ON and step.subject.id not in hit:
        return len(hit) > 1
    return bool(hit)


def of_power(step: PlanStep) -> bool:
    """Whether a test is of the supply and all that hangs on it; one that says nothing of itself is taken for one."""
    return not step.touches and step.about in ("", "power")


def outdated(plan: Plan, by: PlanStep) -> tuple[PlanStep, ...]:
    """Required tests that stand after a step and test what it works on: made before it, they say nothing of it.

    A step may be done after them, since it was taken back, skipped, or is another one in a newer text.

    Args:
        plan: The steps.
        by: The step that is done.
    """
    return tuple(step for step in plan.steps[by.number :] if tests_work_of(step, by))


def tests_work_of(test: PlanStep, by: PlanStep) -> bool:
    """Whether a required test is about what a step works on; one of the whole unit is when tools were used.

    A step about nothing by name, such as the bonding of the panel, works on what the tests of the whole unit test;
    one that says what it is about, such as a label, on the tests of that alone. One that switches something on or off
    works on nothing.
    """
    if by.act != "do" or not test.required or not test.proves or test.loose:
        return False
    if by.about:
        return not test.touches and (test.about or "power") == by.about
    if by.subject is None:
        return not test.touches and not by.begins and not by.ends
    about = set(by.touches) if by.subject.kind == "wires" else {by.subject.id}
    return bool(about & set(test.touches)) or (of_power(test) and bool(by.uses))


def _found(state: JobState, event: ev.DefectFound, _time: str) -> JobState:
    needed(event.text, "a description", "say what you see, before it is touched")
    if event.defect in state.defects:
        raise JobError(f"there is already a defect {event.defect}")
    defect = Defect(id=event.defect, text=event.text, step=event.step, subject=event.subject)
    return replace(state, defects={**state.defects, event.defect: defect})


def _decided(state: JobState, event: ev.DispositionGiven, _time: str) -> JobState:
    defect = _known(state, event.defect)
    if event.disposition not in DISPOSITIONS:
        raise JobError(f"{event.disposition!r} is no disposition", hint=", ".join(DISPOSITIONS))
    if defect.status in ("reworked", "accepted"):
        raise JobError(f"defect {defect.id} is {defect.status} already")
    if defect.status == "in rework" and state.rules:
        # Something was touched already: what it made void is known only once the rework has ended.
        raise JobError(f"the rework of defect {defect.id} has begun", hint="end it first, and say what was touched")
    needed(event.reason, "a reason", "say why this is right")
    status: DefectStatus = "accepted" if event.disposition == "use as is" else "decided"
    decided = replace(defect, status=status, disposition=event.disposition, reason=event.reason, by=event.name.strip())
    return _with(state, decided)


def _rework_started(state: JobState, event: ev.ReworkStarted, _time: str) -> JobState:
    defect = _known(state, event.defect)
    if defect.disposition not in ("rework", "repair"):
        raise JobError(f"decide first what is to be done about defect {defect.id}", hint="rework or repair")
    if defect.status not in ("decided", "reworked"):
        raise JobError(f"defect {defect.id} is {defect.status}")
    joints = dict(state.joints)
    if event.joint.strip():
        joint = joint_name(event.joint, names_of(state)) if state.rules else event.joint
        times, attempts = joints.get(joint, (0, 0))
        joints[joint] = (times + 1, event.borne or attempts)
    read = state.acknowledged | {(digest, "") for digest in event.heeded}
    return _with(replace(state, joints=joints, acknowledged=read), replace(defect, status="in rework"))


def _rework_done(state: JobState, event: ev.ReworkDone, _time: str) -> JobState:
    defect = _known(state, event.defect)
    if defect.status != "in rework":
        raise JobError(f"no rework of defect {defect.id} has begun")
    about = touched(event.touched, names_of(state), own=defect.subject) if state.rules else frozenset(event.touched)
    why = f"rework of defect {defect.id}"
    again = []
    new = state
    for step in voided(state.plan, about):
        known = state[step.key]
        if voidable(state, known):
            new = _opened(new, step.key, why)
        new = _first_again(new, step.key)
        if not known.settled or known.status is Status.DONE:
            again.append(step.key)
    if defect.step and state.plan.has(defect.step):
        if new[defect.step].status is Status.FAILED:
            new = _opened(new, defect.step, why)
            again.append(defect.step)
        new = _first_again(new, defect.step)
    new = _with(new, replace(defect, status="reworked", reopened=tuple(dict.fromkeys(again))))
    return replace(new, current=new.next_to_do())


def _first_again(state: JobState, key: str) -> JobState:
    """The state in which a step that was opened by hand before counts as never measured: the unit is another now."""
    known = state[key]
    if known.status is not Status.REOPENED or known.excused:
        return state
    return change(state, key, excused=True, since=len(known.in_sight))


def _opened(state: JobState, key: str, why: str) -> JobState:
    new = reopen(state, key, why, void=True)
    return unsigned(new, key) if state.rules else new


def _named(state: JobState, event: ev.PartFitted, origin: str) -> str:
    """A part in a line of the step it was fitted at: its lot or serial alone where the step says what, and where."""
    step = state.step(event.step)
    if step is not None and step.trace:
        own = step.subject.id if step.subject else state.plan.subject
        if event.place in step.fits:
            return origin
        if event.place.casefold() in (own.casefold(), "unit"):
            return origin
    return f"{event.part} at {event.place}, {origin}"


def _fitted(state: JobState, event: ev.PartFitted, _time: str) -> JobState:
    needed(event.part, "a part", "say what was fitted")
    needed(event.place, "a place", "say where it was fitted, such as F3")
    if event.replaces:
        needed(event.reason, "a reason", "say why the old part came out")
    origin = event.serial or event.lot
    if event.step and origin:
        line, lines = _named(state, event, origin), state[event.step].fitted
        if event.corrects:
            lines = tuple(each for each in lines if each == line or " at " in each)
        # One bag for many places is one line.
        if line not in lines or line != origin:
            state = change(state, event.step, fitted=(*lines, line))
    return _exchanged(state, event) if event.replaces and not event.untouched and state.rules else state


def _written(state: JobState, event: ev.TextGiven, _time: str) -> JobState:
    needed(event.text, "a text", f"write down the {event.what}")
    return change(state, event.step, fitted=(*state[event.step].fitted, event.text.strip()))


def _exchanged(state: JobState, event: ev.PartFitted) -> JobState:
    """The state after a part came out and another went in: its joints are new, and the tests it had passed are void.

    What was only looked at before (is it really this one?) stays as it is: it was about the old part.
    """
    names = names_of(state)
    about = touched((event.place,), names)
    joints = {joint: count for joint, count in state.joints.items() if joint.partition(" ")[0] not in about}
    state = replace(state, joints=joints)
    for step in voided(state.plan, about, exchanged=True):
        if step.required and step.key != event.step and voidable(state, state[step.key]):
            state = _opened(state, step.key, f"{event.part} at {event.place} was exchanged")
        state = _first_again(state, step.key) if step.required else state
    fitting = state.current == event.step and event.step and state[event.step].status in TO_DO
    return state if fitting else replace(state, current=state.next_to_do())


def _known(state: JobState, defect: str) -> Defect:
    try:
        return state.defects[defect]
    except KeyError:
        raise JobError(f"no defect {defect} is written down", hint="write it down before it is touched") from None


def _with(state: JobState, defect: Defect) -> JobState:
    return replace(state, defects={**state.defects, defect.id: defect})


QUALITY: Final[Mapping[type[ev.JobEvent], Move]] = {
    ev.DefectFound: _found,
    ev.DispositionGiven: _decided,
    ev.ReworkStarted: _rework_started,
    ev.ReworkDone: _rework_done,
    ev.PartFitted: _fitted,
    ev.TextGiven: _written,
}
"""Event to the function that folds it into the state."""
