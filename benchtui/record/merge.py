"""Taking in another bench's events: each by its identity, in one transaction, and nothing ever overwritten.

Both benches hold the same events afterwards and put them in the same order, so it does not matter which took in which
first. Two different events of one identity are a conflict: ours stays, theirs is named and left out.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from benchtui.errors import NewerRecordError, RecordDamagedError, RecordError
from benchtui.record import search, views
from benchtui.record.event import Event, canonical, digest_of, text_digest
from benchtui.record.export import FORMAT
from benchtui.record.rows import insert

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Iterable

    from benchtui.record.store import Store


@dataclass(frozen=True, slots=True, kw_only=True)
class Merged:
    """What became of the lines."""

    added: int
    known: int
    """Events that were here already."""
    conflicts: tuple[str, ...] = ()
    """Events left out since another of the same identity is here, in words."""
    jobs: tuple[str, ...] = ()
    """Jobs that have new events."""


def merge(store: Store, lines: Iterable[str]) -> Merged:
    """Take in the lines of an export.

    Raises:
        NewerRecordError: They were written by a newer version of this program.
        RecordDamagedError: A line was changed, or is no line of an export; nothing was taken in.
        RecordError: The record cannot be written to.
    """
    texts, events = _read(lines)
    added: list[Event] = []
    conflicts: list[str] = []
    known = 0
    with store.writing() as db:
        for body in texts:
            db.execute("INSERT OR IGNORE INTO text VALUES (?, ?)", (text_digest(body), body))
        last = db.execute("SELECT coalesce(max(seq), 0) FROM event").fetchone()[0]
        for event in sorted(events, key=lambda event: event.order):
            mine = db.execute(
                "SELECT digest, kind, time FROM event WHERE origin = ? AND number = ?", (event.origin, event.number)
            ).fetchone()
            if mine is None:
                last += 1
                placed = replace(event, seq=last)
                insert(db, placed)
                if store.indexed:
                    search.index(db, placed)
                added.append(placed)
            elif mine[0] == event.digest:
                known += 1
            else:
                conflicts.append(
                    f"{event.id}: here it is {mine[1]} of {mine[2]}, there {event.kind} of {event.time}; ours stays"
                )
        _mark_partial(db, added)
        jobs = sorted({event.job for event in added if event.job})
        views.rebuild(db, jobs=jobs, units=sorted({event.unit for event in added if event.unit}))
    return Merged(added=len(added), known=known, conflicts=tuple(conflicts), jobs=tuple(jobs))


def _read(lines: Iterable[str]) -> tuple[list[str], list[Event]]:
    texts: list[str] = []
    events: list[Event] = []
    head = False
    for number, line in enumerate(lines, start=1):
        if not line.strip():
            continue
        try:
            value = json.loads(line)
            if not head:
                _check_head(value)
                head = True
            elif "text" in value:
                texts.append(_checked_text(value))
            else:
                events.append(_checked_event(value))
        except RecordError:
            raise
        except (ValueError, KeyError, TypeError, AttributeError) as error:
            raise RecordDamagedError(
                f"line {number} is no line of an export ({error}); nothing was taken in"
            ) from error
        except _ChangedError as error:
            raise RecordDamagedError(f"line {number} was changed; nothing was taken in") from error
    if not head:
        raise RecordDamagedError("the file is empty; nothing was taken in")
    return texts, events


class _ChangedError(Exception):
    """A digest does not fit."""


def _check_head(value: dict[str, Any]) -> None:
    if value.get("record") != "benchtui":
        raise ValueError("its first line does not say so")
    if value["format"] > FORMAT:
        raise NewerRecordError("the export was written by a newer version of this program", hint="install it here too")


def _checked_text(value: dict[str, Any]) -> str:
    body = str(value["text"])
    if text_digest(body) != value["digest"]:
        raise _ChangedError
    return body


def _checked_event(value: dict[str, Any]) -> Event:
    event = Event(
        seq=0,
        origin=str(value["origin"]),
        number=int(value["number"]),
        clock=int(value["clock"]),
        time=str(value["time"]),
        kind=str(value["kind"]),
        unit=str(value["unit"]),
        job=str(value["job"]),
        data=dict(value["data"]),
        previous=str(value["previous"]),
        digest=str(value["digest"]),
    )
    again = digest_of(
        previous=event.previous,
        origin=event.origin,
        number=event.number,
        clock=event.clock,
        time=event.time,
        kind=event.kind,
        unit=event.unit,
        job=event.job,
        data=canonical(event.data),
    )
    if again != event.digest:
        raise _ChangedError
    return event


def _mark_partial(db: sqlite3.Connection, added: Iterable[Event]) -> None:
    """Remember which origins are here only in part, as after the export of one unit; gaps in them are no damage."""
    for origin in {event.origin for event in added}:
        count, last = db.execute("SELECT count(*), max(number) FROM event WHERE origin = ?", (origin,)).fetchone()
        if count != last:
            db.execute("INSERT OR REPLACE INTO meta VALUES (?, '1')", (f"partial:{origin}",))
        else:
            db.execute("DELETE FROM meta WHERE key = ?", (f"partial:{origin}",))
