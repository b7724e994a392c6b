"""Events of two benches that do not fit each other: what is done all the same, and what a person has to decide.

A job that went on at two benches is one job again after their records were merged. What one bench alone did keeps its
effect wherever it can have one: a job closed or put aside there does not undo a defect written down, a reading that
failed or a rework done here. What is left over is a conflict. It is named, the unit is not released while it stands,
and it ends by an event that says why (`unit_events.ConflictDecided`), until that is withdrawn. Everything follows from
the events and their order alone, so that every bench comes to the same.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Final

from benchtui.errors import JobError
from benchtui.jobs import events as ev
from benchtui.jobs.benches import ABOUT_THE_SITTING
from benchtui.jobs.disagree import disagreement
from benchtui.jobs.jobstate import Defect, JobState
from benchtui.jobs.moves import change, failing, unsigned
from benchtui.jobs.state import advance, with_work
from benchtui.jobs.steps import Reading, Status
from benchtui.jobs.unit_events import ConflictDecided, DecisionWithdrawn

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence

    from benchtui.jobs.events import Recorded
    from benchtui.jobs.plan import Plan

ELSEWHERE: Final = "at another bench"

UNKNOWING: Final = "measured at two benches that did not know of each other"
"""Why there are two readings, in words that are true at either bench."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Conflict:
    """An event that did not fit what was there when it came, and why."""

    id: str
    kind: str
    time: str
    message: str
    job: str = ""
    about: str = ""
    """Step or defect it is about."""
    matters: bool = True
    """It has to be decided. The others are named only: both benches say the same, or both are kept."""

    @property
    def text(self) -> str:
        """One line that says which event, and what is wrong with it."""
        where = f", job {self.job}" if self.job else ""
        return f"{self.time[:16].replace('T', ' ')}{where}: {self.message}"


def decided(events: Iterable[Recorded]) -> frozenset[str]:
    """Ids of the events that somebody decided about, by a decision that was not withdrawn.

    In whatever order they came: a decision that is withdrawn at one bench is withdrawn, and one that was made by itself
    at the other still stands.
    """
    made: dict[str, str] = {}
    withdrawn = set()
    for event in events:
        if event.kind == ConflictDecided.KIND:
            made[event.id] = str(event.data.get("conflict"))
        elif event.kind == DecisionWithdrawn.KIND:
            withdrawn.add(str(event.data.get("decision")))
    return frozenset(conflict for id, conflict in made.items() if id not in withdrawn)


# -- two defects of one number ---------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Renamed:
    """An event with the defect it means told apart from another of the same number."""

    seq: int
    id: str
    time: str
    kind: str
    unit: str
    job: str
    data: Mapping[str, Any]


def told_apart(events: Sequence[Recorded]) -> Sequence[Recorded]:
    """The events with defects told apart that two benches gave one number, such as D1: D1-3fa2 and D1-c07e.

    What a bench wrote about its D1 is about the D1 it had found itself.
    """
    found: dict[tuple[str, str], dict[str, str]] = {}
    for event in events:
        if event.kind == ev.DefectFound.KIND:
            found.setdefault((event.job, str(event.data.get("defect"))), {}).setdefault(bench_of(event), "")
    double = {place: _tagged(place[1], origins) for place, origins in found.items() if len(origins) > 1}
    if not double:
        return events
    meant: dict[str, tuple[str, str]] = {}
    for event in events:
        if event.kind == ev.JobStarted.KIND and (whole := str(event.data.get("defect", ""))):
            job, _, number = whole.partition(":")
            names = double.get((job, number), {})
            if bench_of(event) in names:
                meant[event.job] = (whole, f"{job}:{names[bench_of(event)]}")
    return [_renamed(event, double, meant) for event in events]


def _renamed(
    event: Recorded, double: Mapping[tuple[str, str], Mapping[str, str]], meant: Mapping[str, tuple[str, str]]
) -> Recorded:
    number = str(event.data.get("defect", ""))
    whole, other = meant.get(event.job, ("", ""))
    name = double.get((event.job, number), {}).get(bench_of(event), "") or (other if number == whole else "")
    if not number or not name:
        return event
    return _Renamed(event.seq, event.id, event.time, event.kind, event.unit, event.job, {**event.data, "defect": name})


def _tagged(number: str, origins: Iterable[str]) -> dict[str, str]:
    """Origin to the name of its defect: as few letters of a digest of the origin as tell them apart."""
    digests = {origin: hashlib.sha256(origin.encode()).hexdigest() for origin in origins}
    length = next(n for n in range(4, 65) if len({digest[:n] for digest in digests.values()}) == len(digests))
    return {origin: f"{number}-{digest[:length]}" for origin, digest in digests.items()}


def bench_of(event: Recorded | Conflict) -> str:
    """The name under which the bench goes that wrote an event, or the event of a conflict."""
    return event.id.rpartition(":")[0]


