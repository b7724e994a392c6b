"""What may have changed what was proven on a unit: rework, parts exchanged, repairs, work done after its test."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Final

from benchtui.jobs.hunted import taken_back
from benchtui.jobs.lineage import first_of, procedure_of
from benchtui.jobs.named import NOTHING, Names, names_of, says_all, touched
from benchtui.jobs.parts import exchanged, is_board, is_carrier
from benchtui.jobs.steps import Status

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from benchtui.jobs.events import Recorded
    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.plan import Plan, PlanStep


_SHARED: Final = ("connector", "bus", "multiplexer")
"""Kinds of what several controls run through."""

_BARE: Final = frozenset({"bare"})
"""What tests of the board or carrier alone are about: another one went in, or somebody says that all was touched."""

_NUMBERED: Final = frozenset({"papers", "firmware"})
"""What bears the serial number of a unit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Disturbed:
    """Something was done that may have changed what had been proven before."""

    order: int
    touched: frozenset[str] = frozenset()
    """Ids of what was touched; empty for everything."""
    steps: frozenset[str] | None = None
    """Ids of the steps whose proof it makes void, where it names them instead."""
    about: frozenset[str] = frozenset()
    """What tests it makes void besides are about, of those that only what names them makes void."""
    done: tuple[str, PlanStep] | None = None
    """(id of its procedure, step) of a step that was done: only the tests that stand after it are void."""
    family: frozenset[str] = frozenset()
    """The rework job that was it, and all it called: the tests at their end were made after the work, and hold."""
    start: int = 0
    """Order of the event that job began with."""


def disturbances(states: Mapping[str, JobState], events: Sequence[Recorded]) -> Iterator[Disturbed]:
    """Everything that may have changed what had been proven on a unit before.

    Args:
        states: Name of a job to its state, for each job of the unit.
        events: Every event of the unit in the record's order.
    """
    names = names_of(*states.values())
    exchanges = exchanged(events)
    starts: dict[str, int] = {}
    ended: dict[str, int] = {}
    hunts: dict[str, frozenset[str]] = {}
    changed: dict[str, frozenset[str]] = {}
    by_name: dict[str, frozenset[str]] = {}
    repaired: set[str] = set()
    gone = taken_back(events)
    for order, event in enumerate(events):
        if order in gone:
            continue
        starts.setdefault(event.job, order)
        state, data = states.get(event.job), event.data
        match event.kind:
            case "rework-done":
                bare = _BARE if says_all(_said(data)) else frozenset()
                yield Disturbed(order=order, touched=_with_all_on_it(_reworked(state, data, names), states), about=bare)
            case "part-fitted" if order in exchanges:
                part, place = str(data.get("part", "")), str(data.get("place", ""))
                bare = _BARE if is_board(part, place) or is_carrier(part) else frozenset()
                at = _with_all_on_it(about_of(place, names), states)
                yield Disturbed(order=order, touched=at, about=bare)
            case "unit-renumbered":
                # Its papers, and the firmware that tells its number, bear the old one.
                yield Disturbed(order=order, steps=frozenset(), about=_NUMBERED)
            case "step-done" if state is not None:
                yield from _by_step(order, state, str(data.get("step", "")), states)
            case "job-closed" if state is not None:
                ended[event.job] = order
                yield from _by_job(order, state, starts[event.job], states, names)
            case "hunt-started":
                hunts[event.job] = about_of(str(data.get("subject", "")), names)
            case "hunt-repair":
                repaired.add(event.job)
                said = _said(data)
                walk = str(data.get("walked", ""))
                # Done step by step in a job of its own, it was done once that was closed, and the tests in it hold. One
                # that was closed short may have been made by hand at any time until it was written down.
                whole = walk in ended and states[walk].closed == "complete"
                done = Disturbed(
                    order=ended[walk] if whole else order,
                    family=_family(walk, states) if whole else frozenset(),
                    start=starts.get(walk, order),
                )
                if data.get("voids"):
                    yield replace(done, steps=frozenset(map(str, data["voids"])))
                # One that does not say what it touched was written by an older program: it may have been anything.
                if said != NOTHING:
                    yield replace(done, touched=touched(said, names))
            case "hunt-closed" if data.get("result") == "work-around":
                # Something is wired, plugged or set otherwise than it was tested. While it stands the unit cannot
                # leave, so that where nothing says at what, it is named once it is undone, and not before.
                said = _said(data)
                by_name[event.id] = frozenset(map(str, data.get("voids", ())))
                changed[event.id] = touched(said, names) if said else hunts.get(event.job, frozenset())
                if changed[event.id] and said != NOTHING:
                    yield Disturbed(order=order, touched=changed[event.id])
            case "hunt-closed" if data.get("result") == "fixed" and event.job not in repaired:
                yield Disturbed(order=order, touched=hunts.get(event.job, frozenset()))
            case "work-around-undone":
                if named := by_name.get(str(data.get("workaround", ""))):
                    yield Disturbed(order=order, steps=named)
                # Who puts it right says what was touched; an older program did not ask.
                if not (said := _said(data)):
                    yield Disturbed(order=order, touched=changed.get(str(data.get("workaround", "")), frozenset()))
                elif said != NOTHING:
                    yield Disturbed(order=order, touched=_with_all_on_it(touched(said, names), states))


