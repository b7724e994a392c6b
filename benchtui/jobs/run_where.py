"""Questions over all units of a record: where parts and firmware went, and what a meter has measured."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from benchtui.errors import JobError
from benchtui.jobs.twice import covered_of

if TYPE_CHECKING:
    from benchtui.jobs.run_units import Units
    from benchtui.record.event import Event
    from benchtui.record.store import Store


@dataclass(frozen=True, slots=True, kw_only=True)
class Use:
    """A place where a part, lot or firmware went."""

    unit: str
    place: str
    what: str
    time: str
    removed: str = ""


def where_used(units: Units, *, lot: str = "", part: str = "", serial: str = "") -> tuple[Use, ...]:
    """Where parts of a lot, kind or serial number went, in the order they were fitted.

    Raises:
        JobError: Nothing was named.
    """
    if not (lot or part or serial):
        raise JobError("name a lot, a part or a serial number")
    wanted = {"lot": lot, "part": part, "serial": serial}
    known = dict.fromkeys(event.unit for event in units.store.events(kinds=["part-fitted"]))
    return tuple(
        Use(
            unit=unit,
            place=fitted.place,
            what=f"{fitted.part} {fitted.lot or fitted.serial}".strip(),
            time=fitted.time,
            removed=fitted.removed,
        )
        for unit in known
        for fitted in units.view(unit).parts
        if all(not value or getattr(fitted, name) == value for name, value in wanted.items())
    )


def where_firmware(units: Units, version: str) -> tuple[Use, ...]:
    """Units that run a version of the firmware now."""
    known = dict.fromkeys(event.unit for event in units.store.events(kinds=["firmware-loaded"]))
    now = ((unit, units.view(unit).firmware) for unit in known)
    return tuple(
        Use(unit=unit, place="", what=f"{loaded.name} {loaded.version}", time="")
        for unit, loaded in now
        if loaded and loaded.version == version
    )


def readings_with(store: Store, meter: str, *, start: str = "") -> tuple[Event, ...]:
    """Every reading taken with a meter since a date, for when the meter turns out to be wrong.

    Args:
        store: The record.
        meter: Id of the meter.
        start: Date or time as in the record; from the beginning when empty.
    """
    found = store.events(kinds=["reading"], where=("meter", meter))
    return covered_of(store, (event for event in found if not start or _since(event.time, start)))


def _since(time: str, start: str) -> bool:
    """Whether a time of the record is at or after another; times written in different zones compare as moments.

    Args:
        time: ISO time with offset.
        start: The same, or only a date, which is then that of the place where `time` was written.
    """
    if len(start) == len("2031-03-01"):
        return time[: len(start)] >= start
    return datetime.fromisoformat(time) >= datetime.fromisoformat(start)