# -- an event that is not allowed any more ---------------------------------------------------------------------------


def settle(
    state: JobState,
    event: ev.JobEvent,
    recorded: Recorded,
    plan: Plan | None,
    refused: JobError,
    seen: JobState | None = None,
) -> tuple[JobState, Conflict]:
    """The state after an event that was allowed at the bench that wrote it and is not here, and what to say of it.

    Args:
        state: The state before.
        event: The event, and how it stands in the record.
        recorded: The same.
        plan: The new plan, for an event that moves the job to another revision.
        refused: Why it is not allowed.
        seen: The state before in the sitting of the bench that wrote it (see `jobs.benches`); `state` when None.
    """
    message, matters = refused.message, False
    # A job closed or put aside at one bench was open at the other.
    asleep = bool(state.closed or state.suspended is not None or state.identify)
    read = seen.acknowledged if seen is not None else state.acknowledged
    eased = replace(state, closed="", suspended=None, identify=False) if asleep else state
    eased = replace(eased, acknowledged=eased.acknowledged | read)
    new: JobState | None = None
    if not isinstance(event, ABOUT_THE_SITTING):
        try:
            if not asleep:
                raise refused
            new = advance(eased, event, time=recorded.time, plan=plan)
            message = f"kept, though the job was {'closed' if state.closed else 'put aside'} {ELSEWHERE}"
        except JobError as error:
            new = _by_hand(eased, event, recorded.time)
            message = disagreement(eased, event, error.message, after=new)
            matters = not _agreed(eased, event)
    new = replace(with_work(new or eased, state, event), acknowledged=state.acknowledged)
    if asleep:
        new = replace(new, suspended=state.suspended)
    if state.closed and not (new.closed and isinstance(event, ev.JobClosed)):
        new = _closed_again(new, state.closed)
    conflict = Conflict(
        id=recorded.id,
        kind=recorded.kind,
        time=recorded.time,
        message=message,
        job=recorded.job,
        about=str(recorded.data.get("step") or recorded.data.get("defect") or ""),
        matters=matters,
    )
    return new, conflict


def _by_hand(state: JobState, event: ev.JobEvent, time: str) -> JobState | None:
    hand = _BY_HAND.get(type(event))
    try:
        return hand(state, event, time) if hand else None
    except JobError:
        return None


def _closed_again(state: JobState, before: str) -> JobState:
    whole = not state.open_items() and (before == "complete" or not state.decision)
    return replace(state, closed="complete" if whole else "closed with open items")


def _agreed(state: JobState, event: ev.JobEvent) -> bool:
    """Whether nothing is left to decide: the other bench did the same, or what it did is about its own sitting."""
    step = getattr(event, "step", "")
    known = state.steps.get(step)
    match event:
        case ev.StepDone() | ev.SignedOff() | ev.TimerStarted() | ev.CallReturned():
            return known is not None and known.status is Status.DONE
        case ev.ReadingTaken():
            return event.verdict != "fail" and known is not None and known.status in (Status.DONE, Status.BEGUN)
        case ev.ChoiceMade():
            return known is not None and known.choice == event.choice and known.status is not Status.FAILED
        case ev.TimerEnded():
            return not event.reason and known is not None and known.status is Status.DONE
        case ev.StepReopened():
            return known is not None and not known.settled
        case ev.StepSkipped():
            return known is not None and known.status is Status.SKIPPED
        case ev.StepNotApplicable():
            return known is not None and known.status is Status.NOT_APPLICABLE
        case ev.DispositionGiven():
            defect = state.defects.get(event.defect)
            return defect is not None and defect.disposition == event.disposition
        case ev.JobClosed() | ev.NoteAdded() | ev.CallOpened():
            # What the one that closed it did not know of is open, and stands in the list of what is.
            return True
    return isinstance(event, _SMALL)


_SMALL: Final = (
    ev.MovedTo,
    ev.StepBegun,
    ev.CautionAcknowledged,
    ev.UnitIdentified,
    ev.NoticeRead,
    ev.PlaceKept,
    ev.KitTicked,
    ev.ConditionAnswered,
)
"""Events about a sitting and not about the unit."""


def _reading(state: JobState, event: ev.ReadingTaken, time: str) -> JobState | None:
    """The reading is kept beside the other bench's; one that failed fails the step, whatever the other one said."""
    gone = state.gone.get(event.step)
    if event.step not in state.steps and gone is None:
        return None
    known = gone.known if gone else state[event.step]
    reading = Reading(
        typed=event.typed,
        value=event.value,
        verdict=event.verdict,
        quantity=event.quantity,
        meter=event.meter,
        due=event.meter_due,
        override=event.override,
        reason=event.reason or UNKNOWING,
        asked=event.asked,
        time=time,
    )
    failed = event.verdict == "fail"
    if gone:
        known = replace(known, readings=(*known.readings, reading), status=Status.FAILED if failed else known.status)
        return replace(state, gone={**state.gone, event.step: replace(gone, known=known)})
    if not failed:
        # The one that counts stays the last: it was taken at the bench whose mark stands.
        return change(state, event.step, readings=(*known.readings[:-1], reading, *known.readings[-1:]))
    new = change(state, event.step, readings=(*known.readings, reading))
    return _failed(new, event.step, "reading outside its limits at one of two benches")


