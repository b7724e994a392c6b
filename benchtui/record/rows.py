"""Events as rows of the table, and back."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any, Final

from benchtui.record.event import Event, canonical

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Iterable

COLUMNS: Final = "seq, origin, number, clock, time, kind, unit, job, data, previous, digest"
ORDER: Final = "clock, origin, number"
NEWEST_FIRST: Final = "clock DESC, origin DESC, number DESC"


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


def select(
    *,
    unit: str | None,
    job: str | None,
    kinds: Iterable[str] | None,
    where: tuple[str, str] | None,
    after: int,
    newest: int,
    of_unit: str,
) -> tuple[str, list[Any]]:
    """The query for events as `Store.events` is asked for them, and its parameters.

    Args:
        unit: As there, like all the others.
        of_unit: What takes the place of the plain question for a unit, where one was parted; empty for none.
    """
    wanted: list[str] = ["seq > ?"]
    parameters: list[Any] = [after]
    if unit and of_unit:
        wanted.append(f"seq IN (SELECT seq {of_unit.replace(':unit', '?')})")
        parameters += [unit, unit]
        unit = None
    for column, value in (("unit", unit), ("job", job)):
        if value is not None:
            # The first condition lets SQLite use the index, which leaves events without unit or job out.
            wanted.append(f"{column} <> '' AND {column} = ?" if value else f"{column} = ?")
            parameters.append(value)
    if kinds is not None:
        names = list(kinds)
        wanted.append(f"kind IN ({', '.join('?' * len(names))})")
        parameters += names
    if where is not None:
        wanted.append("json_extract(data, '$.' || ?) = ?")
        parameters += where
    ending = f"ORDER BY {ORDER}"
    if newest:
        ending = f"ORDER BY {NEWEST_FIRST} LIMIT ?"
        parameters.append(newest)
    return f"SELECT {COLUMNS} FROM event WHERE {' AND '.join(wanted)} {ending}", parameters


def newest_time(db: sqlite3.Connection) -> str:
    """The time of the last event in the record's order; empty where there is none."""
    row = db.execute(f"SELECT time FROM event ORDER BY {NEWEST_FIRST} LIMIT 1").fetchone()
    return str(row[0]) if row else ""


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
