"""A unit as its record tells it: what was done, what is in it, what is open, and whether it may leave the bench."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import TYPE_CHECKING, Any, Final

from benchtui.errors import JobError
from benchtui.jobs.events import JobStarted, PartFitted, read_event
from benchtui.jobs.fold import fold
from benchtui.jobs.quality import CONCESSIONS, voided
from benchtui.jobs.steps import Status
from benchtui.jobs.unit_events import (
    UNIT_EVENTS,
    FirmwareLoaded,
    UnitMade,
    UnitStateSet,
    UnitTakenIn,
    WorkaroundSet,
    WorkaroundUndone,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence

    from benchtui.jobs.events import Recorded
    from benchtui.jobs.fold import Conflict
    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.plan import Plan, PlanStep

MOVES: Final[Mapping[str, frozenset[str]]] = {
    "": frozenset({"planned", "in work", "returned"}),
    "planned": frozenset({"in work", "scrapped"}),
    "in work": frozenset({"held", "temporary", "accepted", "scrapped"}),
    "held": frozenset({"in work", "scrapped"}),
    "temporary": frozenset({"in work", "held", "returned", "scrapped"}),
    "accepted": frozenset({"released", "in work", "held", "scrapped"}),
    "released": frozenset({"in work", "held", "temporary", "returned", "scrapped"}),
    "returned": frozenset({"in work", "held", "scrapped"}),
    "scrapped": frozenset(),
}
"""State of a unit to those it may go to (ISO 9001:2015 8.5.2, 8.6, 8.7); the empty state is a unit not yet known."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitted:
    """A part in the unit, now or once."""

    part: str
    place: str
    lot: str = ""
    serial: str = ""
    time: str = ""
    removed: str = ""
    """When it was taken out; empty while it is in."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenDefect:
    """A defect as the unit carries it, whichever job found it."""

    id: str
    """Job and number, as "JKWPM3:D1"."""
    text: str
    subject: str
    status: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Needs:
    """What a design asks of a unit before it may leave."""

    procedures: tuple[tuple[str, str], ...] = ()
    """(id, title) of procedures that have to be gone through to the end."""
    firmware: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """A required test that was passed, and the order of the event it was passed by."""

    job: str
    step: PlanStep
    order: int

    @property
    def about(self) -> tuple[str, str]:
        """What was proven: test point or step, and subject."""
        step = self.step
        point = step.limits.point if step.limits else ""
        return (point or step.step_id, step.subject.id if step.subject else "")


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitView:
    """Everything that follows from the events of one unit."""

    unit: str
    made: UnitMade | None = None
    state: str = ""
    last_state: UnitStateSet | None = None
    jobs: tuple[JobState, ...] = ()
    """Jobs from procedures and checklists, oldest first."""
    conflicts: tuple[Conflict, ...] = ()
    parts: tuple[Fitted, ...] = ()
    """Every part ever fitted, in order."""
    defects: tuple[OpenDefect, ...] = ()
    """Defects that are not settled."""
    concessions: tuple[str, ...] = ()
    """Repairs and defects left as they are: on the unit for life."""
    workarounds: Mapping[str, str] = field(default_factory=dict)
    """Event id to what is still in a temporary state."""
    hunts_open: tuple[str, ...] = ()
    """Titles of hunts that are not closed."""
    joints: Mapping[str, tuple[int, int]] = field(default_factory=dict)
    firmware: FirmwareLoaded | None = None
    intake: UnitTakenIn | None = None
    void: tuple[Proof, ...] = ()
    """Required tests that rework made void and that were not made again."""

    @property
    def design(self) -> str:
        """Id of its design."""
        if self.made:
            return self.made.design
        return next((job.plan.design_id for job in self.jobs if job.plan.design_id), "")

    def parts_now(self, at: str = "") -> tuple[Fitted, ...]:
        """The parts in the unit: now, or at a time given as in the record. As built is at the time of release."""
        return tuple(
            part
            for part in self.parts
            if (not at or since(at, part.time)) and (not part.removed or (at and not since(at, part.removed)))
        )


def fold_unit(unit: str, events: Sequence[Recorded], plan_of: Callable[[str], Plan]) -> UnitView:
    """Rebuild a unit from its events in the record's order.

    Args:
        unit: Serial number.
        events: Every event of the unit, of all its jobs.
        plan_of: Gives the plan of a digest.
    """
    by_job: dict[str, list[Recorded]] = defaultdict(list)
    for event in events:
        by_job[event.job].append(event)
    states: list[JobState] = []
    conflicts: list[Conflict] = []
    for job, own in by_job.items():
        if job and own[0].kind == JobStarted.KIND:
            folded = fold(own, plan_of)
            states.append(folded.state)
            conflicts += folded.conflicts
    view = UnitView(unit=unit, jobs=tuple(states), conflicts=tuple(conflicts))
    for recorded in events:
        view = _take_in(view, recorded)
    return replace(
        view,
        defects=tuple(_open_defects(states)),
        concessions=tuple(_concessions(states)),
        hunts_open=tuple(_open_hunts(by_job)),
        joints=_joints(states),
        void=_void(states, events),
    )


def since(time: str, start: str) -> bool:
    """Whether a time of the record is at or after another; times written in different zones compare as moments.

    Args:
        time: ISO time with offset.
        start: The same, or only a date, which is then that of the place where `time` was written.
    """
    if len(start) == len("2031-03-01"):
        return time[: len(start)] >= start
    return datetime.fromisoformat(time) >= datetime.fromisoformat(start)


def check_move(view: UnitView, state: str, *, reason: str = "") -> None:
    """Check that a unit may go to a state.

    Raises:
        JobError: It may not; the message says which states it may go to.
    """
    allowed = MOVES[view.state]
    if state not in allowed:
        word = view.state or "not known yet"
        choices = ", ".join(sorted(allowed)) or "no other state"
        raise JobError(f"{view.unit} is {word} and cannot become {state}", hint=f"it can go to: {choices}")
    if state in ("held", "temporary", "scrapped", "returned") and not reason.strip():
        raise JobError(f"say why {view.unit} becomes {state}")


def missing(view: UnitView, needs: Needs) -> tuple[str, ...]:
    """Each thing that stands between the unit and its release, one line each (ISO 9001:2015 8.6)."""
    return tuple(_missing(view, needs))


def _missing(view: UnitView, needs: Needs) -> Iterator[str]:
    for id, title in needs.procedures:
        done = [job for job in view.jobs if job.plan.id == id and job.closed]
        if not done:
            yield f"{title} ({id}) has not been gone through to the end"
    for job in view.jobs:
        if not job.closed:
            yield f"{job.plan.title} is still open (job {job.job})"
        elif job.closed != "complete":
            yield from (f"{item} (job {job.job})" for item in job.open_items() if not item.startswith("defect "))
    for defect in view.defects:
        yield f"defect {defect.id} {defect.status}: {defect.text}"
    for proof in view.void:
        yield f"to be tested again after rework: {proof.step.text}"
    for text in view.workarounds.values():
        yield f"still in a temporary state: {text}"
    for title in view.hunts_open:
        yield f"{title} has not come to an end"
    for job in view.jobs:
        for step in job.plan.steps:
            timer = job[step.key].timer
            if timer is not None and timer.reason and timer.ended:
                yield f"{job.plan.title}, step {step.number}: its wait was cut short, because: {timer.reason}"
    for joint, (times, limit) in view.joints.items():
        if limit and times > limit:
            yield f"{joint} was reworked {times} times, and its part bears {limit}"
    asked = any(step.trace == "firmware" for job in view.jobs for step in job.plan.steps)
    if (needs.firmware or asked) and view.firmware is None:
        yield "its firmware is not written down"


# -- folding ---------------------------------------------------------------------------------------------------------


def _take_in(view: UnitView, recorded: Recorded) -> UnitView:
    if recorded.kind == PartFitted.KIND:
        return _fit(view, recorded.data, recorded.time)
    if recorded.kind == "hunt-closed" and recorded.data.get("result") == "work-around":
        text = str(recorded.data.get("done") or "a work-around")
        return replace(view, workarounds={**view.workarounds, recorded.id: text})
    event = read_event(recorded.kind, recorded.data, kinds=UNIT_EVENTS)
    match event:
        case UnitMade():
            return replace(view, made=event)
        case UnitStateSet():
            return replace(view, state=event.state, last_state=event)
        case UnitTakenIn():
            return replace(view, intake=event)
        case FirmwareLoaded():
            return replace(view, firmware=event)
        case WorkaroundSet():
            return replace(view, workarounds={**view.workarounds, recorded.id: event.text})
        case WorkaroundUndone():
            left = {id: text for id, text in view.workarounds.items() if id != event.workaround}
            return replace(view, workarounds=left)
    return view


def _fit(view: UnitView, data: Mapping[str, Any], time: str) -> UnitView:
    place = str(data.get("place", ""))
    parts = tuple(
        replace(part, removed=time) if part.place == place and not part.removed else part for part in view.parts
    )
    fitted = Fitted(
        part=str(data.get("part", "")),
        place=place,
        lot=str(data.get("lot", "")),
        serial=str(data.get("serial", "")),
        time=time,
    )
    return replace(view, parts=(*parts, fitted))


def _open_defects(jobs: Sequence[JobState]) -> Iterator[OpenDefect]:
    put_right = {
        defect.id
        for job in jobs
        if job.closed == "complete"
        for defect in job.defects.values()
        if defect.id.partition(":")[2]
    }
    for job in jobs:
        for defect in job.defects.values():
            name = defect.id if ":" in defect.id else f"{job.job}:{defect.id}"
            settled = defect.status == "accepted" or (
                defect.status == "reworked" and all(job.steps[key].settled for key in defect.reopened)
            )
            if ":" in defect.id or settled or name in put_right:
                continue
            yield OpenDefect(id=name, text=defect.text, subject=defect.subject, status=defect.status)


def _concessions(jobs: Sequence[JobState]) -> Iterator[str]:
    for job in jobs:
        for defect in job.defects.values():
            if defect.disposition in CONCESSIONS:
                yield f"{defect.disposition}: {defect.text} ({defect.reason})"


def _open_hunts(by_job: Mapping[str, Sequence[Recorded]]) -> Iterator[str]:
    """Hunts that are under way, and those closed without a finding until a later one on the same thing has one."""
    left: dict[str, str] = {}
    for events in by_job.values():
        if events[0].kind != "hunt-started":
            continue
        title = str(events[0].data.get("title") or "a hunt for a fault")
        closed = next((event for event in events if event.kind.endswith("-closed")), None)
        if closed is None:
            yield title
        elif closed.data.get("result") in ("not reproduced", "open"):
            words = {"not reproduced": "could not be reproduced"}.get(str(closed.data["result"]), "left open")
            shown = f", it showed: {closed.data['conditions']}" if closed.data.get("conditions") else ""
            left[title] = f"{title} ({words}{shown})"
        else:
            left.pop(title, None)
    yield from left.values()


def _joints(jobs: Sequence[JobState]) -> Mapping[str, tuple[int, int]]:
    total: dict[str, tuple[int, int]] = {}
    for job in jobs:
        for joint, (times, limit) in job.joints.items():
            before, known = total.get(joint, (0, 0))
            total[joint] = (before + times, limit or known)
    return total


def _void(jobs: Sequence[JobState], events: Sequence[Recorded]) -> tuple[Proof, ...]:
    """Required tests passed before a rework that touched their subject, and not passed again since.

    Inside one job the rework opens its steps again by itself; this finds what a rework made void in other jobs.
    """
    states = {job.job: job for job in jobs}
    proofs: dict[tuple[str, str], Proof] = {}
    reworks: list[tuple[int, frozenset[str]]] = []
    for order, event in enumerate(events):
        state = states.get(event.job)
        if state is None:
            continue
        if event.kind == "step-done":
            key = str(event.data.get("step", ""))
            if state.plan.has(key) and state.plan.step(key).required and state[key].status is Status.DONE:
                proof = Proof(job=event.job, step=state.plan.step(key), order=order)
                proofs[proof.about] = proof
        elif event.kind == "rework-done":
            reworks.append((order, frozenset(event.data.get("touched", ()))))
        elif event.kind == "job-closed" and state.plan.procedure_kind == "rework" and state.plan.subject:
            reworks.append((order, frozenset({state.plan.subject})))
    found = []
    for proof in proofs.values():
        plan = replace(states[proof.job].plan, steps=(proof.step,))
        if any(order > proof.order and voided(plan, touched) for order, touched in reworks):
            found.append(proof)
    return tuple(found)