def _choice(state: JobState, event: ev.ChoiceMade, _time: str) -> JobState | None:
    if event.step not in state.steps:
        return None
    verdicts = {choice.text: choice.verdict for choice in state.plan.step(event.step).choices}
    if verdicts.get(event.choice) != "fail":
        return None
    return _failed(change(state, event.step, choice=event.choice), event.step, f"answered {event.choice} {ELSEWHERE}")


def _step_failed(state: JobState, event: ev.StepFailed, _time: str) -> JobState | None:
    return _failed(state, event.step, f"{event.reason} ({ELSEWHERE})") if event.step in state.steps else None


def _failed(state: JobState, key: str, reason: str) -> JobState:
    """A step that failed at one bench is failed, and no signature after it stands."""
    new = change(state, key, status=Status.FAILED, reason=reason, done="", current=key, failed=failing(state, reason))
    return unsigned(new, key) if state.rules else new


def _defect(state: JobState, event: ev.DefectFound, _time: str) -> JobState:
    """A defect is never lost, not even one without words, of a step that is gone, or written twice."""
    number = event.defect
    while number in state.defects:
        number += "+"
    step = event.step if state.plan.has(event.step) else ""
    defect = Defect(id=number, text=event.text or "no words", step=step, subject=event.subject)
    return replace(state, defects={**state.defects, number: defect})


def _rework_started(state: JobState, event: ev.ReworkStarted, time: str) -> JobState:
    known = _known(state, event.defect)
    disposition = known.disposition if known.disposition in ("rework", "repair") else "rework"
    decided = replace(known, status="decided", disposition=disposition)
    return advance(_with(state, decided), event, time=time)


def _rework_done(state: JobState, event: ev.ReworkDone, time: str) -> JobState:
    """What was touched is touched: its tests are void, whatever was decided at the other bench."""
    return advance(_with(state, replace(_known(state, event.defect), status="in rework")), event, time=time)


def _closed(state: JobState, event: ev.JobClosed, _time: str) -> JobState:
    decision = event.decision or f"closed {ELSEWHERE}, where what is open was not known"
    return replace(state, closed="closed with open items", decision=decision)


def _noted(state: JobState, event: ev.NoteAdded, time: str) -> JobState | None:
    return advance(state, replace(event, step=""), time=time) if event.text.strip() else None


def _known(state: JobState, number: str) -> Defect:
    return state.defects.get(number) or Defect(id=number, text=f"defect {number}, found {ELSEWHERE}")


def _with(state: JobState, defect: Defect) -> JobState:
    return replace(state, defects={**state.defects, defect.id: defect})


_BY_HAND: Final[Mapping[type[ev.JobEvent], Callable[[JobState, Any, str], JobState | None]]] = {
    ev.ReadingTaken: _reading,
    ev.ChoiceMade: _choice,
    ev.StepFailed: _step_failed,
    ev.DefectFound: _defect,
    ev.ReworkStarted: _rework_started,
    ev.ReworkDone: _rework_done,
    ev.JobClosed: _closed,
    ev.NoteAdded: _noted,
}
"""What must not be lost, and how it is kept where the rules of a single bench refuse it."""


# -- a release that did not know -------------------------------------------------------------------------------------


def evidence(digests: Iterable[str]) -> str:
    """One digest over everything the record says of a unit."""
    return hashlib.sha256("\n".join(digests).encode()).hexdigest()


def released_unknowing(unit: Sequence[Recorded]) -> tuple[Conflict, ...]:
    """Releases at one bench that rest on less than what another had written before: each names the evidence it had."""
    found = []
    for place, event in enumerate(unit):
        if event.kind != "unit-state" or not event.data.get("evidence"):
            continue
        before = unit[:place]
        # The state "accepted" is passed through in the same act, after the evidence was looked at.
        act = next((at for at in reversed(range(len(before))) if not _passing(before[at], event)), -1)
        known = (evidence(getattr(each, "digest", "") for each in some) for some in (before, before[: act + 1]))
        if all(bench_of(each) == bench_of(event) for each in before) or event.data["evidence"] in known:
            continue
        message = f"it was let go ({event.data.get('state')}) while work on it at another bench was not known"
        found.append(Conflict(id=event.id, kind=event.kind, time=event.time, message=message))
    return tuple(found)


def _passing(event: Recorded, release: Recorded) -> bool:
    accepted = event.kind == "unit-state" and event.data.get("state") == "accepted"
    return accepted and bench_of(event) == bench_of(release)
