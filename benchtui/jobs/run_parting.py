"""Two units that two benches gave one serial number: telling them apart, and giving one of them a new number."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from benchtui.errors import JobError
from benchtui.jobs.events import DefectFound
from benchtui.jobs.moves import needed
from benchtui.jobs.passport import when
from benchtui.jobs.unit_events import UnitMade, UnitParted, UnitRenumbered
from benchtui.record.event import BEGINNINGS, Draft

if TYPE_CHECKING:
    from benchtui.jobs.run_units import Units
    from benchtui.record.event import Event


@dataclass(frozen=True, slots=True, kw_only=True)
class OneOf:
    """One of the units that have one number, by what its bench wrote."""

    id: str
    """Id of the entry that gave it the number."""
    text: str
    """When it was given the number, and for which batch."""
    work: str
    """What tells it from the others: its jobs and defects, and when it was touched last."""
    made: str
    """Digest of that entry."""
    design: str


def alike(units: Units, unit: str) -> tuple[OneOf, ...]:
    """The units that have a number, each by what its bench wrote; none where only one has it."""
    made = units.store.events(unit=unit, kinds=[UnitMade.KIND])
    if len(made) == 1:
        return ()
    return tuple(_one(event, units.store.going(unit, event.digest)) for event in made)


def part(units: Units, unit: str, entry: str, *, reason: str, by: str, serial: str = "") -> str:
    """Give one of the units that have one number a new one; all that its bench wrote of it goes with it.

    Nothing that was written is changed: two entries say from when on it has which number, one under each number.

    Args:
        units: The units of the record.
        unit: The number that two have.
        entry: Id of the entry that gave it to the unit which gets a new one, as in `alike`.
        reason: What was seen.
        by: Who says so.
        serial: The new number; the next of the design when empty.

    Returns:
        The new number.

    Raises:
        JobError: Only one unit has the number, there is no such entry, the new number was given already, or a reason
            or a name is missing.
        RecordError: It could not be written.
    """
    both = alike(units, unit)
    if not both:
        raise JobError(f"only one unit is {unit}", hint="there is nothing to part")
    chosen = next((each for each in both if each.id == entry), None)
    if chosen is None:
        raise JobError(f"no unit was made {unit} by the entry {entry!r}", hint="take one of those that are listed")
    needed(reason, "a reason", "say what you saw: where each of the two stands")
    needed(by, "a name", "type who says so")
    number = serial.strip() or units.next_serial(chosen.design)
    if number in {row.unit for row in units.store.units()}:
        raise JobError(f"there is a unit {number} already", hint="serial numbers are never given twice")
    reason, by = reason.strip(), by.strip()
    old = UnitParted(made=chosen.made, serial=number, reason=reason, by=by)
    new = UnitRenumbered(made=chosen.made, was=unit, serial=number, reason=reason, by=by)
    units.store.append_all(
        [
            Draft(kind=old.KIND, unit=unit, data=old.to_data()),
            Draft(kind=new.KIND, unit=number, data=new.to_data()),
        ]
    )
    return number


def _one(made: Event, going: tuple[Event, ...]) -> OneOf:
    batch = f", batch {made.data['batch']}" if made.data.get("batch") else ""
    jobs = [str(event.data.get("title", "a job")) for event in going if event.kind in BEGINNINGS]
    defects = [str(event.data.get("text") or "no words") for event in going if event.kind == DefectFound.KIND]
    bad = f"; defect: {', '.join(defects)}" if defects else ""
    last = f"; last touched {when(going[-1].time)}" if going else ""
    return OneOf(
        id=made.id,
        text=f"made {when(made.time)}{batch}",
        work=f"{', '.join(jobs) or 'no job yet'}{bad}{last}",
        made=made.digest,
        design=str(made.data.get("design", "")),
    )
