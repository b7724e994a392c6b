"""The first-unit record where it meets the record: whether one is due, for which unit, and its signature."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Final

from benchtui.errors import JobError, first_and_more
from benchtui.jobs.events import read_event
from benchtui.jobs.first_unit import as_signed, characteristics, circumstances_of, first_unit_due, summed_up
from benchtui.jobs.missing import missing
from benchtui.jobs.moves import needed
from benchtui.jobs.run_sitting import present
from benchtui.jobs.unit_events import UNIT_EVENTS, FirstUnitSigned, UnitMade, UnitStateSet

if TYPE_CHECKING:
    from benchtui.jobs.first_unit import Circumstances
    from benchtui.jobs.run_units import Units
    from benchtui.jobs.units import UnitView
    from benchtui.record.event import Event

_AT_WORK: Final = ("in work", "accepted")
"""States in which a unit is at the bench and may be the first that is done."""

_TO_COME: Final = ("", "planned", *_AT_WORK, "held", "temporary")
"""States of a unit that was not released yet."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstUnit:
    """Whether a first-unit record is due, seen from one unit of the design."""

    unit: str
    why: tuple[str, ...] = ()
    """Why it is due; empty when it is not, or the unit was released already."""
    first: str = ""
    """The unit that comes first at the bench; empty where none does."""

    @property
    def line(self) -> str:
        """What is said of it, as a sentence without its full stop; empty when none is due."""
        if not self.why:
            return ""
        why = "; ".join(self.why)
        if self.first == self.unit:
            return f"This is the first unit, and its first-unit record is due: {why}"
        return f"A first-unit record is due{f', with {self.first} first' if self.first else ''}: {why}"

    @property
    def short(self) -> str:
        """The same in one line, for a page about several units."""
        if not self.why:
            return ""
        who = f"First unit {self.unit}, its record is due" if self.first == self.unit else "First-unit record due"
        other = f", with {self.first} first" if self.first not in ("", self.unit) else ""
        return f"{who}{other}: {'; '.join(self.why)}"


def first_unit(units: Units, unit: str, *, view: UnitView | None = None) -> FirstUnit:
    """Whether a first-unit record is due for the design of a unit, by how this one is built.

    Args:
        units: The units of the record.
        unit: Serial number.
        view: The same unit, where it was looked at already.
    """
    view = view or units.view(unit)
    if not view.design or view.released is not None or view.state not in _TO_COME:
        return FirstUnit(unit=unit)
    kin = _kin(units, view)
    signed = _signed(units, view.design)
    released = _released(units)
    why = first_unit_due(_now(units, view), _before(signed, kin, released, unit))
    return FirstUnit(unit=unit, why=why, first=_first(units, kin, released) if why else "")


def sign(units: Units, unit: str, *, by: str) -> Event:
    """Sign the first-unit record of a unit that nothing is missing on, whether it is due or not.

    Args:
        units: The units of the record.
        unit: Serial number.
        by: Who looked through it and signs.

    Raises:
        JobError: Something is missing on the unit, and it is named; or nobody signs.
    """
    needed(by, "a name", "type who looked through it")
    view = units.view(unit)
    if open_items := missing(view, units.needs(view.design)):
        raise JobError(f"the record of {unit} is not whole yet: {first_and_more(open_items)}")
    event = signature(units, view, by=by)
    return units.store.append(event.KIND, unit=unit, data=event.to_data())


def signature(units: Units, view: UnitView, *, by: str) -> FirstUnitSigned:
    """The signature under the first-unit record of a unit, with how it was built."""
    now = _now(units, view)
    before = _before(_signed(units, view.design), _kin(units, view), _released(units), view.unit)
    return FirstUnitSigned(
        design=view.design,
        by=by.strip(),
        because=first_unit_due(now, before),
        told=summed_up(characteristics(view)),
        design_revision=now.design_revision,
        procedures=tuple(f"{id} {revision}" for id, revision in now.procedures.items()),
        hardware=now.hardware,
        place=now.place,
    )


def _now(units: Units, view: UnitView) -> Circumstances:
    return circumstances_of(view, place=present(units.store).place)


def _signed(units: Units, design: str) -> tuple[Event, ...]:
    return units.store.events(kinds=[FirstUnitSigned.KIND], where=("design", design))


def _kin(units: Units, view: UnitView) -> tuple[str, ...]:
    """The units of its design, in the order they were given their numbers."""
    made = units.store.events(kinds=[UnitMade.KIND], where=("design", view.design))
    return tuple(dict.fromkeys((*(event.unit for event in made), view.unit)))


def _released(units: Units) -> dict[str, str]:
    """Units that were released to when it was done last."""
    found = units.store.events(kinds=[UnitStateSet.KIND], where=("state", "released"))
    return {event.unit: event.time for event in found}


def _before(
    signed: tuple[Event, ...], kin: tuple[str, ...], released: dict[str, str], unit: str
) -> Circumstances | None:
    """How the unit was built that was recorded last, with the time when a unit of the design was built last."""
    if not signed:
        return None
    last = signed[-1]
    times = [last.time, *(released[each] for each in kin if each in released and each != unit)]
    event = read_event(last.kind, last.data, kinds=UNIT_EVENTS)
    assert isinstance(event, FirstUnitSigned)
    return as_signed(event, built=max(times, key=datetime.fromisoformat))


def _first(units: Units, kin: tuple[str, ...], released: dict[str, str]) -> str:
    """The unit that will be the first: of those never released the first one in work, else the first one planned."""
    states = {row.unit: row.state for row in units.store.units(kin)}
    fresh = [each for each in kin if each not in released]
    at_work = (each for each in fresh if states.get(each) in _AT_WORK)
    planned = (each for each in fresh if states.get(each) == "planned")
    return next(iter((*at_work, *planned)), "")
