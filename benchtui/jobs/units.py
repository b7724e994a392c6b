"""A unit as its record tells it: what was done, what is in it, what is open, and whether it may leave the bench."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from benchtui.errors import JobError, RecordError
from benchtui.jobs.applies import Fixed, fixed_of
from benchtui.jobs.conflicts import Conflict, decided, released_unknowing, told_apart
from benchtui.jobs.events import JobStarted, read_event
from benchtui.jobs.fold import Folds, fold
from benchtui.jobs.hunted import open_hunts, titles
from benchtui.jobs.knowing import Knowing
from benchtui.jobs.order import Order, order_of
from benchtui.jobs.parts import Fitted as Fitted
from benchtui.jobs.parts import parts_of, without_firmware
from benchtui.jobs.proofs import Proof, joints, void
from benchtui.jobs.quality import CONCESSIONS
from benchtui.jobs.rivals import rivals
from benchtui.jobs.steps import Status
from benchtui.jobs.unit_events import (
    UNIT_EVENTS,
    ConcessionGiven,
    ConflictDecided,
    DecisionWithdrawn,
    FirmwareLoaded,
    FirstUnitSigned,
    UnitFixed,
    UnitMade,
    UnitParted,
    UnitRenumbered,
    UnitStateSet,
    UnitTakenIn,
    WorkaroundSet,
    WorkaroundUndone,
)
from benchtui.unit_states import MOVES as MOVES
from benchtui.unit_states import following

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence

    from benchtui.jobs.applies import UnitFacts
    from benchtui.jobs.events import Recorded
    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.plan import Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenDefect:
    """A defect as the unit carries it, whichever job found it."""

    id: str
    """Job and number, as "JKWPM3:D1"."""
    text: str
    subject: str
    status: str


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitView:
    """Everything that follows from the events of one unit."""

    unit: str
    made: UnitMade | None = None
    numbers: tuple[str, ...] = ()
    """How it came to its serial number, or another unit lost it, where two had one number."""
    state: str = ""
    last_state: UnitStateSet | None = None
    planned: bool = False
    """Its number was given here, for it to be built."""
    jobs: tuple[JobState, ...] = ()
    """Jobs from procedures and checklists, oldest first."""
    conflicts: tuple[Conflict, ...] = ()
    """What two benches disagree on and nobody has decided yet."""
    parts: tuple[Fitted, ...] = ()
    """Every part ever fitted, in order."""
    released: int | None = None
    """Place of its last release among its events, from 0; None when it never was released."""
    defects: tuple[OpenDefect, ...] = ()
    """Defects that are not settled."""
    concessions: tuple[str, ...] = ()
    """Repairs, defects left as they are, and what was signed to stay as it is: on the unit for life."""
    decided: Mapping[str, str] = field(default_factory=dict)
    """What two benches disagreed on and somebody decided, by the id of the decision: no difference from the design."""
    withdrawn: Mapping[str, str] = field(default_factory=dict)
    """Id of a decision to why, and by whom, it was withdrawn."""
    conceded: frozenset[str] = frozenset()
    """Lines of what is missing that somebody signed to stay as they are."""
    workarounds: Mapping[str, str] = field(default_factory=dict)
    """Event id to what is still in a temporary state."""
    hunts_open: tuple[str, ...] = ()
    """Titles of hunts that are not closed."""
    joints: Mapping[str, tuple[int, int]] = field(default_factory=dict)
    """Joint to (times reworked, how often its part bears to be soldered; 0 where that is not known)."""
    firmware: FirmwareLoaded | None = None
    first_unit: tuple[FirstUnitSigned, ...] = ()
    """First-unit records of its design that were signed for it, in order."""
    first_signed: str = ""
    """When the last of them was signed."""
    board_changed: bool = False
    """The firmware that was known went with the old board, and which one the new board runs is not written down."""
    intake: UnitTakenIn | None = None
    void: tuple[Proof, ...] = ()
    """Required tests that were made void by work after them, and not made again."""
    order: Order = field(default_factory=Order)
    """What came after what."""

    @property
    def decisions(self) -> tuple[str, ...]:
        """Every decision in words; one that was withdrawn stays, and says so."""
        return tuple(
            f"{text}; withdrawn: {self.withdrawn[id]}" if id in self.withdrawn else text
            for id, text in self.decided.items()
        )

    @property
    def facts(self) -> UnitFacts:
        """What is fixed of it, which tells what steps are for it."""
        return Fixed(made=self.made or UnitMade(design="")).facts(self.unit)

    @property
    def design(self) -> str:
        """Id of its design."""
        if self.made:
            return self.made.design
        return next((job.plan.design_id for job in self.jobs if job.plan.design_id), "")

    def parts_now(self) -> tuple[Fitted, ...]:
        """The parts in the unit now."""
        return tuple(part for part in self.parts if part.out is None)

    def as_released(self) -> tuple[Fitted, ...] | None:
        """The parts that were in the unit when it was released last; None when it never was."""
        at = self.released
        if at is None:
            return None
        return tuple(part for part in self.parts if part.order < at and (part.out is None or part.out > at))


def fold_unit(
    unit: str,
    events: Sequence[Recorded],
    plan_of: Callable[[str], Plan],
    *,
    knowing: Knowing | None = None,
    kept: Folds | None = None,
) -> UnitView:
    """Rebuild a unit from its events in the record's order.

    Args:
        unit: Serial number.
        events: Every event of the unit, of all its jobs.
        plan_of: Gives the plan of a digest.
        knowing: What benches knew of each other's entries; nothing when None.
        kept: How far each of its jobs was rebuilt before; None where nobody asks again.
    """
    conflicts = [*released_unknowing(events), *_numbered_twice(unit, events)]
    events = told_apart(events)
    by_job: dict[str, list[Recorded]] = defaultdict(list)
    for event in events:
        by_job[event.job].append(event)
    states: list[JobState] = []
    for job, own in by_job.items():
        if job and own[0].kind == JobStarted.KIND:
            try:
                folded = fold(own, plan_of, kept=kept)
            except RecordError as error:
                conflicts.append(_unread(own[0], error.message))
                continue
            states.append(folded.state)
            conflicts += folded.conflicts
        elif job and own[0].kind != "hunt-started":
            conflicts.append(_unread(own[0], "its beginning is not in this record"))
    view = UnitView(unit=unit, jobs=tuple(states), conflicts=tuple(conflicts))
    lost = without_firmware(events)
    for order, recorded in enumerate(events):
        view = _take_in(view, recorded)
        if order in lost and view.firmware is not None:
            view = replace(view, firmware=None, board_changed=True)
    fixed = fixed_of(events, knowing=knowing, design=view.design)
    for recorded, differ in fixed.disputed:
        view = _disputed(view, recorded, f"{differ}: look at the unit")
    view = replace(view, conflicts=(*view.conflicts, *rivals(events, knowing or Knowing())))
    settled = decided(events)
    about = titles(events)
    hunt_of = {event.id: about[event.job] for event in events if event.kind == "hunt-closed" and event.job in about}
    return replace(
        view,
        # What is dead stays named, whatever was typed about what stands in for it.
        workarounds={
            id: text + (f" (the fault still stands: {hunt_of[id]})" if id in hunt_of else "")
            for id, text in view.workarounds.items()
        },
        made=fixed.made if view.made or any(event.kind == UnitFixed.KIND for event in events) else None,
        conflicts=tuple(
            # One entry that does not fit in two ways is decided once.
            {each.id: each for each in view.conflicts if each.matters and each.id not in settled}.values()
        ),
        defects=tuple(_open_defects(states)),
        concessions=(*_concessions(states), *view.concessions),
        parts=parts_of(events),
        released=max((order for order, event in enumerate(events) if _releases(event)), default=None),
        hunts_open=tuple(open_hunts(events)),
        joints=joints(states, events),
        void=void(states, events, knowing=knowing),
        order=order_of(states, events),
    )


def _unread(first: Recorded, why: str) -> Conflict:
    """A job that nobody can look into keeps its unit here until somebody has decided what to make of it."""
    return Conflict(
        id=first.id, kind=first.kind, time=first.time, job=first.job, message=f"this job cannot be read: {why}"
    )


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


# -- folding ---------------------------------------------------------------------------------------------------------


def _take_in(view: UnitView, recorded: Recorded) -> UnitView:
    if recorded.kind == "hunt-closed" and recorded.data.get("result") == "work-around":
        text = str(recorded.data.get("done") or "a work-around")
        return replace(view, workarounds={**view.workarounds, recorded.id: text})
    event = read_event(recorded.kind, recorded.data, kinds=UNIT_EVENTS)
    match event:
        case UnitMade():
            if view.made is not None:
                return _disputed(
                    view, recorded, f"{view.unit} was given at two benches: is it one unit, or are they two?"
                )
            return replace(view, made=event)
        case UnitParted():
            told = f"two units were {view.unit}; one of them is {event.serial} from then on"
            return replace(view, numbers=(*view.numbers, f"{told}: {event.reason} ({event.by})"))
        case UnitRenumbered():
            told = f"it was {event.was}, as another unit was, and is {event.serial} from then on"
            return replace(view, numbers=(*view.numbers, f"{told}: {event.reason} ({event.by})"))
        case UnitStateSet():
            return _state_set(view, recorded, event)
        case ConflictDecided():
            stop = " " if event.about.endswith((".", "?")) else ": "
            text = f"{event.about}{stop}{event.reason} (decided by {event.by})"
            return replace(view, decided={**view.decided, recorded.id: text})
        case DecisionWithdrawn():
            why = f"{event.reason} ({event.by})"
            return replace(view, withdrawn={event.decision: why, **view.withdrawn})
        case UnitTakenIn():
            return replace(view, intake=event)
        case FirmwareLoaded():
            return replace(view, firmware=event, board_changed=False)
        case FirstUnitSigned():
            return replace(view, first_unit=(*view.first_unit, event), first_signed=recorded.time)
        case WorkaroundSet():
            return replace(view, workarounds={**view.workarounds, recorded.id: event.text})
        case WorkaroundUndone():
            left = {id: text for id, text in view.workarounds.items() if id != event.workaround}
            return replace(view, workarounds=left)
        case ConcessionGiven():
            agreed = f"left as it is: {event.item} ({event.reason}; signed {event.by})"
            return replace(view, conceded=view.conceded | {event.item}, concessions=(*view.concessions, agreed))
    return view


def _numbered_twice(unit: str, events: Sequence[Recorded]) -> Iterator[Conflict]:
    """New numbers that two benches gave apart: one of them counts, and what stands on the unit has to be looked at."""
    here = {getattr(event, "digest", "") for event in events if event.kind == UnitMade.KIND}
    given = [event for event in events if event.kind == UnitRenumbered.KIND]
    passed = {str(event.data.get("was")) for event in given}
    for event in given:
        was, serial = str(event.data.get("was")), str(event.data.get("serial"))
        if event.data.get("made") not in here:
            message = f"one bench gave {unit} to a unit that was {was}, another bench gave that one another number"
        elif serial != unit and serial not in passed:
            message = f"two benches gave it a new number, {unit} and {serial}; it counts as {unit}"
        else:
            continue
        look = f"{message}: see which number stands on which unit"
        yield Conflict(id=event.id, kind=event.kind, time=event.time, message=look)


def _state_set(view: UnitView, recorded: Recorded, event: UnitStateSet) -> UnitView:
    """A state that does not follow from the one before was set at a bench that did not know of it."""
    state, fits = following(view.state, event.state, decided=bool(event.decided))
    if not fits:
        word = view.state or "not known yet"
        view = _disputed(view, recorded, f"{view.unit} was {word} and became {event.state}; it counts as {state}")
    return replace(
        view,
        state=state,
        last_state=event if state == event.state else view.last_state,
        planned=view.planned or event.state == "planned",
    )


def _disputed(view: UnitView, recorded: Recorded, message: str) -> UnitView:
    conflict = Conflict(id=recorded.id, kind=recorded.kind, time=recorded.time, message=message)
    return replace(view, conflicts=(*view.conflicts, conflict))


def _releases(recorded: Recorded) -> bool:
    return recorded.kind == UnitStateSet.KIND and recorded.data.get("state") == "released"


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
            if ":" in defect.id or job.defect_over(defect) or name in put_right:
                continue
            yield OpenDefect(id=name, text=defect.text, subject=defect.subject, status=defect.status)


def _concessions(jobs: Sequence[JobState]) -> Iterator[str]:
    for job in jobs:
        for defect in job.defects.values():
            if defect.disposition in CONCESSIONS:
                decided = f"; decided by {defect.by}" if defect.by else ""
                yield f"{defect.disposition}: {defect.text} ({defect.reason}{decided})"
        for gone in job.gone.values():
            if gone.known.status is Status.NOT_APPLICABLE and gone.step.must:
                yield f"not tested, for the step was taken out: {gone.step.text} ({gone.known.reason})"
