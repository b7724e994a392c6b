"""Questions over all units of a record: where parts and firmware went, and what a meter has measured."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Final

from benchtui.errors import JobError
from benchtui.jobs.passport import said
from benchtui.jobs.past import is_date
from benchtui.jobs.twice import covered_of
from benchtui.record.values import values_of

if TYPE_CHECKING:
    from benchtui.jobs.run_units import Units
    from benchtui.record.event import Event
    from benchtui.record.store import Store

_READ: Final = ("reading", "hunt-reading", "hunt-test")
"""Kinds of the events that hold what a meter showed."""


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
        if all(not value or same_id(getattr(fitted, name), value) for name, value in wanted.items())
    )


def same_id(one: str, other: str) -> bool:
    """Whether two numbers read off a label are the same: blanks, capitals and small letters make no difference."""
    return _plain(one) == _plain(other)


def _plain(id: str) -> str:
    return "".join(id.split()).casefold()


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
    """Every reading taken with a meter since a date, in jobs and in hunts, for when the meter turns out to be wrong.

    Where several readings make up a test of a hunt, the last entry has all of them: each is given once.

    Args:
        store: The record.
        meter: Id of the meter, as it is on its label.
        start: Date or time as in the record; from the beginning when empty.

    Raises:
        JobError: The start is neither.
    """
    if start and not is_date(start) and not _is_moment(start):
        raise JobError(f"{start!r} is no date", hint="type it as 2031-03-31")
    ids = [id for id in values_of(store, "meter", _READ) if same_id(id, meter)]
    found = [event for id in ids for event in store.events(kinds=_READ, where=("meter", id))]
    given = {(event.job, event.data.get("test"), typed) for event in found for typed in _typed(event, "hunt-test")}
    wanted = (
        event
        for event in sorted(found, key=lambda event: event.order)
        if (not start or _since(event.time, start))
        and not any((event.job, event.data.get("test"), typed) in given for typed in _typed(event, "hunt-reading"))
        and (event.kind != "hunt-test" or _typed(event, "hunt-test"))
    )
    return covered_of(store, wanted)


def meters_read(store: Store) -> tuple[str, ...]:
    """Ids of the meters that any reading was taken with."""
    return values_of(store, "meter", _READ)


def reading_said(event: Event) -> str:
    """A reading in words, of a job or of a hunt."""
    if event.kind == "reading":
        return said(event.kind, event.data)
    return f"read {', '.join(_typed(event, event.kind))} in test {event.data.get('test')} of fault finding"


def _typed(event: Event, kind: str) -> list[str]:
    """What was typed in an event of a hunt of this kind; nothing for another kind."""
    typed = event.data.get("typed") or [] if event.kind == kind else []
    return [str(each) for each in typed] if isinstance(typed, list) else [str(typed)]


def _is_moment(text: str) -> bool:
    try:
        return datetime.fromisoformat(text).tzinfo is not None
    except ValueError:
        return False


def _since(time: str, start: str) -> bool:
    """Whether a time of the record is at or after another; times written in different zones compare as moments.

    Args:
        time: ISO time with offset.
        start: The same, or only a date, which is then that of the place where `time` was written.
    """
    if len(start) == len("2031-03-01"):
        return time[: len(start)] >= start
    return datetime.fromisoformat(time) >= datetime.fromisoformat(start)
