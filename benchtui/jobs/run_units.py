"""Units where they meet the record: serial numbers, states and releases."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, Any

from benchtui.errors import JobError, first_and_more
from benchtui.jobs.applies import UnitFacts, facts_of
from benchtui.jobs.conflicts import evidence
from benchtui.jobs.hold_points import unreached_hold
from benchtui.jobs.knowing import Knowing
from benchtui.jobs.left_open import LeftOpen, left_open
from benchtui.jobs.left_out import left_out
from benchtui.jobs.missing import Needs, missing
from benchtui.jobs.mistakes import refuse_other_design
from benchtui.jobs.moves import needed
from benchtui.jobs.named import Names, names_of
from benchtui.jobs.plan import BUILDS
from benchtui.jobs.plans import duty, proves
from benchtui.jobs.retest import retest_plan
from benchtui.jobs.run_ending import closing
from benchtui.jobs.run_first_unit import first_unit, signature
from benchtui.jobs.run_views import KeptViews
from benchtui.jobs.serials import make as serial_of
from benchtui.jobs.serials import next_number, prefix_of
from benchtui.jobs.unit_events import (
    UnitFixed,
    UnitMade,
    UnitStateSet,
    WorkaroundSet,
    WorkaroundUndone,
)
from benchtui.jobs.units import UnitView, check_move
from benchtui.paths import is_practice
from benchtui.record.event import KNOWS, Draft
from benchtui.record.of_design import known_designs
from benchtui.record.store import local_now

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime

    from benchtui.content.library import Library
    from benchtui.jobs.event_base import JobEvent
    from benchtui.jobs.plan import Plan
    from benchtui.record.event import Event
    from benchtui.record.store import Store


class Units:
    """The units of one record.

    Args:
        store: The record.
        library: Content, for what a design asks of a unit before it may leave; None where only the record is at hand.
        clock: Gives the time of day with its offset.
    """

    def __init__(
        self, store: Store, library: Library | None = None, *, clock: Callable[[], datetime] = local_now
    ) -> None:
        self.store = store
        self.library = library
        self.clock = clock
        self.ended: Callable[[], None] = lambda: None
        """Told when jobs were closed here, for whoever has them in hand."""
        self._views = KeptViews(store)

    def view(self, unit: str) -> UnitView:
        """A unit as its record tells it; one that is not known yet has the empty state."""
        return self._views.view(unit)

    def facts(self, unit: str) -> UnitFacts:
        """What is fixed about a unit, for steps that are only for some."""
        told = self.store.events(unit=unit, kinds=[UnitMade.KIND, UnitFixed.KIND])
        return facts_of(unit, told, knowing=Knowing(self.store.events(kinds=[KNOWS])))

    def correct(self, unit: str, said: UnitFacts, *, reason: str, by: str) -> UnitView:
        """Put right what is fixed of a unit; what was said before stays in its history.

        Args:
            unit: Serial number.
            said: What is so: a hardware revision, empty where that was right, and the options, of those `asked`.
            reason: What was seen.
            by: Who says so.

        Returns:
            The unit, with the steps that are for it now and were left out among what is missing.

        Raises:
            JobError: It is as the record has it, or a reason or a name is missing.
        """
        needed(reason, "a reason", "say what you saw on the unit")
        needed(by, "a name", "type who says so")
        view = self.view(unit)
        was = view.facts
        options = tuple(name for name in was.options if name not in said.asked) + said.options
        same = said.hardware in ("", was.hardware) and set(options) == set(was.options)
        if same and set(said.asked) <= set(was.asked):
            raise JobError(f"the record has it so already: {unit} stays as it is")
        event = UnitFixed(
            hardware=said.hardware,
            options=said.options,
            asked=said.asked,
            reason=reason.strip(),
            by=by.strip(),
            was_hardware=was.hardware,
            was_options=was.options,
        )
        after = replace(view, made=replace(view.made or UnitMade(design=view.design), **_so(said, was, options)))
        drafts = [_draft(unit, event)]
        if any(left_out(after)):
            # A step that is for it was never done: it is good to go no more (ISO 9001:2015 8.7.1).
            drafts[:0] = self.found_bad(unit, f"what is fixed of it was put right: {reason.strip()}")
        self.store.append_all(drafts)
        return self.view(unit)

    def opening(self, unit: str, plan: Plan, *, batch: str = "") -> list[Draft]:
        """What has to be written about a unit when a job is opened on it: that it is known, and in work.

        Raises:
            JobError: The unit was scrapped or is held, or it is of another design.
        """
        if not unit:
            return []
        refuse_other_design(unit, plan, known_designs(self.store, unit) if plan.design_id else ())
        state = self._state(unit)
        if state == "scrapped":
            raise JobError(f"{unit} was scrapped", hint="choose another unit")
        if state == "held":
            raise JobError(f"{unit} is held", hint="say on its page why it goes back into work")
        drafts = []
        if state is None:
            drafts.append(_draft(unit, UnitMade(design=plan.design_id, batch=batch)))
        # That a repair was begun tells nothing before something was done in it: it may have been looked at only.
        at_once = plan.procedure_kind != "rework"
        if at_once and (state in ("", None) or (state == "planned" and plan.procedure_kind in BUILDS)):
            drafts.append(_draft(unit, UnitStateSet(state="in work", reason=f"{plan.title} was begun")))
        return drafts

    def worked_on(self, unit: str, plan: Plan) -> list[Draft]:
        """What has to be written where the first work of a job is done: a unit that had left it is in work again.

        That a job was begun tells nothing yet: it may have been a slip, or the wrong unit.
        """
        out = self._state(unit) in ("", "planned", "temporary", "accepted", "released", "returned")
        again = UnitStateSet(state="in work", reason=f"{plan.title} was begun")
        return [_draft(unit, again)] if out and plan.procedure_kind in BUILDS else []

    def stopped(self, unit: str) -> str:
        """Why no work is done on a unit as it stands, as a sentence; empty when it may be."""
        state = self._state(unit)
        return f"{unit} is {state}: nothing is marked on it" if state in ("held", "scrapped") else ""

    def found_bad(self, unit: str, why: str) -> list[Draft]:
        """What has to be written where a unit shows to be bad: one that was good to go is in work (ISO 9001 8.7.1)."""
        state = self._state(unit)
        again = UnitStateSet(state="in work", reason=why)
        return [_draft(unit, again)] if state in ("accepted", "released") else []

    def _state(self, unit: str) -> str | None:
        """The state of a unit as the record lists it; None for one that is not in it, and for no unit."""
        return next((row.state for row in self.store.units([unit])), None) if unit else None

    def next_serial(self, design_id: str) -> str:
        """The serial number that the next unit of a design will have."""
        prefix = prefix_of(design_id)
        return serial_of(prefix, next_number(prefix, (row.unit for row in self.store.units())))

    def make(
        self,
        design_id: str,
        *,
        hardware: str = "",
        options: tuple[str, ...] = (),
        asked: tuple[str, ...] = (),
        batch: str = "",
        serial: str = "",
    ) -> str:
        """Give a unit its serial number and write down what is fixed about it.

        Args:
            design_id: Id of its design.
            hardware: Revision of the hardware.
            options: Options fitted.
            asked: Options that were asked about.
            batch: Batch it is built in.
            serial: A number given by somebody else; the next of our own when empty.

        Returns:
            The serial number.

        Raises:
            JobError: There is such a unit already.
        """
        made = UnitMade(design=design_id, hardware=hardware, options=options, asked=asked, batch=batch)
        return self.make_all(made, serials=(serial or self.next_serial(design_id),))[0]

    def make_all(self, made: UnitMade, *, quantity: int = 0, serials: tuple[str, ...] = ()) -> tuple[str, ...]:
        """Give several units of one kind their serial numbers, all of them or, where that fails, none.

        Args:
            made: What is fixed about each of them.
            quantity: How many of our own numbers are given, where no `serials` are named.
            serials: The numbers.

        Raises:
            JobError: There is a unit of such a number already.
        """
        known = {row.unit for row in self.store.units()}
        if not serials:
            prefix = prefix_of(made.design)
            first = next_number(prefix, known)
            serials = tuple(serial_of(prefix, number) for number in range(first, first + quantity))
        for serial in serials:
            if serial in known:
                raise JobError(f"there is a unit {serial} already", hint="serial numbers are never given twice")
        planned = UnitStateSet(state="planned")
        self.store.append_all([_draft(serial, event) for serial in serials for event in (made, planned)])
        return serials

    def write(self, unit: str, event: JobEvent) -> Event:
        """Write down something that happened to a unit outside a job: firmware, intake, a work-around undone."""
        if isinstance(event, UnitStateSet):
            raise JobError("the state of a unit is set by `set_state` and `release`, which check it")
        drafts = [_draft(unit, event)]
        if isinstance(event, WorkaroundSet | WorkaroundUndone):
            done = event.text if isinstance(event, WorkaroundSet) else f"undone, {event.note}".rstrip(", ")
            drafts[:0] = self.found_bad(unit, f"temporary state: {done}")
        return self.store.append_all(drafts)[-1]

    def set_state(self, unit: str, state: str, *, reason: str = "", by: str = "") -> Event:
        """Move a unit to another state.

        Raises:
            JobError: It may not go there, a reason is missing, or something is open that the state rules out.
        """
        view = self.view(unit)
        check_move(view, state, reason=reason)
        if state == "released":
            raise JobError("a release is signed", hint="release the unit instead")
        if state == "temporary":
            raise JobError("who lets a unit out with something open signs for it", hint="release the unit instead")
        if state == "accepted":
            self._refuse_open(view)
        # Nobody comes back to the jobs of a unit that is scrapped, and no work on them would be taken.
        why, time = f"{unit} was scrapped: {reason}", self.clock().isoformat()
        ended, glances = closing(view.jobs if state == "scrapped" else (), decision=why, time=time)
        drafts = [_draft(unit, UnitStateSet(state=state, reason=reason, by=by)), *ended]
        written = self.store.append_all(drafts, glances=glances)
        if ended:
            self.ended()
        return next(event for event in written if event.kind == UnitStateSet.KIND)

    def missing(self, unit: str) -> tuple[str, ...]:
        """Each thing that stands between the unit and its release."""
        view = self.view(unit)
        return missing(view, self.needs(view.design))

    def rework_begun(self, unit: str, defect: str) -> bool:
        """Whether the rework of a defect of this unit was begun, and nobody has said that it has ended."""
        return any(known.id == defect and known.status == "in rework" for known in self.view(unit).defects)

    def names(self, unit: str) -> Names:
        """Everything the jobs of a unit know by an id: its controls, banks, connectors and what they touch."""
        return names_of(*self.view(unit).jobs)

    def release(self, unit: str, *, by: str, conditional: str = "") -> Event:
        """Release a unit: nothing required is open, somebody signs, and the record says on what evidence.

        Where a first-unit record of its design is due, that is signed with it (AS9102, from memory: one signature
        covers all of its forms).

        Args:
            unit: Serial number.
            by: Who releases it.
            conditional: Why it goes out with something open all the same; it is then "temporary", not "released".

        Raises:
            JobError: Something is missing, and it is named; or nobody signs.
        """
        if is_practice(self.store.path):
            raise JobError("this is practice: no unit is released", hint="start the program without --practice")
        if not by.strip():
            raise JobError("a release needs a name", hint="type who releases the unit")
        view = self.view(unit)
        events = self.store.events(unit=unit)
        open_items = missing(view, self.needs(view.design))
        if open_items and not conditional.strip():
            self._refuse_open(view)
        if unreached := unreached_hold(view, self.needs(view.design)):
            raise JobError(
                f"{unit} cannot go out, not even as temporary: {unreached}",
                hint="go through that first",
            )
        state = "temporary" if open_items else "released"
        if state == "released" and view.state == "in work":
            # Accepting and releasing are two states; a unit with nothing open passes through both in one act.
            self.set_state(unit, "accepted", by=by)
            view = self.view(unit)
        check_move(view, state, reason=conditional)
        signed = UnitStateSet(
            state=state,
            reason=conditional,
            by=by,
            evidence=evidence(event.digest for event in events),
            missing=open_items,
        )
        drafts = [_draft(unit, signed)]
        if state == "released" and first_unit(self, unit, view=view).why:
            # Behind the release, which names what the record said before it as its evidence.
            drafts.append(_draft(unit, signature(self, view, by=by)))
        return self.store.append_all(drafts)[0]

    def _refuse_open(self, view: UnitView) -> None:
        if open_items := missing(view, self.needs(view.design)):
            raise JobError(f"{view.unit} is not ready: {first_and_more(open_items)}")

    def retest_plan(self, unit: str) -> Plan:
        """A plan of the tests that rework made void, to be opened as a job.

        Raises:
            JobError: There are none.
        """
        return retest_plan(self.view(unit))

    def left_open(self, unit: str) -> tuple[LeftOpen, ...]:
        """What closed jobs of a unit left open, each with the plan of a job that does it."""
        return tuple(left_open(self.view(unit)))

    def needs(self, design_id: str) -> Needs:
        """What a design asks of its units: every assembly procedure made for it, gone through to the end."""
        if self.library is None:
            return Needs()
        library = self.library

        asked = Needs(proves=partial(proves, library), duty=partial(duty, library))
        if not design_id:
            return replace(asked, unsaid="it is of no design")
        builds = tuple(
            (entry.id, entry.title)
            for entry in self.library.entries("procedure")
            if entry.design == design_id and entry.procedure_kind == "assembly"
        )
        unsaid = "" if builds else f"no assembly procedure is for {design_id}"
        return replace(asked, procedures=builds, unsaid=unsaid)


def _so(said: UnitFacts, was: UnitFacts, options: tuple[str, ...]) -> dict[str, Any]:
    asked = tuple(dict.fromkeys((*was.asked, *said.asked)))
    return {"hardware": said.hardware or was.hardware, "options": options, "asked": asked}


def _draft(unit: str, event: JobEvent) -> Draft:
    data: dict[str, Any] = event.to_data()
    return Draft(kind=event.KIND, unit=unit, data=data)