def _said(data: Mapping[str, Any]) -> tuple[str, ...]:
    """What an event says was touched, in words; empty where it says nothing."""
    return tuple(map(str, data.get("touched", ())))


def about_of(text: str, names: Names) -> frozenset[str]:
    """Ids that a text names; empty for everything."""
    return touched((text,), names) if text else frozenset()


def _with_all_on_it(ids: frozenset[str], states: Mapping[str, JobState]) -> frozenset[str]:
    """The same with the controls on a plug, feed or chip that was touched: tests of an older text do not name those."""
    steps = (step for state in states.values() for step, _ in state.every())
    wide = {step.subject.id: step.touches for step in steps if step.subject and step.subject.kind in _SHARED}
    return ids.union(*(wide[id] for id in ids if id in wide))


def _by_step(order: int, state: JobState, key: str, states: Mapping[str, JobState]) -> Iterator[Disturbed]:
    step = state.step(key)
    if step is not None and step.voids:
        yield Disturbed(order=order, steps=frozenset(step.voids))
    if step is not None and step.act == "do":
        yield Disturbed(order=order, done=(procedure_of(state, states), step))


def _by_job(
    order: int, state: JobState, start: int, states: Mapping[str, JobState], names: Names
) -> Iterator[Disturbed]:
    if state.slipped:
        return
    bare = _BARE if says_all(state.plan.touched) and state.plan.procedure_kind == "rework" else frozenset()
    for about in _worked_at(state, states, names):
        yield Disturbed(order=order, touched=about, about=bare, family=_family(state.job, states), start=start)
    for defect in state.defects.values():
        # Rework that was begun and never ended: what it touched was never said.
        if defect.status == "in rework":
            yield Disturbed(order=order, touched=about_of(defect.subject, names))


def _worked_at(state: JobState, states: Mapping[str, JobState], names: Names) -> set[frozenset[str]]:
    """What a job worked on by each of the texts it went by; none where its procedure touches nothing of what is tested.

    What a closed job left open is work of its procedure too. A job in which nothing but tests, looks and papers were
    done worked on nothing.
    """
    first = first_of(state, states)
    if not _worked(state, states):
        return set()
    return {
        _worked_on(plan, names)
        for plan in (*first.texts, first.plan, *state.texts)
        # A job that makes tests again, or puts a defect right, is no run of the procedure it has its text from.
        if plan.procedure_kind == "rework" or (plan.touched and not any(step.again[0] for step in plan.steps))
    }


def _worked(state: JobState, states: Mapping[str, JobState]) -> bool:
    """Whether something was done to the unit in a job, and not only tested, or switched on and off for a test."""
    return any(
        (step.act == "do" or (step.act == "call" and _works_for(state, step.key, states)))
        and step.touches_unit
        # One that was done once stays so, whatever mark it bears since.
        and (known.begun or known.status not in _NOT_TOUCHED)
        for step, known in state.every()
    )


def _works_for(state: JobState, key: str, states: Mapping[str, JobState]) -> bool:
    """Whether what a step called was work of this job; rework and service say themselves what they touch."""
    called = [each for each in states.values() if (each.caller, each.caller_step) == (state.job, key)]
    return not called or any(
        each.plan.procedure_kind not in ("rework", "service") and _worked(each, states) for each in called
    )


_NOT_TOUCHED: Final = (Status.OPEN, Status.SKIPPED, Status.NOT_APPLICABLE)


def _worked_on(plan: Plan, names: Names) -> frozenset[str]:
    """Ids of what a procedure that says so, or one of rework, works on; empty for everything.

    It may be handed a control that none of its steps is about, by the hunt it was begun from.
    """
    if plan.touched:
        return touched(plan.touched, names)
    own = any(step.act == "do" and step.subject and step.subject.id == plan.subject for step in plan.steps)
    return about_of(plan.subject, names) if own else frozenset()


def _reworked(state: JobState | None, data: Mapping[str, Any], names: Names) -> frozenset[str]:
    defect = state.defects.get(str(data.get("defect", ""))) if state is not None else None
    return touched(_said(data), names, own=defect.subject if defect else "")


def _family(job: str, states: Mapping[str, JobState]) -> frozenset[str]:
    """A job and every job it called, and those called by them."""
    found = {job}
    while more := {state.job for state in states.values() if state.caller in found} - found:
        found |= more
    return frozenset(found)
