"""Events as rows of the table, and back."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any, Final

from benchtui.record.event import Event, canonical

if TYPE_CHECKING:
    import sqlite3

COLUMNS: Final = "seq, origin, number, clock, time, kind, unit, job, data, previous, digest"
ORDER: Final = "clock, origin, number"


def insert(db: sqlite3.Connection, event: Event) -> None:
    """Put an event into the table, inside a transaction of the caller."""
    db.execute(
        f"INSERT INTO event ({COLUMNS}) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        (
            event.seq,
            event.origin,
            event.number,
            event.clock,
            event.time,
            event.kind,
            event.unit,
            event.job,
            canonical(event.data),
            event.previous,
            event.digest,
        ),
    )


def event_of(row: tuple[Any, ...]) -> Event:
    """The event of a row of `COLUMNS`."""
    return Event(
        seq=row[0],
        origin=row[1],
        number=row[2],
        clock=row[3],
        time=row[4],
        kind=row[5],
        unit=row[6],
        job=row[7],
        data=json.loads(row[8]),
        previous=row[9],
        digest=row[10],
    )
