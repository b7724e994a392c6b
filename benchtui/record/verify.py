"""Checking a record: every digest, every number, every text, and that the summaries say what the events say."""

from __future__ import annotations

import hashlib
import sqlite3
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from benchtui.record.event import CLOSING, UNIT_STATE, digest_of, text_digest
from benchtui.record.rows import COLUMNS, ORDER, event_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from benchtui.record.event import Event
    from benchtui.record.store import Store


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """Something that does not add up."""

    where: str
    """The event, text, job or unit."""
    message: str


def verify(store: Store) -> tuple[Finding, ...]:
    """Check a whole record; nothing found means that it is what was written, nothing changed, lost or put in."""
    try:
        return tuple(_findings(store))
    except (sqlite3.Error, ValueError) as error:
        return (Finding(where=str(store.path), message=f"the file cannot be read through: {error}"),)


def _findings(store: Store) -> Iterator[Finding]:
    db = store.connection
    for (line,) in db.execute("PRAGMA integrity_check"):
        if line != "ok":
            yield Finding(where=str(store.path), message=str(line))
    count, last = db.execute("SELECT count(*), coalesce(max(seq), 0) FROM event").fetchone()
    if count != last:
        yield Finding(where="events", message=f"{count} events are there, and the last is number {last}")
    yield from _chain(db)
    yield from _summaries(db)
    for digest, body in db.execute("SELECT digest, body FROM text"):
        if text_digest(body) != digest:
            yield Finding(where=f"text {digest[:12]}", message="was changed")
    for name, digest in _attached(db):
        yield from _file(store.path.parent, name, digest)


def _chain(db: sqlite3.Connection) -> Iterator[Finding]:
    partial = {key.partition(":")[2] for (key,) in db.execute("SELECT key FROM meta WHERE key LIKE 'partial:%'")}
    origin, number, digest = "", 0, ""
    for row in db.execute(f"SELECT {COLUMNS} FROM event ORDER BY origin, number"):
        event = event_of(row)
        if event.origin != origin:
            origin, number, digest = event.origin, 0, ""
        data = str(row[8])
        again = digest_of(
            previous=event.previous,
            origin=event.origin,
            number=event.number,
            clock=event.clock,
            time=event.time,
            kind=event.kind,
            unit=event.unit,
            job=event.job,
            data=data,
        )
        where = f"event {event.seq} ({event.id}, {event.kind})"
        if again != event.digest:
            yield Finding(where=where, message="was changed after it was written")
        elif event.number == number + 1 and event.previous != digest:
            yield Finding(where=where, message="does not follow from the event before it")
        if event.number != number + 1 and origin not in partial:
            yield Finding(where=where, message=f"events {number + 1} to {event.number - 1} of its record are missing")
        number, digest = event.number, event.digest


def _summaries(db: sqlite3.Connection) -> Iterator[Finding]:
    """Compare the kept lists of jobs and units with what the events give."""
    jobs: dict[str, dict[str, object]] = {}
    units: dict[str, dict[str, object]] = {}
    for row in db.execute(f"SELECT {COLUMNS} FROM event ORDER BY {ORDER}"):
        event = event_of(row)
        if event.job:
            _count_job(jobs, event)
        if event.unit:
            _count_unit(units, event)
    for table, key, expected in (("job", "job", jobs), ("unit", "unit", units)):
        columns = ["title", "last_kind", "last_time", "events", "closed"] if table == "job" else ["state", "events"]
        kept = {
            row[0]: dict(zip(columns, row[1:], strict=True))
            for row in db.execute(f"SELECT {key}, {', '.join(columns)} FROM {table}")
        }
        for name in sorted(kept.keys() | expected.keys()):
            if kept.get(name) != expected.get(name):
                yield Finding(where=f"{table} {name}", message="its line in the list differs from its events")


def _count_job(jobs: dict[str, dict[str, object]], event: Event) -> None:
    known = jobs.setdefault(event.job, {"title": str(event.data.get("title", "")), "events": 0, "closed": 0})
    known["events"] = int(str(known["events"])) + 1
    known |= {"last_kind": event.kind, "last_time": event.time}
    if event.kind.endswith(CLOSING):
        known["closed"] = 1


def _count_unit(units: dict[str, dict[str, object]], event: Event) -> None:
    known = units.setdefault(event.unit, {"state": "", "events": 0})
    known["events"] = int(str(known["events"])) + 1
    if event.kind == UNIT_STATE and event.data.get("state"):
        known["state"] = str(event.data["state"])


def _attached(db: sqlite3.Connection) -> Iterator[tuple[str, str]]:
    for row in db.execute(f"SELECT {COLUMNS} FROM event WHERE kind = 'file-attached'").fetchall():
        data = event_of(row).data
        yield str(data.get("name", "")), str(data.get("digest", ""))


def _file(folder: Path, name: str, digest: str) -> Iterator[Finding]:
    """A file that is not at hand proves nothing; one that is there has to be the one that was attached."""
    path = folder / name
    if path.is_file() and hashlib.sha256(path.read_bytes()).hexdigest() != digest:
        yield Finding(where=f"file {name}", message="is not the one that was attached")
